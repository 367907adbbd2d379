// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/residual_layer.h"

#include "text/figures.h"
#include "theme/window_palette.h"

#include <QCoreApplication>
#include <QFontMetricsF>

#include <algorithm>
#include <array>
#include <cmath>

namespace fw {

namespace {

constexpr double kRadiusPx = 3.2, kLeastRadiusPx = 1.8; // of a dot near by and from afar
constexpr double kRingPx = 0.8;                         // light, to part it from others
constexpr int kBeyondPx = 128;                       // that the picture reaches beyond the view on each side
constexpr std::array<double, 3> kBoundsDb{3, 6, 12}; // [own judgement: half, one and two sigma of shadowing]

// Down to a street square a dot's full size, then smaller, so that streets stay apart.
double radiusAt(double metresPerPixel) {
    constexpr double kNearM = 2, kFarM = 8;
    const double far = std::clamp((metresPerPixel - kNearM) / (kFarM - kNearM), 0.0, 1.0);
    return kRadiusPx + (kLeastRadiusPx - kRadiusPx) * far;
}

// A dot at the resolution of the screen, premultiplied.
QImage dotOf(const QColor& color, const QColor& ring, double radiusPx, double ratio) {
    const int side = 2 * static_cast<int>(std::ceil((radiusPx + kRingPx) * ratio)) + 1;
    QImage dot(side, side, QImage::Format_ARGB32_Premultiplied);
    dot.fill(Qt::transparent);
    QPainter p(&dot);
    p.setRenderHint(QPainter::Antialiasing);
    p.setPen(QPen(ring, kRingPx * ratio));
    p.setBrush(color);
    p.drawEllipse(QPointF(side / 2.0, side / 2.0), radiusPx * ratio, radiusPx * ratio);
    return dot;
}

// A premultiplied pixel times share / 255, two channels at a time.
QRgb faded(QRgb pixel, unsigned share) {
    constexpr unsigned kEven = 0xff00ff, kHalf = 0x800080;
    const auto of = [&](unsigned pair) {
        const unsigned t = pair * share;
        return (t + ((t >> 8) & kEven) + kHalf) >> 8;
    };
    return (of(pixel & kEven) & kEven) | ((of((pixel >> 8) & kEven) & kEven) << 8);
}

// Source over, pixel by pixel: a painter's overhead a dot would be several times the dot.
void stamp(QImage& picture, const QImage& dot, int cx, int cy) {
    const int x0 = cx - dot.width() / 2, y0 = cy - dot.height() / 2;
    const int from = std::max(0, -x0), to = std::min(dot.width(), picture.width() - x0);
    for (int y = std::max(0, -y0); y < std::min(dot.height(), picture.height() - y0); ++y) {
        const auto* src = reinterpret_cast<const QRgb*>(dot.constScanLine(y));
        auto* dst = reinterpret_cast<QRgb*>(picture.scanLine(y0 + y));
        for (int x = from; x < to; ++x) {
            const auto alpha = static_cast<unsigned>(qAlpha(src[x]));
            if (alpha == 255)
                dst[x0 + x] = src[x];
            else if (alpha > 0)
                dst[x0 + x] = src[x] + faded(dst[x0 + x], 255 - alpha);
        }
    }
}

class ResidualWords {
    Q_DECLARE_TR_FUNCTIONS(ResidualLayer)
};

} // namespace

int residualStep(double db) {
    int beyond = 0;
    for (const double bound : kBoundsDb) beyond += std::fabs(db) >= bound;
    return kResidualSteps / 2 + (db < 0 ? -beyond : beyond);
}

QColor residualColor(int step, const WindowPalette& colors) {
    const int beyond = step - kResidualSteps / 2;
    const QColor middle = colors.dark ? QColor(0x9a, 0xa5, 0xad) : QColor(0xa8, 0xb1, 0xb7);
    if (beyond == 0) return middle;
    constexpr std::array<double, 3> kShares{0.4, 0.7, 1};
    return mixed(middle, beyond < 0 ? colors.less : colors.more,
                 kShares[static_cast<std::size_t>(std::abs(beyond) - 1)]);
}

QString residualStepText(int step) {
    const int beyond = step - kResidualSteps / 2;
    const auto bound = [&](int k) {
        return signedFigure((beyond < 0 ? -1 : 1) * kBoundsDb[static_cast<std::size_t>(k)], {}, 0);
    };
    if (beyond == 0) return ResidualWords::tr("within %1").arg(figure(kBoundsDb[0], {}, 0));
    const int last = static_cast<int>(kBoundsDb.size());
    if (beyond == -last) return ResidualWords::tr("below %1").arg(bound(last - 1));
    if (beyond == last) return ResidualWords::tr("above %1").arg(bound(last - 1));
    return beyond < 0 ? ResidualWords::tr("%1 to %2").arg(bound(-beyond), bound(-beyond - 1))
                      : ResidualWords::tr("%1 to %2").arg(bound(beyond - 1), bound(beyond));
}

void ResidualLayer::setMarks(std::vector<ResidualMark> marks) {
    m_marks = std::move(marks);
    // Row by row of the picture: drawn all over it, 100,000 dots wait for memory most of the time.
    std::stable_sort(m_marks.begin(), m_marks.end(),
                     [](const ResidualMark& a, const ResidualMark& b) { return a.at.y > b.at.y; });
    m_stale = true;
    if (m_marks.empty()) m_picture = {}; // costs nothing while it is off
}

void ResidualLayer::draw(const Camera& camera, const WindowPalette& colors, double ratio) {
    ++m_drawn;
    m_of = camera;
    m_ratio = ratio;
    m_dark = colors.dark;
    m_stale = false;
    const QSize size(static_cast<int>(std::ceil((camera.size.width() + 2 * kBeyondPx) * ratio)),
                     static_cast<int>(std::ceil((camera.size.height() + 2 * kBeyondPx) * ratio)));
    if (m_picture.size() != size) m_picture = QImage(size, QImage::Format_ARGB32_Premultiplied);
    m_picture.fill(Qt::transparent);
    m_picture.setDevicePixelRatio(1);
    std::array<QImage, kResidualSteps> dots;
    for (int k = 0; k < kResidualSteps; ++k)
        dots[static_cast<std::size_t>(k)] =
            dotOf(residualColor(k, colors), colors.labelHalo, radiusAt(camera.metresPerPixel), ratio);
    for (const ResidualMark& m : m_marks) {
        const QPointF at = (camera.toScreen(m.at) + QPointF(kBeyondPx, kBeyondPx)) * ratio;
        const double reach = dots[0].width();
        if (at.x() < -reach || at.y() < -reach || at.x() > size.width() + reach ||
            at.y() > size.height() + reach)
            continue;
        stamp(m_picture, dots[static_cast<std::size_t>(residualStep(m.db))], static_cast<int>(at.x()),
              static_cast<int>(at.y()));
    }
    m_picture.setDevicePixelRatio(ratio);
}

void ResidualLayer::paint(QPainter& painter, const Camera& camera, const WindowPalette& colors) {
    if (m_marks.empty()) return;
    const double ratio = painter.device()->devicePixelRatioF();
    // Where the picture's view lies in this one, in whole pixels of the screen, so that dots stay sharp.
    const auto moved = [&] {
        const QPointF by =
            camera.toScreen(m_of.centre) - QPointF(camera.size.width(), camera.size.height()) / 2;
        return QPointF(std::round(by.x() * ratio) / ratio, std::round(by.y() * ratio) / ratio);
    };
    const bool same = !m_stale && camera.metresPerPixel == m_of.metresPerPixel && camera.size == m_of.size &&
                      ratio == m_ratio && colors.dark == m_dark;
    if (!same || std::fabs(moved().x()) > kBeyondPx || std::fabs(moved().y()) > kBeyondPx)
        draw(camera, colors, ratio);
    painter.drawImage(moved() - QPointF(kBeyondPx, kBeyondPx), m_picture);
}

void ResidualLayer::paintLegend(QPainter& p, const Camera& camera, const WindowPalette& c,
                                Qt::LayoutDirection direction) const {
    if (m_marks.empty()) return;
    const QFontMetricsF m(p.font());
    const double line = m.height() + 2, pad = 8, radius = m.ascent() * 0.4, dot = 2 * radius;
    double wide = m.horizontalAdvance(m_title);
    const QString foot = ResidualWords::tr("measured less predicted, dB");
    wide = std::max(wide, m.horizontalAdvance(foot));
    for (int k = 0; k < kResidualSteps; ++k)
        wide = std::max(wide, dot + 6 + m.horizontalAdvance(residualStepText(k)));
    const QSizeF size(std::min(wide + 2 * pad, camera.size.width() - 20),
                      (kResidualSteps + 2) * line + 2 * pad);
    const bool rtl = direction == Qt::RightToLeft;
    const QRectF card(QPointF(rtl ? 10 : camera.size.width() - size.width() - 10,
                              camera.size.height() - size.height() - 10),
                      size);
    p.setPen(c.line);
    p.setBrush(c.raised);
    p.drawRoundedRect(card, 5, 5);
    const QRectF inner = card.adjusted(pad, pad, -pad, -pad);
    const auto row = [&](int k) { return QRectF(inner.left(), inner.top() + k * line, inner.width(), line); };
    const auto near = Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignRight : Qt::AlignLeft);
    p.setPen(c.ink);
    p.drawText(row(0), near, m.elidedText(m_title, Qt::ElideRight, inner.width()));
    p.setPen(c.inkSoft);
    p.drawText(row(1), near, m.elidedText(foot, Qt::ElideRight, inner.width()));
    for (int k = 0; k < kResidualSteps; ++k) {
        // The strongest above, as on a scale.
        const int step = kResidualSteps - 1 - k;
        const QRectF r = row(k + 2);
        p.setPen(Qt::NoPen);
        p.setBrush(residualColor(step, c));
        const double x = rtl ? r.right() - dot / 2 : r.left() + dot / 2;
        p.drawEllipse(QPointF(x, r.center().y()), radius, radius);
        p.setPen(c.ink);
        p.drawText(rtl ? r.adjusted(0, 0, -dot - 6, 0) : r.adjusted(dot + 6, 0, 0, 0), near,
                   residualStepText(step));
    }
}

std::optional<ResidualMark> ResidualLayer::markAt(const Camera& camera, PlanePoint at) const {
    const double reach = (radiusAt(camera.metresPerPixel) + 2) * camera.metresPerPixel;
    const ResidualMark* best = nullptr;
    double nearest = reach * reach;
    for (const ResidualMark& m : m_marks) {
        const double dx = m.at.x - at.x, dy = m.at.y - at.y, d = dx * dx + dy * dy;
        if (d > nearest) continue; // of equal ones the last, which lies uppermost
        nearest = d;
        best = &m;
    }
    return best ? std::optional(*best) : std::nullopt;
}

} // namespace fw
