// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/working_pages.h"

#include "text/figures.h"

#include <algorithm>

namespace fw {

namespace {

// A line as wide as an eye goes across without losing it.
constexpr double kLineMm = 140, kFigureMm = 34, kIndentMm = 4, kStepMm = 0.5;

QString figureOf(double value, const std::string& unit) {
    const double size = std::fabs(value);
    const int decimals = size >= 100 || value == std::floor(value) ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : 4;
    const QString number = QLocale::c().toString(value, 'f', size >= 100 ? 1 : decimals);
    return unit.empty() ? number : number + QLatin1Char(' ') + q(unit);
}

// Words over as many lines as they take, the figure beside the first.
void printLine(Flow& flow, const QString& words, const QString& figure, bool result) {
    Paper& paper = flow.paper();
    const TextStyle plain{7.5, result, result ? paper.colors().ink : paper.colors().inkSoft};
    TextStyle right{7.5, result, paper.colors().ink, Qt::AlignRight, 1};
    const double line = std::min(flow.width(), kLineMm), wide = line - kFigureMm - kIndentMm - 2;
    flow.need(std::min(Paper::textHeight(words, wide, plain), 40.0) + kStepMm);
    const double h = paper.text({flow.left() + kIndentMm, flow.y()}, wide, words, plain, "step");
    const double f =
        paper.text({flow.left() + line - kFigureMm, flow.y()}, kFigureMm, figure, right, "figure");
    flow.down(std::max(h, f) + kStepMm);
}

void printWorking(Flow& flow, const Working& w) {
    Paper& paper = flow.paper();
    const TextStyle title{8.5, true, paper.colors().ink};
    const TextStyle soft{7, false, paper.colors().inkSoft};
    flow.need(Paper::textHeight(q(w.title), flow.width(), title) + 10);
    flow.paragraph(q(w.title), title, 0, "working");
    flow.down(0.6);
    for (const WorkingInput& i : w.inputs) {
        const QString origin = i.origin.empty() ? QString() : QStringLiteral(" (%1)").arg(q(i.origin));
        // A choice has its value in its name.
        const bool choice = i.name.find(" = ") != std::string::npos;
        printLine(flow, q(i.name) + origin, choice ? QString() : figureOf(i.value, i.unit), false);
    }
    for (std::size_t k = 0; k < w.steps.size(); ++k) {
        const WorkingStep& s = w.steps[k];
        const QString how =
            s.formula.empty() ? q(s.what) : QStringLiteral("%1: %2").arg(q(s.what), q(s.formula));
        printLine(flow, how, figureOf(s.value, s.unit), k + 1 == w.steps.size());
    }
    if (!w.source.empty()) flow.paragraph(Pack::tr("Source: %1").arg(q(w.source)), soft, kIndentMm, "source");
    for (const std::string& remark : w.remarks) flow.paragraph(q(remark), soft, kIndentMm, "remark");
    flow.down(2.5);
}

void printPart(Flow& flow, const QString& name, const std::vector<Working>& workings) {
    if (workings.empty()) return;
    flow.heading(name, 20);
    for (const Working& w : workings) printWorking(flow, w);
    flow.down(1.5);
}

} // namespace

void printWorkings(Flow& flow, const PackContent& content) {
    const QString title = Pack::tr("How the figures came about");
    flow.startPage(title);
    Paper& paper = flow.paper();
    flow.paragraph(title, {16, true, paper.colors().ink}, 0, "title");
    flow.down(1);
    flow.paragraph(
        Pack::tr("Inputs with where they come from, steps, and in bold what the pages before print, "
                 "rounded. The ledger is the settled one, a fit and relief are live: neighbours at "
                 "their measured loads."),
        {8, false, paper.colors().inkSoft});
    flow.down(3);
    printPart(flow, Pack::tr("Cover"), content.workings);
    for (std::size_t i = 0; i < content.sites.size(); ++i)
        printPart(flow, Pack::tr("Site %1: %2").arg(i + 1).arg(q(content.sites[i].sheet.name)),
                  content.sites[i].workings);
}

} // namespace fw
