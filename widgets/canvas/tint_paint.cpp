// SPDX-License-Identifier: GPL-3.0-or-later
// Drawing of a tint: every pixel of the device looks up the ground below its centre, so that steps and
// serving areas keep smooth edges at any scale.
#include "canvas/ground_tint.h"

#include <QImage>
#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr float kFaintest = 0.3F, kAlphaStep = 0.06F; // little is fainter than much
constexpr float kLeastChangeAlpha = 0.22F, kChangeAlphaStep = 0.2F;
constexpr float kClassAlpha = 0.42F, kClassAlphaDark = 0.34F, kBorderAlpha = 0.85F;
constexpr double kHatchPx = 7;                      // between the lines of a fringe's hatch
constexpr double kMostDevicePixels = 4096 * 4096.0; // of one painted box

// Pixels of one resolution under a box, with a rim of one.
template <class T>
struct Window {
    int x0 = 0, y0 = 0, w = 0, h = 0; // in pixels of that resolution from the plan's origin
    double pixelM = 4;
    std::vector<T> values;
    [[nodiscard]] T at(int x, int y) const {
        return values[static_cast<std::size_t>(y - y0) * static_cast<std::size_t>(w) +
                      static_cast<std::size_t>(x - x0)];
    }
};

template <class T, class Part>
Window<T> windowOf(const TintPicture& p, const Box& plane, std::size_t detail, Part&& part) {
    Window<T> out;
    out.pixelM = kRasterPixelM * static_cast<double>(1 << detail);
    const int side = kRasterPixels >> detail;
    out.x0 = static_cast<int>(std::floor(plane.x0 / out.pixelM - 0.5)) - 1;
    out.y0 = static_cast<int>(std::floor(plane.y0 / out.pixelM - 0.5)) - 1;
    out.w = static_cast<int>(std::floor(plane.x1 / out.pixelM + 0.5)) + 3 - out.x0;
    out.h = static_cast<int>(std::floor(plane.y1 / out.pixelM + 0.5)) + 3 - out.y0;
    out.values.assign(static_cast<std::size_t>(out.w) * static_cast<std::size_t>(out.h), T{});
    const Box ground{out.x0 * out.pixelM, out.y0 * out.pixelM, (out.x0 + out.w) * out.pixelM,
                     (out.y0 + out.h) * out.pixelM};
    for (const TileKey key : tilesOf(ground)) {
        const TintTile* tile = p.tile(key);
        if (!tile || part(*tile)[detail].empty()) continue;
        const std::vector<T>& from = part(*tile)[detail];
        const int tx = key.x * side, ty = key.y * side;
        const int c0 = std::max(tx, out.x0), c1 = std::min(tx + side, out.x0 + out.w);
        for (int y = std::max(ty, out.y0); y < std::min(ty + side, out.y0 + out.h) && c0 < c1; ++y)
            std::copy_n(from.begin() + (y - ty) * side + (c0 - tx), c1 - c0,
                        out.values.begin() + static_cast<std::ptrdiff_t>(y - out.y0) * out.w + (c0 - out.x0));
    }
    return out;
}

// Where along one axis a device pixel lies between two pixels of a window.
struct Between {
    int first = 0;
    int share = 0; // of the second, 0..256
};

std::vector<Between> betweens(int n, double from, double step, double pixelM) {
    std::vector<Between> out(static_cast<std::size_t>(n));
    for (int k = 0; k < n; ++k) {
        const double u = (from + (k + 0.5) * step) / pixelM - 0.5, whole = std::floor(u);
        out[static_cast<std::size_t>(k)] = {static_cast<int>(whole), static_cast<int>((u - whole) * 256)};
    }
    return out;
}

QRgb premultiplied(const QColor& c) { return qPremultiply(c.rgba()); }

QRgb scaled(QRgb c, int share) { // of 256
    auto part = [share](int v) { return (v * share) >> 8; };
    return qRgba(part(qRed(c)), part(qGreen(c)), part(qBlue(c)), part(qAlpha(c)));
}

void fillAmounts(QImage& image, const Window<std::uint8_t>& w, const std::vector<Between>& xs,
                 const std::vector<Between>& ys, const TintPicture& p, const WindowPalette& colors) {
    std::array<QRgb, 256> table{};
    for (int v = 1; v < 256; ++v)
        table[static_cast<std::size_t>(v)] = premultiplied(
            tintColor(p.tint, std::min(kTintSteps - 1, v * kTintSteps / 256), colors, p.moment));
    for (int y = 0; y < image.height(); ++y) {
        auto* line = reinterpret_cast<QRgb*>(image.scanLine(y));
        const Between& b = ys[static_cast<std::size_t>(y)];
        for (int x = 0; x < image.width(); ++x) {
            const Between& a = xs[static_cast<std::size_t>(x)];
            const int v00 = w.at(a.first, b.first), v10 = w.at(a.first + 1, b.first),
                      v01 = w.at(a.first, b.first + 1), v11 = w.at(a.first + 1, b.first + 1);
            const int s10 = a.share * (256 - b.share), s01 = (256 - a.share) * b.share,
                      s11 = a.share * b.share, s00 = 65536 - s10 - s01 - s11;
            const int cover = (v00 ? s00 : 0) + (v10 ? s10 : 0) + (v01 ? s01 : 0) + (v11 ? s11 : 0);
            if (!cover) {
                line[x] = 0;
                continue;
            }
            const int sum = v00 * s00 + v10 * s10 + v01 * s01 + v11 * s11;
            const QRgb c = table[static_cast<std::size_t>(std::clamp((sum + cover / 2) / cover, 1, 255))];
            line[x] = cover == 65536 ? c : scaled(c, cover >> 8);
        }
    }
}

// Of four servers the one with the most weight round a place.
std::uint16_t heaviest(const std::array<std::uint16_t, 4>& v, const std::array<int, 4>& s) {
    if (v[0] == v[1] && v[0] == v[2] && v[0] == v[3]) return v[0];
    std::uint16_t best = 0;
    int most = -1;
    for (std::size_t k = 0; k < 4; ++k) {
        int sum = 0;
        for (std::size_t o = 0; o < 4; ++o)
            if (v[o] == v[k]) sum += s[o];
        if (sum > most) {
            most = sum;
            best = v[k];
        }
    }
    return best;
}

// The image is larger than what is shown by `rim` to the east and south, so that borders run on.
void fillServers(QImage& image, int rim, const Window<std::uint16_t>& w, const std::vector<Between>& xs,
                 const std::vector<Between>& ys, const TintPicture& p, const WindowPalette& colors) {
    const int wide = image.width() + rim, high = image.height() + rim;
    std::vector<std::uint16_t> server(static_cast<std::size_t>(wide) * static_cast<std::size_t>(high));
    for (int y = 0; y < high; ++y) {
        const Between& b = ys[static_cast<std::size_t>(y)];
        for (int x = 0; x < wide; ++x) {
            const Between& a = xs[static_cast<std::size_t>(x)];
            const int s10 = a.share * (256 - b.share), s01 = (256 - a.share) * b.share,
                      s11 = a.share * b.share;
            server[static_cast<std::size_t>(y) * static_cast<std::size_t>(wide) +
                   static_cast<std::size_t>(x)] =
                heaviest({w.at(a.first, b.first), w.at(a.first + 1, b.first), w.at(a.first, b.first + 1),
                          w.at(a.first + 1, b.first + 1)},
                         {65536 - s10 - s01 - s11, s10, s01, s11});
        }
    }
    std::array<QRgb, kTintSteps> table{};
    for (int c = 0; c < kTintSteps; ++c)
        table[static_cast<std::size_t>(c)] = premultiplied(tintColor(GroundTint::bestServer, c, colors));
    const QRgb border = premultiplied(tintBorder(colors));
    for (int y = 0; y < image.height(); ++y) {
        auto* line = reinterpret_cast<QRgb*>(image.scanLine(y));
        const std::uint16_t* row = server.data() + static_cast<std::ptrdiff_t>(y) * wide;
        const std::uint16_t* below = row + static_cast<std::ptrdiff_t>(rim) * wide;
        for (int x = 0; x < image.width(); ++x) {
            const std::uint16_t s = row[x];
            if (!s) {
                line[x] = 0;
                continue;
            }
            const bool edge = (row[x + rim] && row[x + rim] != s) || (below[x] && below[x] != s);
            line[x] = edge ? border : table[static_cast<std::size_t>(p.classes[s - 1u].color)];
        }
    }
}

void hatchFringes(QPainter& painter, const Box& plane, double mpp, const TintPicture& p,
                  const WindowPalette& colors) {
    const auto at = [&](PlanePoint q) { return QPointF((q.x - plane.x0) / mpp, (plane.y1 - q.y) / mpp); };
    const double width = plane.width() / mpp, height = plane.height() / mpp;
    // Lines run through the plan, not through the box: neighbouring boxes meet.
    const double phase = std::fmod((plane.x0 - plane.y1) / mpp, kHatchPx);
    for (const TintPicture::Fringe& f : p.fringes) {
        if (!f.bounds.meets(plane)) continue;
        QPainterPath path;
        path.setFillRule(Qt::OddEvenFill);
        for (const Polygon& area : f.areas) {
            auto add = [&](const Ring& ring) {
                QPolygonF poly;
                for (const PlanePoint& q : ring) poly << at(q);
                path.addPolygon(poly);
                path.closeSubpath();
            };
            add(area.outer);
            for (const Ring& hole : area.holes) add(hole);
        }
        painter.save();
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(colors.area, 1.6));
        painter.drawPath(path);
        painter.setClipPath(path, Qt::IntersectClip);
        painter.setPen(QPen(colors.area, 1));
        for (double c = -phase - kHatchPx; c < width + height; c += kHatchPx) // x + y = c
            painter.drawLine(QPointF(c, 0), QPointF(c - height, height));
        painter.restore();
    }
}

} // namespace

QColor tintColor(GroundTint tint, int step, const WindowPalette& colors, TintMoment moment) {
    const auto k = static_cast<std::size_t>(std::clamp(step, 0, kTintSteps - 1));
    const bool classes = tint == GroundTint::bestServer;
    if (moment == TintMoment::change && !classes) {
        constexpr std::size_t half = kTintSteps / 2;
        QColor c = k < half ? colors.less : colors.more;
        const auto strength = static_cast<float>(k < half ? half - 1 - k : k - half);
        c.setAlphaF(kLeastChangeAlpha + kChangeAlphaStep * strength);
        return c;
    }
    QColor c = classes ? colors.classes[k] : colors.amount[k];
    c.setAlphaF(!classes      ? kFaintest + kAlphaStep * static_cast<float>(k)
                : colors.dark ? kClassAlphaDark
                              : kClassAlpha);
    return c;
}

QColor tintBorder(const WindowPalette& colors) {
    QColor ink = colors.ink;
    ink.setAlphaF(kBorderAlpha);
    return ink;
}

void paintTint(QPainter& painter, const Box& plane, double mpp, const TintPicture& p,
               const WindowPalette& colors) {
    if (plane.empty() || p.tiles.empty() || mpp <= 0) return;
    double scale = std::max(0.1, std::abs(painter.deviceTransform().m11()));
    const double width = plane.width() / mpp, height = plane.height() / mpp;
    scale = std::min(scale, std::sqrt(kMostDevicePixels / std::max(1.0, width * height)));
    const int w = static_cast<int>(std::ceil(width * scale)), h = static_cast<int>(std::ceil(height * scale));
    if (w < 1 || h < 1) return;
    const double step = mpp / scale; // metres in a pixel of the device
    // Borders need room: servers come one resolution coarser once pixels are small.
    const double least = step * (p.tint == GroundTint::bestServer && step > 1.5 ? 2.4 : 1.2);
    std::size_t detail = 0;
    while (detail + 1 < kTintDetails && kRasterPixelM * (2 << detail) <= least) ++detail;
    const double pixelM = kRasterPixelM * static_cast<double>(1 << detail);
    const int rim = std::max(1, static_cast<int>(std::lround(scale)));
    const auto xs = betweens(w + rim, plane.x0, step, pixelM),
               ys = betweens(h + rim, plane.y1, -step, pixelM);
    const Box looked{plane.x0, plane.y1 - (h + rim) * step, plane.x0 + (w + rim) * step, plane.y1};
    QImage image(w, h, QImage::Format_ARGB32_Premultiplied);
    if (p.tint == GroundTint::bestServer)
        fillServers(image, rim,
                    windowOf<std::uint16_t>(
                        p, looked, detail, [](const TintTile& t) -> auto& { return t.server; }),
                    xs, ys, p, colors);
    else
        fillAmounts(image,
                    windowOf<std::uint8_t>(
                        p, looked, detail, [](const TintTile& t) -> auto& { return t.amount; }),
                    xs, ys, p, colors);
    painter.drawImage(QRectF(0, 0, w / scale, h / scale), image);
    if (!p.fringes.empty()) {
        painter.save();
        painter.setRenderHint(QPainter::Antialiasing);
        painter.setClipRect(QRectF(0, 0, width, height), Qt::IntersectClip);
        hatchFringes(painter, plane, mpp, p, colors);
        painter.restore();
    }
}

} // namespace fw
