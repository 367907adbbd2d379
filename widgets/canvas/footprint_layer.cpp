// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/footprint_layer.h"

#include <algorithm>
#include <array>

namespace fw {

namespace {

constexpr int kMostAlpha = 150, kLeastAlpha = 14; // of 255, where it takes all and hardly any users
constexpr double kRimPx = 1.6;

} // namespace

// The small cell to be drawn; none where none is chosen or the layer is off.
ItemId FootprintLayer::wanted() const {
    if (!m_space.shown.on(MapLayer::footprint)) return {};
    return chainOf(m_space.document.plan(), m_space.selection.primary()).smallCell;
}

bool FootprintLayer::look() {
    const auto& study = m_space.live.study();
    const ItemId small = wanted();
    if (!study || !small) {
        m_study.reset();
        m_footprint.small = {};
        return false;
    }
    return (m_study.lock() == study && m_footprint.small == small) || take(study, small);
}

bool FootprintLayer::take(const std::shared_ptr<const Study>& study, ItemId small) {
    m_study = study;
    m_coloured = false;
    if (!footprintOf(*study, small, m_footprint)) return false;
    trace();
    return true;
}

std::function<void()> FootprintLayer::lookAhead(const std::shared_ptr<const Study>& study) {
    const ItemId small = wanted();
    if (!small) return {};
    return [this, study, small] {
        if (take(study, small)) colour(m_hue);
    };
}

// The line along which the lead is 0, between the pixels' centres: each square of four pixels gives up to two
// pieces. Squares with a pixel that is not on open ground give none.
void FootprintLayer::trace() {
    m_rim.clear();
    const auto& g = m_footprint.levelCenti;
    const auto& lead = m_footprint.leadCenti;
    for (int y = 0; y + 1 < g.height; ++y)
        for (int x = 0; x + 1 < g.width; ++x) {
            const std::size_t i = g.index(x, y), above = i + static_cast<std::size_t>(g.width);
            const std::array<int, 4> v{lead[i], lead[i + 1], lead[above + 1],
                                       lead[above]}; // round the square
            const int positive = (v[0] > 0) + (v[1] > 0) + (v[2] > 0) + (v[3] > 0);
            if (positive == 0 || positive == 4 || std::find(v.begin(), v.end(), kNothingHeard) != v.end())
                continue;
            const PlanePoint at = g.centre(x, y);
            std::array<QPointF, 4> ends;
            std::size_t n = 0;
            constexpr std::array<std::array<int, 2>, 4> corner{{{0, 0}, {1, 0}, {1, 1}, {0, 1}}};
            for (std::size_t k = 0; k < 4; ++k) {
                const std::size_t o = (k + 1) % 4;
                if ((v[k] > 0) == (v[o] > 0)) continue;
                const double t = static_cast<double>(v[k]) / (v[k] - v[o]);
                ends[n++] = {at.x + (corner[k][0] + t * (corner[o][0] - corner[k][0])) * g.cellM,
                             at.y + (corner[k][1] + t * (corner[o][1] - corner[k][1])) * g.cellM};
            }
            for (std::size_t k = 0; k + 1 < n; k += 2) m_rim.emplace_back(ends[k], ends[k + 1]);
        }
}

void FootprintLayer::colour(QRgb hue) {
    if (m_coloured && m_hue == hue) return;
    m_coloured = true;
    m_hue = hue;
    std::array<QRgb, 256> table{};
    for (int s = 1; s < 256; ++s) {
        const int alpha = kLeastAlpha + (kMostAlpha - kLeastAlpha) * s / 255;
        table[static_cast<std::size_t>(s)] = qPremultiply(qRgba(qRed(hue), qGreen(hue), qBlue(hue), alpha));
    }
    const auto& g = m_footprint.levelCenti;
    if (m_image.width() != g.width || m_image.height() != g.height)
        m_image = QImage(g.width, g.height, QImage::Format_ARGB32_Premultiplied);
    int x0 = g.width, x1 = -1, y0 = g.height, y1 = -1;
    for (int y = 0; y < g.height; ++y) {
        auto* line = reinterpret_cast<QRgb*>(m_image.scanLine(g.height - 1 - y)); // row 0 is the southern one
        const std::uint8_t* share = m_footprint.captured.data() + g.index(0, y);
        bool any = false;
        for (int x = 0; x < g.width; ++x) {
            line[x] = table[share[x]];
            if (!share[x]) continue;
            any = true;
            x0 = std::min(x0, x);
            x1 = std::max(x1, x);
        }
        if (!any) continue;
        y0 = std::min(y0, g.height - 1 - y);
        y1 = std::max(y1, g.height - 1 - y);
    }
    m_used = x1 < 0 ? QRect() : QRect(QPoint(x0, y0), QPoint(x1, y1));
}

void FootprintLayer::paint(QPainter& painter, const Camera& camera, const WindowPalette& colors) {
    if (!look()) return;
    colour(colors.accent.rgb());
    const auto& g = m_footprint.levelCenti;
    painter.save();
    if (!m_used.isEmpty()) {
        const PlanePoint northWest{g.x0 + m_used.left() * g.cellM,
                                   g.y0 + (g.height - m_used.top()) * g.cellM};
        const double pixel = g.cellM / camera.metresPerPixel;
        painter.setRenderHint(QPainter::SmoothPixmapTransform);
        painter.drawImage(
            QRectF(camera.toScreen(northWest), QSizeF(m_used.width() * pixel, m_used.height() * pixel)),
            m_image, m_used);
    }
    if (!m_rim.empty()) {
        m_onScreen.resize(m_rim.size());
        const auto at = [&](QPointF p) { return camera.toScreen({p.x(), p.y()}); };
        std::transform(m_rim.begin(), m_rim.end(), m_onScreen.begin(),
                       [&](const QLineF& l) { return QLineF(at(l.p1()), at(l.p2())); });
        painter.setRenderHint(QPainter::Antialiasing);
        painter.setPen(QPen(colors.accent, kRimPx));
        painter.drawLines(m_onScreen.data(), static_cast<int>(m_onScreen.size()));
    }
    painter.restore();
}

} // namespace fw
