// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/change_maps.h"

#include "canvas/ground_tint.h"
#include "print/map_drawing.h"
#include "study/change_rasters.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr double kDotsPerMm = 200 / 25.4, kGapMm = 5, kMostMm = 110;
constexpr double kWordMm = 4.6, kBarMm = 3.4, kFiguresMm = 4, kMeaningMm = 8;
constexpr std::array<double, kTintSteps - 1> kChangeBounds{-12, -6, -3, 0, 3, 6, 12};
constexpr double kLeastChangeDb = 0.5;

// One of the two scales: amounts in one hue, changes in two.
struct Scale {
    const std::array<double, kTintSteps - 1>& bounds;
    TintMoment moment;
    [[nodiscard]] QColor color(int step, const PaperPalette& paper) const {
        if (moment != TintMoment::change) return dayPalette().amount[static_cast<std::size_t>(step)];
        const QColor c = tintColor(GroundTint::sinr, step, dayPalette(), moment);
        const auto mix = [&](float top, float below) { return top * c.alphaF() + below * (1 - c.alphaF()); };
        return QColor::fromRgbF(mix(c.redF(), paper.wash.redF()), mix(c.greenF(), paper.wash.greenF()),
                                mix(c.blueF(), paper.wash.blueF()));
    }
    [[nodiscard]] QRgb at(double centi, const PaperPalette& paper) const {
        if (moment == TintMoment::change && std::abs(centi) < 100 * kLeastChangeDb) return 0;
        return color(static_cast<int>(std::upper_bound(bounds.begin(), bounds.end(), centi / 100) -
                                      bounds.begin()),
                     paper)
            .rgb();
    }
};

// Between four cells, of those that are there; false where the nearest is not.
bool between(const Grid<std::int16_t>& g, double x, double y, double& out) {
    const int c = static_cast<int>(std::floor(x - 0.5)), r = static_cast<int>(std::floor(y - 0.5));
    const double u = x - 0.5 - c, v = y - 0.5 - r;
    const int nearC = static_cast<int>(std::floor(x)), nearR = static_cast<int>(std::floor(y));
    if (!g.inside(nearC, nearR) || g.at(nearC, nearR) == kNothingHeard) return false;
    double sum = 0, weight = 0;
    for (int k = 0; k < 4; ++k) {
        const int cc = c + k % 2, rr = r + k / 2;
        if (!g.inside(cc, rr) || g.at(cc, rr) == kNothingHeard) continue;
        const double w = (k % 2 ? u : 1 - u) * (k / 2 ? v : 1 - v);
        sum += w * g.at(cc, rr);
        weight += w;
    }
    if (weight <= 0) return false;
    out = sum / weight;
    return true;
}

// After less before, where both are heard.
Grid<std::int16_t> differenceOf(const ChangeMap& m) {
    Grid<std::int16_t> out = m.after;
    for (std::size_t i = 0; i < out.cells.size(); ++i)
        out.cells[i] = static_cast<std::int16_t>(
            std::clamp(changeOf(m.before.cells[i], m.after.cells[i], kNothingHeard), kNothingHeard, 32000));
    return out;
}

void printSteps(Flow& flow, const Scale& scale, double x, double width) {
    Paper& paper = flow.paper();
    QPainter& p = paper.painter();
    const double step = std::min(14.0, (width - 8) / kTintSteps), y = flow.y();
    for (int k = 0; k < kTintSteps; ++k)
        p.fillRect(QRectF(x + k * step, y, step, kBarMm), scale.color(k, paper.colors()));
    p.setPen(paper.pen(paper.colors().inkFaint, 0.15));
    p.setBrush(Qt::NoBrush);
    p.drawRect(QRectF(x, y, step * kTintSteps, kBarMm));
    paper.place(QRectF(x, y, step * kTintSteps, kBarMm), "steps");
    TextStyle figures{7, false, paper.colors().inkSoft, Qt::AlignHCenter, 1};
    for (std::size_t k = 0; k < scale.bounds.size(); ++k) {
        const double b = scale.bounds[k];
        const QString sign = scale.moment == TintMoment::change && b > 0 ? QStringLiteral("+") : QString();
        paper.text({x + static_cast<double>(k) * step + step / 2, y + kBarMm + 0.4}, step,
                   sign + QString::number(b, 'f', 0), figures, "step");
    }
    figures.align = Qt::AlignLeft;
    paper.text({x + step * kTintSteps + 2, y}, 6, QStringLiteral("dB"), figures, "unit");
    flow.down(kBarMm + kFiguresMm);
}

// One map with its word above it.
void printMap(Flow& flow, const PackContent& content, const Grid<std::int16_t>& cells, const Scale& scale,
              const QRectF& room, const QString& name) {
    Paper& paper = flow.paper();
    const TextStyle word{8.5, true, paper.colors().ink, Qt::AlignLeft, 1};
    paper.text(room.topLeft(), room.width(), name, word, "moment");
    MapStyle style;
    style.tintBox = cells.bounds();
    style.tint = stepPicture(cells, cells.cellM * room.width() / content.map.bounds.width(), kDotsPerMm,
                             [&](double centi) { return scale.at(centi, paper.colors()); });
    MapDrawing(paper, content.map, room.adjusted(0, kWordMm, 0, 0.01), style).draw();
}

} // namespace

QImage stepPicture(const Grid<std::int16_t>& g, double cellMm, double dotsPerMm, const StepColor& color) {
    const int fine = std::clamp(static_cast<int>(std::ceil(cellMm * dotsPerMm)), 1, 16);
    QImage image(g.width * fine, g.height * fine, QImage::Format_ARGB32_Premultiplied);
    image.fill(Qt::transparent);
    for (int y = 0; y < image.height(); ++y) {
        auto* line = reinterpret_cast<QRgb*>(image.scanLine(image.height() - 1 - y));
        for (int x = 0; x < image.width(); ++x) {
            double centi = 0;
            if (between(g, (x + 0.5) / fine, (y + 0.5) / fine, centi)) line[x] = color(centi);
        }
    }
    return image;
}

void printChangeMaps(Flow& flow, const PackContent& content) {
    const ChangeMap& change = content.change;
    if (change.before.empty()) return;
    const Box& bounds = content.map.bounds;
    const double w = std::min((flow.width() - kGapMm) / 2, kMostMm * bounds.width() / bounds.height());
    const double h = w * bounds.height() / bounds.width(), mapMm = kWordMm + h + 2;
    const Scale amounts{kSinrBounds, TintMoment::after}, changes{kChangeBounds, TintMoment::change};
    const TextStyle soft{7.5, false, flow.paper().colors().inkSoft};
    flow.heading(Pack::tr("SINR before and after"), mapMm + kBarMm + kFiguresMm + kMeaningMm);
    const double x = flow.left(), beside = x + w + kGapMm;
    printMap(flow, content, change.before, amounts, {x, flow.y(), w, kWordMm + h},
             Pack::tr("Before: macros alone"));
    printMap(flow, content, change.after, amounts, {beside, flow.y(), w, kWordMm + h},
             Pack::tr("After: with the chosen small cells"));
    flow.down(mapMm);
    printSteps(flow, amounts, x, flow.width());
    flow.paragraph(Pack::tr("SINR of the cell that serves, 1.5 m above open ground, median: macros send as "
                            "measured, small cells as planned; over all carriers."),
                   soft);
    flow.down(3);
    flow.need(mapMm);
    const double top = flow.y();
    printMap(flow, content, differenceOf(change), changes, {x, top, w, kWordMm + h},
             Pack::tr("Change: after less before"));
    flow.moveTo(top + kWordMm);
    printSteps(flow, changes, beside, w);
    flow.paper().text({beside, flow.y()}, w,
                      Pack::tr("Changes of less than 0.5 dB are left plain. A small cell that takes over "
                               "raises the SINR where it serves; round it, those who stay with a macro of "
                               "its carrier hear it as interference."),
                      soft, "meaning");
    flow.moveTo(top + mapMm + 3);
}

} // namespace fw
