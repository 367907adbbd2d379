// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/cover_pages.h"

#include "delivery/cautions.h"
#include "print/change_maps.h"
#include "print/findings_list.h"
#include "print/ledger_bars.h"
#include "print/map_drawing.h"
#include "print/symbols.h"

#include <algorithm>

namespace fw {

namespace {

// The largest of the sizes at which a title keeps to its lines; the last one is cut when even that fails.
TextStyle titleStyle(const QString& text, double width) {
    TextStyle style{24, true};
    for (const auto& [pt, lines] : {std::pair{24.0, 2}, {17.0, 3}, {12.0, 5}, {9.5, 9}}) {
        style.pt = pt;
        style.maxLines = 0;
        if (LaidText(text, width, style).lines() <= lines) return style;
        style.maxLines = lines;
    }
    return style;
}

double printFacts(Paper& paper, const Overview& o, double x, double top, double width) {
    const TextStyle soft{7.5, false, paper.colors().inkSoft};
    TextStyle plain{8.5, false, paper.colors().ink};
    plain.maxLines = 2;
    double y = top;
    const auto row = [&](const QString& name, const QString& text) {
        if (text.isEmpty()) return;
        paper.text({x, y + 0.3}, 14, name, soft, "title fact");
        y += std::max(4.2, paper.text({x + 15, y}, width - 15, text, plain, "title fact") + 0.4);
    };
    row(Pack::tr("Issue"), QStringLiteral("%1, %2").arg(q(o.issue.number), q(o.issue.date)));
    row(Pack::tr("Plan of"), q(o.date));
    row(Pack::tr("Planner"), q(o.author));
    row(Pack::tr("Variant"), q(o.variant));
    row(Pack::tr("Grid"), QStringLiteral("%1\nEPSG:%2").arg(q(o.crsName)).arg(o.epsg));
    row(Pack::tr("Ledger"), o.ledgerWord == "settled" ? Pack::tr("settled: loads agree with each other")
                                                      : Pack::tr("live: neighbours at measured loads"));
    return y - top;
}

void printTitle(Flow& flow, const Overview& o) {
    Paper& paper = flow.paper();
    const double factsW = 66, titleW = flow.width() - factsW - 8, x = flow.left();
    paper.painter().fillRect(QRectF(x, flow.y(), 14, 1.4), paper.colors().accent);
    flow.down(3.2);
    const double top = flow.y();
    double y = top;
    y += paper.text({x, y}, titleW, Pack::tr("Site plan pack"), {9.5, false, paper.colors().inkSoft},
                    "kicker") +
         0.8;
    y += paper.text({x, y}, titleW, q(o.planName), titleStyle(q(o.planName), titleW), "plan name") + 1.2;
    TextStyle op{12, false, paper.colors().ink, Qt::AlignLeft, 3};
    y += paper.text({x, y}, titleW, q(o.operatorName), op, "operator");
    const double facts = printFacts(paper, o, x + titleW + 8, top + 0.4, factsW);
    flow.moveTo(std::max(y, top + facts) + 4);
}

void printSummary(Flow& flow, const Overview& o) {
    Paper& paper = flow.paper();
    const int sites = static_cast<int>(o.sites.size());
    const QString counts =
        QStringList{o.smallCells == 1 ? Pack::tr("1 small cell")
                                      : Pack::tr("%1 small cells").arg(o.smallCells),
                    o.radios == 1 ? Pack::tr("1 radio") : Pack::tr("%1 radios").arg(o.radios),
                    sites == 1 ? Pack::tr("1 site") : Pack::tr("%1 sites").arg(sites)}
            .join(QStringLiteral("  ·  "));
    const TextStyle bold{10.5, true, paper.colors().ink}, plain{9, false, paper.colors().ink};
    const double pad = 3, w = flow.width() - 2 * pad;
    const double h =
        Paper::textHeight(counts, w, bold) + Paper::textHeight(q(o.holds), w, plain) + 2 * 2.2 + 0.6;
    paper.painter().fillRect(QRectF(flow.left(), flow.y(), flow.width(), h), paper.colors().wash);
    double y = flow.y() + 2.2;
    y += paper.text({flow.left() + pad, y}, w, counts, bold, "counts") + 0.6;
    paper.text({flow.left() + pad, y}, w, q(o.holds), plain, "holds");
    flow.down(h + 5);
}

void printOverviewMap(Flow& flow, const PackContent& content, const PackOptions& options) {
    constexpr double kFootMm = 23, kLeastMm = 85;
    const double wanted = flow.width() * content.map.bounds.height() / content.map.bounds.width();
    flow.need(std::min(wanted + kFootMm, kLeastMm + kFootMm));
    MapStyle style;
    style.hillshade = options.hillshade;
    for (std::size_t i = 0; i < content.sites.size(); ++i)
        style.numbers.emplace_back(content.sites[i].sheet.mount, QString::number(i + 1));
    QRectF room(flow.left(), flow.y(), flow.width(), flow.room() - kFootMm);
    const double shownW =
        std::min(room.width(), room.height() / content.map.bounds.height() * content.map.bounds.width());
    room.moveLeft(flow.left() + (flow.width() - shownW) / 2);
    MapDrawing map(flow.paper(), content.map, room, style);
    map.draw();
    flow.moveTo(map.frame().bottom());
    flow.down(map.drawFoot(flow.y(), map.frame().width()) + 2);
}

struct Column {
    double at, width;
    QString head;
    Qt::AlignmentFlag align = Qt::AlignLeft;
};

void printSitesHead(Flow& flow, const std::vector<Column>& columns) {
    const TextStyle soft{7, false, flow.paper().colors().inkSoft, Qt::AlignLeft, 1};
    for (const Column& c : columns) {
        TextStyle s = soft;
        s.align = c.align;
        flow.paper().text({flow.left() + c.at, flow.y()}, c.width, c.head, s, "head");
    }
    flow.down(4.4);
}

void printSites(Flow& flow, const PackContent& content) {
    const double w = flow.width();
    const std::vector<Column> columns = {{0, 8, QString()},
                                         {8, w - 116, Pack::tr("Site")},
                                         {w - 104, 18, Pack::tr("Mount")},
                                         {w - 87, 17, Pack::tr("Height (m)"), Qt::AlignRight},
                                         {w - 64, 32, Pack::tr("Azimuths (deg true)")},
                                         {w - 28, 28, Pack::tr("Worst open finding")}};
    flow.heading(Pack::tr("Sites"), 20);
    printSitesHead(flow, columns);
    TextStyle style{8.5, false, flow.paper().colors().ink};
    Paper& paper = flow.paper();
    for (std::size_t i = 0; i < content.overview.sites.size(); ++i) {
        const OverviewSite& s = content.overview.sites[i];
        TextStyle name = style;
        name.maxLines = 4;
        const double h = std::max({4.6, Paper::textHeight(q(s.name), columns[1].width, name),
                                   Paper::textHeight(q(s.azimuths), columns[4].width, style)}) +
                         1.6;
        const int page = paper.page();
        flow.need(h);
        if (paper.page() != page) printSitesHead(flow, columns);
        const double y = flow.y();
        paper.rule(flow.left(), y - 0.4, w, paper.colors().hairline);
        drawBadge(paper, {flow.left() + 2.4, y + 2.1}, QString::number(i + 1), 3.8, true);
        const QString cells[] = {
            {}, q(s.name), q(s.kindWord), QString::number(s.heightAgl, 'f', 1), q(s.azimuths), q(s.openWord)};
        for (std::size_t k = 1; k < columns.size(); ++k) {
            TextStyle cell = k == 1 ? name : style;
            cell.align = columns[k].align;
            paper.text({flow.left() + columns[k].at, y + 0.2}, columns[k].width, cells[k], cell, "site");
        }
        flow.down(h);
    }
    flow.down(4);
}

void printAllFindings(Flow& flow, const Overview& o) {
    const QString count = Pack::tr("square filled: block, half filled: warn, hollow: note");
    flow.heading(Pack::tr("Open findings"), 14, count);
    if (o.open.empty()) flow.paragraph(Pack::tr("None at the sites of this pack."));
    printFindings(flow, o.open);
    const TextStyle soft{8, false, flow.paper().colors().inkSoft};
    if (o.otherOpen == 1)
        flow.paragraph(Pack::tr("1 more open finding concerns a candidate that is not part of this pack."),
                       soft);
    if (o.otherOpen > 1)
        flow.paragraph(Pack::tr("%1 more open findings concern candidates that are not part of this pack.")
                           .arg(o.otherOpen),
                       soft);
    flow.down(3);
    if (!o.stands.empty()) {
        flow.heading(Pack::tr("Findings that stand, with their reasons"), 14);
        printFindings(flow, o.stands);
        flow.down(3);
    }
    if (o.remarks.empty()) return;
    flow.heading(Pack::tr("Remarks on the figures"));
    for (const std::string& r : o.remarks) flow.paragraph(q(r));
    flow.down(3);
}

} // namespace

void printCover(Flow& flow, const PackContent& content, const PackOptions& options) {
    const Overview& o = content.overview;
    flow.startPage(q(o.planName));
    printTitle(flow, o);
    printSummary(flow, o);
    flow.heading(Pack::tr("Cells before and after"), ledgerBarsHeight(1));
    const std::size_t shown = coverRows(o);
    printLedgerBars(flow, o, 0, shown);
    if (shown < o.cells.size())
        flow.paragraph(Pack::tr("%1 more cells change; they follow after the list of sites.")
                           .arg(o.cells.size() - shown),
                       {8, false, flow.paper().colors().inkSoft});
    flow.down(2);
    printOverviewMap(flow, content, options);
    // The phrase stands at the foot of the cover, wherever the map ends.
    const TextStyle defer{8, true, flow.paper().colors().ink};
    const double deferMm = Paper::textHeight(q(deferPhrase()), flow.width(), defer);
    if (flow.room() > deferMm + 1) {
        flow.down(flow.room() - deferMm - 1);
        flow.paragraph(q(deferPhrase()), defer, 0, "defer");
    }
    flow.startPage(q(o.planName));
    printSites(flow, content);
    if (shown < o.cells.size()) {
        flow.heading(Pack::tr("More cells before and after"), ledgerBarsHeight(1));
        printLedgerBars(flow, o, shown, o.cells.size());
        flow.down(3);
    }
    printChangeMaps(flow, content);
    printAllFindings(flow, o);
    flow.paragraph(QString::fromStdString(deferPhrase()), {8, true, flow.paper().colors().ink}, 0, "defer");
}

} // namespace fw
