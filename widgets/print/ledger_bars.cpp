// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/ledger_bars.h"

#include "study/holds.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr double kRowMm = 6.6, kHeadMm = 5, kKeyMm = 6, kNameMm = 46, kUseBarMm = 78;

// A bar's end, clipped at full use: what lies beyond is said by the figure.
double mm(double share) { return std::clamp(share, 0.0, 1.0) * kUseBarMm; }

void drawBars(Paper& paper, const OverviewCell& c, double x, double y) {
    QPainter& p = paper.painter();
    const PaperPalette& colors = paper.colors();
    p.fillRect(QRectF(x, y + 0.9, kUseBarMm, 4.2), colors.wash);
    p.setPen(paper.pen(colors.inkFaint, 0.2));
    p.setBrush(colors.block);
    p.drawRect(QRectF(x, y + 0.9, mm(c.before), 4.2));
    p.fillRect(QRectF(x, y + 1.9, mm(c.after), 2.2), colors.ink);
    if (c.harm > 0) {
        const double from = mm(c.after - c.harm);
        p.fillRect(QRectF(x + from, y + 1.9, mm(c.after) - from, 2.2), colors.accent);
    }
    p.setPen(paper.pen(colors.ink, 0.35));
    p.drawLine(QPointF(x + mm(c.target), y + 0.3), QPointF(x + mm(c.target), y + 5.7));
    p.setBrush(Qt::NoBrush);
}

void printRow(Flow& flow, const OverviewCell& c) {
    Paper& paper = flow.paper();
    const double x = flow.left(), y = flow.y();
    TextStyle name{8.5, c.congested, paper.colors().ink, Qt::AlignLeft, 1};
    paper.text({x, y + 1}, kNameMm - 2, QString::fromStdString(c.name), name, "cell");
    drawBars(paper, c, x + kNameMm, y);
    paper.place(QRectF(x + kNameMm, y + 0.3, kUseBarMm, 5.4), "bar");
    TextStyle figure{8.5, false, paper.colors().ink, Qt::AlignRight, 1};
    const double f = x + kNameMm + kUseBarMm;
    paper.text({f + 2, y + 1}, 11, percentText(c.before), figure, "before");
    figure.bold = true;
    paper.text({f + 14, y + 1}, 11, percentText(c.after), figure, "after");
    figure.bold = false;
    const QString holds = c.holdsMonths ? q(monthsText(*c.holdsMonths))
                          : c.congested ? Pack::tr("target not met")
                                        : QString();
    figure.pt = 8;
    paper.text({f + 26, y + 1.1}, flow.width() - kNameMm - kUseBarMm - 26, holds, figure, "holds");
    flow.down(kRowMm);
}

void printHead(Flow& flow) {
    Paper& paper = flow.paper();
    TextStyle soft{7, false, paper.colors().inkSoft, Qt::AlignLeft, 1};
    const double x = flow.left(), y = flow.y(), f = x + kNameMm + kUseBarMm;
    paper.text({x, y}, kNameMm - 2, Pack::tr("Cell (bold: congested)"), soft, "head");
    paper.text({x + kNameMm, y}, kUseBarMm, Pack::tr("Downlink PRB use in the busy hour, 0 to 100 %"), soft,
               "head");
    soft.align = Qt::AlignRight;
    paper.text({f + 1, y}, 12, Pack::tr("before"), soft, "head");
    paper.text({f + 14, y}, 11, Pack::tr("after"), soft, "head");
    paper.text({f + 26, y}, flow.width() - kNameMm - kUseBarMm - 26, Pack::tr("holds for"), soft, "head");
    flow.down(kHeadMm);
}

void printKey(Flow& flow, bool harm) {
    Paper& paper = flow.paper();
    QPainter& p = paper.painter();
    const TextStyle soft{7, false, paper.colors().inkSoft};
    double x = flow.left() + kNameMm;
    const double y = flow.y() + 0.6;
    const auto key = [&](const QString& text, double room, auto&& draw) {
        draw(x);
        paper.text({x + room, y}, 60, text, soft, "key");
        x += room + Paper::textWidth(text, soft) + 4;
    };
    key(Pack::tr("before"), 5, [&](double at) {
        p.setPen(paper.pen(paper.colors().inkFaint, 0.2));
        p.setBrush(paper.colors().block);
        p.drawRect(QRectF(at, y + 0.3, 4, 2.6));
        p.setBrush(Qt::NoBrush);
    });
    key(Pack::tr("after"), 5,
        [&](double at) { p.fillRect(QRectF(at, y + 0.8, 4, 1.6), paper.colors().ink); });
    if (harm)
        key(Pack::tr("of it, from the small cells' interference"), 5,
            [&](double at) { p.fillRect(QRectF(at, y + 0.8, 4, 1.6), paper.colors().accent); });
    key(Pack::tr("target"), 2, [&](double at) {
        p.setPen(paper.pen(paper.colors().ink, 0.35));
        p.drawLine(QPointF(at + 0.6, y), QPointF(at + 0.6, y + 3.2));
    });
    flow.down(kKeyMm);
}

} // namespace

double ledgerBarsHeight(std::size_t rows) { return kHeadMm + kKeyMm + kRowMm * static_cast<double>(rows); }

std::size_t coverRows(const Overview& o) {
    return std::min<std::size_t>(o.cells.size(), o.cells.size() <= 9 ? 9 : 8);
}

void printLedgerBars(Flow& flow, const Overview& o, std::size_t from, std::size_t to) {
    if (o.cells.empty()) {
        flow.paragraph(Pack::tr("No cell is congested, and none changes by half a point or more."));
        return;
    }
    printHead(flow);
    bool harm = false;
    for (std::size_t i = from; i < to; ++i) {
        const OverviewCell& c = o.cells[i];
        const int page = flow.paper().page();
        flow.need(kRowMm + kKeyMm);
        if (flow.paper().page() != page) printHead(flow);
        printRow(flow, c);
        harm = harm || c.harm > 0.0005;
    }
    printKey(flow, harm);
}

} // namespace fw
