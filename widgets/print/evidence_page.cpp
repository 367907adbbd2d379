// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/evidence_page.h"

#include "base/text.h"
#include "delivery/export_works.h"
#include "print/flow.h"
#include "print/ledger_bars.h"
#include "print/map_drawing.h"

#include <QBuffer>
#include <QPdfWriter>

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

constexpr std::size_t kMostRows = 6; // so that all goes on one page, Letter too
constexpr double kMoreMm = 3.6;      // a line that says how many reasons are not there
constexpr double kBarsHeadMm = 14, kLeastMapMm = 40, kMapFootMm = 16, kFootnoteMm = 13;

void printHead(Flow& flow, const Overview& o) {
    Paper& paper = flow.paper();
    const double x = flow.left(), w = flow.width(), facts = 62;
    paper.painter().fillRect(QRectF(x, flow.y(), 14, 1.4), paper.colors().accent);
    flow.down(3);
    double y = flow.y();
    y += paper.text({x, y}, w - facts - 6, Pack::tr("Evidence for approval"),
                    {9.5, false, paper.colors().inkSoft}, "kicker");
    TextStyle title{17, true, paper.colors().ink};
    title.maxLines = 2;
    y += paper.text({x, y + 0.6}, w - facts - 6, q(o.planName), title, "plan name") + 0.6;
    TextStyle soft{8.5, false, paper.colors().inkSoft};
    soft.maxLines = 2;
    y += paper.text({x, y + 0.4}, w - facts - 6, q(o.operatorName), soft, "operator");
    TextStyle right = soft;
    right.maxLines = 1;
    double f = flow.y() + 0.4;
    for (const QString& line :
         {Pack::tr("Variant: %1").arg(q(o.variant)), Pack::tr("Plan of %1").arg(q(o.date)),
          Pack::tr("Planner: %1").arg(q(o.author)), Pack::tr("Loads: settled")})
        f += paper.text({x + w - facts, f}, facts, line, right, "fact") + 0.5;
    flow.moveTo(std::max(y, f) + 2.5);
}

void printFigures(Flow& flow, const Evidence& e) {
    Paper& paper = flow.paper();
    const double gap = 3, wide = (flow.width() - gap * 4) / 5, pad = 2;
    TextStyle value{12.5, true, paper.colors().ink}, says{7.5, false, paper.colors().inkSoft};
    value.maxLines = 1;
    double tall = 0;
    for (const EvidenceFigure& f : e.figures)
        tall = std::max(tall, Paper::textHeight(q(f.value), wide - 2 * pad, value) +
                                  Paper::textHeight(q(f.says), wide - 2 * pad, says) + 2 * pad);
    double x = flow.left();
    for (const EvidenceFigure& f : e.figures) {
        paper.painter().fillRect(QRectF(x, flow.y(), wide, tall), paper.colors().wash);
        const double y = flow.y() + pad;
        const double down = paper.text({x + pad, y}, wide - 2 * pad, q(f.value), value, "figure");
        paper.text({x + pad, y + down}, wide - 2 * pad, q(f.says), says, "figure says");
        x += wide + gap;
    }
    flow.down(tall + 4);
}

struct FigureColumn {
    QString head;
    double wide;
};

std::vector<FigureColumn> columnsOf(double width) {
    std::vector<FigureColumn> out{
        {Pack::tr("Full cell"), 0},    {Pack::tr("now"), 10},           {Pack::tr("nothing: full in"), 21},
        {Pack::tr("balanced"), 14},    {Pack::tr("carrier more"), 18},  {Pack::tr("sector split"), 17},
        {Pack::tr("small cells"), 16}, {Pack::tr("8 of 10 draws"), 22}, {Pack::tr("at target"), 16}};
    double rest = width;
    for (const FigureColumn& c : out) rest -= c.wide;
    out.front().wide = rest;
    return out;
}

// What one row says, column by column.
QStringList wordsOf(const EvidenceRow& r) {
    const CellCase& c = r.ways;
    return {q(r.name),
            percentText(c.before),
            c.fullMonths ? Pack::tr("%1 months").arg(static_cast<int>(std::floor(*c.fullMonths))) : QString(),
            c.carriers > 1 ? percentText(c.balanced) : QStringLiteral("\u2013"),
            percentText(c.lit),
            percentText(c.split),
            percentText(c.small),
            Pack::tr("%1 to %2").arg(percentText(r.after.p10), percentText(r.after.p90)),
            Pack::tr("%1 in 100").arg(inHundred(r.reaches))};
}

std::size_t barRows(const Evidence& e) {
    return std::min({e.overview.cells.size(), std::max<std::size_t>(e.rows.size(), 5), kMostRows});
}
// What the pictures and the footnote want at least.
double picturesRoom(const Evidence& e) {
    return kBarsHeadMm + ledgerBarsHeight(barRows(e)) + kLeastMapMm + kMapFootMm + kFootnoteMm;
}

void printWays(Flow& flow, const Evidence& e) {
    Paper& paper = flow.paper();
    const auto columns = columnsOf(flow.width());
    const auto line = [&](const QStringList& words, TextStyle style, std::size_t bold, const char* what) {
        double x = flow.left(), tall = 0;
        for (std::size_t k = 0; k < columns.size(); ++k) {
            TextStyle s = style;
            s.align = k == 0 ? Qt::AlignLeft : Qt::AlignRight;
            s.bold = k == bold;
            s.maxLines = 1;
            tall = std::max(
                tall, paper.text({x, flow.y()}, columns[k].wide - 1.5, words[static_cast<int>(k)], s, what));
            x += columns[k].wide;
        }
        flow.down(tall + 0.7);
    };
    flow.heading(Pack::tr("Use in the busy hour, by what is done"), 12,
                 e.rows.empty() ? QString()
                                : Pack::tr("target %1").arg(percentText(e.rows.front().ways.target)));
    QStringList heads;
    for (const FigureColumn& c : columns) heads << c.head;
    line(heads, {7, false, paper.colors().inkSoft}, columns.size(), "head");
    const std::size_t shown = std::min(e.rows.size(), kMostRows);
    for (std::size_t i = 0; i < shown; ++i) {
        paper.rule(flow.left(), flow.y() - 0.3, flow.width(), paper.colors().hairline);
        line(wordsOf(e.rows[i]), {8.2, false, paper.colors().ink}, 6, "way");
    }
    const TextStyle soft{7.5, false, paper.colors().inkSoft};
    if (shown < e.rows.size())
        flow.paragraph(Pack::tr("%1 more full cells are in the ledger.").arg(e.rows.size() - shown), soft);
    std::size_t said = 0;
    for (; said < shown; ++said) {
        const QString text = QStringLiteral("%1: %2").arg(q(e.rows[said].name), q(e.rows[said].ways.reason));
        const double more = said + 1 < shown ? kMoreMm : 0;
        if (Paper::textHeight(text, flow.width(), soft) + more > flow.room() - picturesRoom(e)) break;
        flow.paragraph(text, soft);
    }
    if (said < shown)
        flow.paragraph(said + 1 == shown
                           ? Pack::tr("The reason of one more stands in the ledger.")
                           : Pack::tr("The reasons of %1 more stand in the ledger.").arg(shown - said),
                       soft);
    flow.down(2);
}

// Bars from one to nine of ten draws, with target and ledger.
void drawChance(Paper& paper, const EvidenceChance& c, const QRectF& room) {
    QPainter& p = paper.painter();
    const PaperPalette& colors = paper.colors();
    TextStyle head{8.5, true, colors.ink}, plain{7.8, false, colors.ink}, soft{7.5, false, colors.inkSoft};
    head.maxLines = 2;
    plain.maxLines = 1;
    soft.maxLines = 1;
    double y = room.top();
    y += paper.text({room.left(), y}, room.width(),
                    Pack::tr("Least sure: %1, %2 in 100 draws at or under %3")
                        .arg(q(c.name), QString::number(inHundred(c.reaches)), percentText(c.target)),
                    head, "chance") +
         1.5;
    double low = std::min({c.ledger, c.target, c.all.p10}), high = std::max({c.ledger, c.target, c.all.p90});
    const double spare = std::max(0.01, (high - low) * 0.08);
    low -= spare;
    high += spare;
    const double names = 27, figures = 22, row = 6.2, wide = room.width() - names - figures;
    const auto x = [&](double use) {
        return room.left() + names + wide * std::clamp((use - low) / (high - low), 0.0, 1.0);
    };
    const double top = y;
    const auto bar = [&](const QString& name, const Quantiles& v, const QColor& colour) {
        paper.text({room.left(), y + 0.9}, names - 1, name, plain, "input");
        p.fillRect(QRectF(x(v.p10), y + 1, std::max(0.3, x(v.p90) - x(v.p10)), row - 2), colour);
        TextStyle right = soft;
        right.align = Qt::AlignRight;
        paper.text({room.right() - figures + 1, y + 1}, figures - 1,
                   Pack::tr("%1 to %2").arg(percentText(v.p10), percentText(v.p90)), right, "span");
        y += row;
    };
    bar(Pack::tr("everything"), c.all, colors.inkSoft);
    for (const auto& [name, v] : c.alone) bar(q(name), v, colors.block);
    p.setPen(paper.pen(colors.ink, 0.4));
    p.drawLine(QPointF(x(c.target), top - 0.5), QPointF(x(c.target), y + 0.5));
    QPen dotted = paper.pen(colors.inkSoft, 0.2);
    dotted.setStyle(Qt::DotLine);
    p.setPen(dotted);
    p.drawLine(QPointF(x(c.ledger), top), QPointF(x(c.ledger), y));
    soft.maxLines = 4;
    paper.text(
        {room.left(), y + 1.5}, room.width(),
        Pack::tr("Use after from one to nine of ten draws, each input alone; line: target, dots: ledger."),
        soft, "key");
}

void printPictures(Flow& flow, const Evidence& e) {
    Paper& paper = flow.paper();
    flow.heading(Pack::tr("Before and after"), ledgerBarsHeight(1));
    printLedgerBars(flow, e.overview, 0, barRows(e));
    flow.down(2);
    const double gap = 6, mapW = flow.width() * 0.56;
    const double room = std::max(kLeastMapMm, flow.room() - kMapFootMm - kFootnoteMm);
    MapStyle style;
    MapDrawing map(paper, e.map, QRectF(flow.left(), flow.y(), mapW, room), style);
    map.draw();
    if (e.chance)
        drawChance(paper, *e.chance,
                   QRectF(flow.left() + mapW + gap, flow.y(), flow.width() - mapW - gap, room));
    flow.moveTo(map.frame().bottom());
    map.drawFoot(flow.y(), map.frame().width());
}

void printFootnote(Flow& flow, const Evidence& e) {
    Paper& paper = flow.paper();
    TextStyle soft{7.2, false, paper.colors().inkSoft};
    soft.maxLines = 3;
    const QString text =
        Pack::tr("Measured loads, a computed spread of them over the ground, %1 draws of shadowing, demand, "
                 "building "
                 "and inventory. A carrier more is reckoned from bandwidth and the devices that have it, a "
                 "split sector by a factor of our own judgement. Work at height, on electricity and near "
                 "antennas follows local codes and licensed practice.")
            .arg(e.draws);
    const double tall = Paper::textHeight(text, flow.width(), soft);
    paper.text({flow.left(), paper.content().bottom() - tall}, flow.width(), text, soft, "footnote");
}

void draw(PageSink& sink, const Evidence& e, PackRecord& record) {
    Paper paper(sink, record);
    Flow::Foot foot;
    foot.left = q(e.overview.planName);
    foot.middle = Pack::tr("issue %1, %2").arg(q(e.overview.issue.number), q(e.overview.issue.date));
    foot.pages = 1;
    Flow flow(paper, foot);
    flow.startPage({});
    printHead(flow, e.overview);
    printFigures(flow, e);
    printWays(flow, e);
    printPictures(flow, e);
    printFootnote(flow, e);
    paper.painter().end();
}

} // namespace

Status printEvidence(const Evidence& evidence, QPageSize::PageSizeId page, const std::filesystem::path& file,
                     PackRecord* record) {
    if (page != QPageSize::A4 && page != QPageSize::Letter && page != QPageSize::A3)
        return Error{ErrorCode::badInput,
                     CORE_TEXT("The evidence page is printed on A4, Letter or A3; choose one of them."), ""};
    PackRecord own;
    QByteArray bytes;
    {
        QBuffer buffer(&bytes);
        buffer.open(QIODevice::WriteOnly);
        QPdfWriter writer(&buffer);
        writer.setPageSize(QPageSize(page));
        writer.setTitle(Pack::tr("%1: evidence for approval").arg(q(evidence.overview.planName)));
        writer.setCreator(QStringLiteral("Fringewright"));
        PdfPages pages(writer);
        draw(pages, evidence, record ? *record : own);
    }
    return writeWhole(file, bytes.toStdString());
}

} // namespace fw
