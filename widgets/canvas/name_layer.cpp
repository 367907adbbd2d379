// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/name_layer.h"

#include <algorithm>
#include <unordered_map>

namespace fw {

namespace {

/// Rectangles that are taken, by coarse squares of the screen.
class Taken {
public:
    bool free(const QRectF& r) const {
        bool clear = true;
        each(r, [&](quint64 key) {
            const auto it = m_squares.find(key);
            if (it == m_squares.end()) return;
            for (const QRectF& other : it->second) clear = clear && !other.intersects(r);
        });
        return clear;
    }
    void add(const QRectF& r) {
        each(r, [&](quint64 key) { m_squares[key].push_back(r); });
    }

private:
    template <class F>
    static void each(const QRectF& r, F&& f) {
        constexpr double kSide = 64;
        for (int y = static_cast<int>(std::floor(r.top() / kSide));
             y <= static_cast<int>(std::floor(r.bottom() / kSide)); ++y)
            for (int x = static_cast<int>(std::floor(r.left() / kSide));
                 x <= static_cast<int>(std::floor(r.right() / kSide)); ++x)
                f(quint64(quint32(x)) << 32 | quint32(y));
    }
    std::unordered_map<quint64, std::vector<QRectF>> m_squares;
};

struct Wish {
    int rank; ///< lower goes first
    QString text;
    NameStyle style;
    PlanePoint at;
    double reach; ///< of the sign; 0: the name sits on the place itself
    ItemId item;
};

std::vector<Wish> wishesOf(const LiveFrame& f, const Box& ground) {
    std::vector<Wish> out;
    const double mpp = f.camera.metresPerPixel;
    const auto rank = [&](ItemId id, int otherwise) { return f.space.selection.has(id) ? 0 : otherwise; };
    if (f.on(MapLayer::macros) && mpp < 12)
        for (const MacroSign& m : f.items.macros())
            if (ground.contains(m.at))
                out.push_back({rank(m.id, 1), m.name, NameStyle::strong, m.at, 11 * f.scale, m.id});
    if (f.on(MapLayer::areas))
        for (const AreaSign& a : f.items.areas())
            if (ground.contains(a.label) && a.bounds.width() > 60 * mpp)
                out.push_back({rank(a.id, 2), a.name, NameStyle::area, a.label, 0, a.id});
    if (f.on(MapLayer::smallCells))
        for (const MountSign& m : f.items.mounts()) {
            if (!ground.contains(m.at)) continue;
            const bool chosen = m.chosen();
            const int r = rank(m.id, chosen ? 3 : 4);
            if (r > 0 && mpp > (chosen ? 3.0 : 1.2)) continue;
            out.push_back({r, m.name, NameStyle::plain, m.at, 9 * f.scale, m.id});
        }
    std::stable_sort(out.begin(), out.end(), [](const Wish& a, const Wish& b) { return a.rank < b.rank; });
    return out;
}

} // namespace

void NameLayer::place(LiveFrame& f) {
    m_placed.clear();
    const Box seen = f.camera.visible();
    m_ground = seen.grown(std::max(seen.width(), seen.height()) * 0.5);
    m_metresPerPixel = f.camera.metresPerPixel;
    m_version = f.items.version();
    m_selected = f.space.selection.items();
    m_macros = f.on(MapLayer::macros);
    m_mounts = f.on(MapLayer::smallCells);
    m_areas = f.on(MapLayer::areas);
    m_owners = f.on(MapLayer::owners);
    Taken taken;
    // Signs keep their own ground; names of lesser things give way.
    if (m_mounts)
        for (const MountSign& m : f.items.mounts())
            if (m_ground.contains(m.at)) {
                const auto keep = [&](QPointF c, double r) {
                    taken.add(QRectF(c.x() - r, c.y() - r, 2 * r, 2 * r));
                };
                keep(f.at(m.at), 4 * f.scale);
                if (!m.radios.empty())
                    keep(f.at(m.at) + findingSide(m) * (kFindingOff * f.scale), 4 * f.scale);
                if (m_owners && ownerShown(m, m_metresPerPixel))
                    keep(f.at(m.at) + ownerSide(m) * (kFindingOff * f.scale), 4 * f.scale);
                for (const RadioSign& r : m.radios)
                    keep(f.at(m.at) + screenDirection(r.gridDeg) * (SignSheet::kPlateOff * f.scale),
                         6 * f.scale);
            }
    for (const Wish& w : wishesOf(f, m_ground)) {
        if (w.text.isEmpty()) continue;
        const QPixmap& picture = f.signs.name(w.text, w.style);
        const QSizeF size = QSizeF(picture.size()) / picture.devicePixelRatio();
        const QPointF c = f.at(w.at);
        const double gap = w.reach;
        const QPointF tries[] = {{gap, -size.height() / 2},
                                 {-gap - size.width(), -size.height() / 2},
                                 {-size.width() / 2, gap},
                                 {-size.width() / 2, -gap - size.height()},
                                 {gap + 8 * f.scale, -size.height() / 2},
                                 {-gap - 8 * f.scale - size.width(), -size.height() / 2}};
        const bool onPlace = w.reach == 0;
        for (int i = 0; i < (onPlace ? 1 : 6); ++i) {
            const QPointF offset = onPlace ? QPointF(-size.width() / 2, -size.height() / 2) : tries[i];
            const QRectF r = QRectF(c + offset, size).adjusted(2, 1, -2, -1);
            const bool last = w.rank == 0 && i == 5; // what is chosen has its name in any case
            if (!last && !onPlace && !taken.free(r)) continue;
            if (onPlace && w.rank > 0 && !taken.free(r)) continue;
            taken.add(r);
            m_placed.push_back({w.text, w.style, w.at, offset, w.item});
            break;
        }
    }
}

void NameLayer::paint(LiveFrame& f) {
    if (!f.on(MapLayer::names)) return;
    const Box seen = f.camera.visible();
    const bool inside =
        seen.x0 >= m_ground.x0 && seen.y0 >= m_ground.y0 && seen.x1 <= m_ground.x1 && seen.y1 <= m_ground.y1;
    if (!inside || m_metresPerPixel != f.camera.metresPerPixel || m_version != f.items.version() ||
        m_selected != f.space.selection.items() || m_macros != f.on(MapLayer::macros) ||
        m_mounts != f.on(MapLayer::smallCells) || m_areas != f.on(MapLayer::areas) ||
        m_owners != f.on(MapLayer::owners))
        place(f);
    const QRectF view = QRectF(QPointF(0, 0), f.camera.size).adjusted(-200, -40, 200, 40);
    for (const Placed& n : m_placed) {
        const MountSign* moved = f.dragged.mounts.empty() ? nullptr : f.dragged.of(n.item);
        const QPointF at = f.at(moved ? moved->at : n.at) + n.offset;
        if (view.contains(at))
            f.p.drawPixmap(QPointF(std::round(at.x()), std::round(at.y())), f.signs.name(n.text, n.style));
    }
}

} // namespace fw
