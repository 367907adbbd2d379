// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/findings_list.h"

#include "print/symbols.h"

#include <algorithm>

namespace fw {

namespace {

QString reasonText(const SheetFinding& f) {
    QString text = Pack::tr("Stands, because %1").arg(QString::fromStdString(f.reason));
    QStringList signedBy;
    if (!f.who.empty()) signedBy << QString::fromStdString(f.who);
    if (!f.when.empty()) signedBy << QString::fromStdString(f.when);
    if (!signedBy.isEmpty()) text += QStringLiteral(" (%1)").arg(signedBy.join(QStringLiteral(", ")));
    return text;
}

constexpr double kIndent = 30;

QString secondText(const SheetFinding& f) {
    if (!f.reason.empty()) return reasonText(f);
    return f.remedy.empty() ? QString() : Pack::tr("To clear it: %1").arg(QString::fromStdString(f.remedy));
}

} // namespace

double findingHeight(const Flow& flow, const SheetFinding& f) {
    const double w = flow.width() - kIndent;
    return std::max(7.5, Paper::textHeight(QString::fromStdString(f.text), w, {8.5}) +
                             Paper::textHeight(secondText(f), w, {8})) +
           1.6;
}

void printFindings(Flow& flow, const std::vector<SheetFinding>& findings) {
    Paper& paper = flow.paper();
    const TextStyle word{8.5, true, paper.colors().ink, Qt::AlignLeft, 1};
    const TextStyle plain{8.5, false, paper.colors().ink};
    const TextStyle soft{8, false, paper.colors().inkSoft};
    for (const SheetFinding& f : findings) {
        const QString text = QString::fromStdString(f.text);
        // Kept together up to a quarter of a page; a longer one runs on.
        flow.need(std::min(findingHeight(flow, f), 60.0));
        const double top = flow.y();
        const int page = paper.page();
        drawSeverity(paper, QRectF(flow.left() + 0.3, top + 0.7, 2.5, 2.5), f.severity);
        QString head = QString::fromLatin1(wordFor(f.severity));
        if (f.standing == Standing::nowWorse) head += Pack::tr(", now worse");
        double h = paper.text({flow.left() + 4.2, top}, kIndent - 5.5, head, word, "severity");
        TextStyle rule{6.5, false, paper.colors().inkSoft, Qt::AlignLeft, 2};
        h += paper.text({flow.left() + 4.2, top + h}, kIndent - 5.5, QString::fromStdString(f.rule), rule,
                        "rule");
        flow.paragraph(text, plain, kIndent, "finding");
        flow.paragraph(secondText(f), soft, kIndent, f.reason.empty() ? "remedy" : "reason");
        if (paper.page() == page) flow.moveTo(std::max(flow.y(), top + h));
        flow.down(1.6);
    }
}

} // namespace fw
