// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/site_back.h"

#include "print/findings_list.h"

#include <algorithm>
#include <array>

namespace fw {

namespace {

constexpr double kColumnGapMm = 6, kPartGapMm = 2.2;

double columnWidth(const Flow& flow) { return (flow.width() - kColumnGapMm) / 2; }

// Name and text in one of two columns; drawn when `at` is given, measured always.
double pairHeight(Flow& flow, const std::string& name, const std::string& text, double nameMm,
                  const TextStyle& nameStyle, const TextStyle& textStyle, const QPointF* at,
                  const char* what) {
    const double w = columnWidth(flow);
    if (at) {
        flow.paper().text(*at, nameMm - 1.5, q(name), nameStyle, what);
        flow.paper().text(*at + QPointF(nameMm, 0), w - nameMm, q(text), textStyle, what);
    }
    return std::max(Paper::textHeight(q(name), nameMm - 1.5, nameStyle),
                    Paper::textHeight(q(text), w - nameMm, textStyle)) +
           0.9;
}

// Pairs left and right in reading order. @return its height; draws only when asked to
template <class List, class HeightOf>
double twoColumns(Flow& flow, const List& list, bool draw, HeightOf&& heightOf) {
    double total = 0;
    for (std::size_t i = 0; i < list.size(); i += 2) {
        double h = heightOf(list[i], nullptr);
        if (i + 1 < list.size()) h = std::max(h, heightOf(list[i + 1], nullptr));
        total += h;
        if (!draw) continue;
        flow.need(h);
        const QPointF left(flow.left(), flow.y()),
            right(flow.left() + columnWidth(flow) + kColumnGapMm, flow.y());
        heightOf(list[i], &left);
        if (i + 1 < list.size()) heightOf(list[i + 1], &right);
        flow.down(h);
    }
    return total;
}

double works(Flow& flow, const SiteSheet& s, bool draw) {
    const TextStyle soft{7.5, false, flow.paper().colors().inkSoft},
        plain{8, false, flow.paper().colors().ink};
    return twoColumns(flow, s.works, draw, [&](const NamedText& w, const QPointF* at) {
        return pairHeight(flow, w.name, w.text, 22, soft, plain, at, "works");
    });
}

void printWorks(Flow& flow, const SiteSheet& s) {
    flow.heading(Pack::tr("Works"), std::min(works(flow, s, false), 60.0));
    works(flow, s, true);
    flow.down(kPartGapMm);
}

double cautions(Flow& flow, const SiteSheet& s, bool draw) {
    const TextStyle bold{7.5, true, flow.paper().colors().ink}, plain{7.5, false, flow.paper().colors().ink};
    return twoColumns(flow, s.cautions, draw, [&](const Caution& c, const QPointF* at) {
        return pairHeight(flow, c.topic, c.text, 21, bold, plain, at, "caution");
    });
}

double deferHeight(const Flow& flow) {
    return Paper::textHeight(q(deferPhrase()), flow.width(), {7.5, true}) + 1.2;
}

void printCautions(Flow& flow, const SiteSheet& s) {
    flow.heading(Pack::tr("Cautions"), deferHeight(flow) + 20);
    flow.paragraph(q(deferPhrase()), {7.5, true, flow.paper().colors().ink}, 0, "defer");
    flow.down(1.2);
    cautions(flow, s, true);
    flow.down(kPartGapMm);
}

// Columns of the check list, from the left edge (mm).
struct CheckColumns {
    double what = 5, planned = 0, allowed = 0, reading = 0, basis = 0;
    explicit CheckColumns(double width)
        : planned(width * 0.27), allowed(width * 0.57), reading(width * 0.76), basis(width - 21) {}
};

double checkHeight(const Check& c, const CheckColumns& k) {
    const TextStyle plain{8};
    return std::max({Paper::textHeight(q(c.what), k.planned - k.what - 2, plain),
                     Paper::textHeight(q(c.planned), k.allowed - k.planned - 2, plain),
                     Paper::textHeight(q(c.tolerance), k.reading - k.allowed - 2, plain)}) +
           1.0;
}

void printCheckHead(Flow& flow, const CheckColumns& k) {
    const TextStyle soft{7, false, flow.paper().colors().inkSoft, Qt::AlignLeft, 1};
    const auto head = [&](double from, double to, const QString& text) {
        flow.paper().text({flow.left() + from, flow.y()}, to - from - 1, text, soft, "head");
    };
    head(k.what, k.planned, Pack::tr("Check"));
    head(k.planned, k.allowed, Pack::tr("Planned"));
    head(k.allowed, k.reading, Pack::tr("Allowed"));
    head(k.reading, k.basis, Pack::tr("Reading"));
    head(k.basis, flow.width(), Pack::tr("On whose word"));
    flow.down(3.6);
}

void printCheck(Flow& flow, const Check& c, const CheckColumns& k, double h) {
    Paper& paper = flow.paper();
    const TextStyle plain{8, false, paper.colors().ink},
        small{7, false, paper.colors().inkSoft, Qt::AlignLeft, 1};
    const double x = flow.left(), y = flow.y();
    paper.painter().setPen(paper.pen(paper.colors().ink, 0.2));
    paper.painter().setBrush(Qt::NoBrush);
    paper.painter().drawRect(QRectF(x + 0.3, y + 0.5, 2.6, 2.6));
    paper.text({x + k.what, y}, k.planned - k.what - 2, q(c.what), plain, "check");
    paper.text({x + k.planned, y}, k.allowed - k.planned - 2, q(c.planned), plain, "check");
    paper.text({x + k.allowed, y}, k.reading - k.allowed - 2, q(c.tolerance), plain, "check");
    if (c.reading) paper.rule(x + k.reading, y + 3.4, k.basis - k.reading - 2, paper.colors().inkSoft, 0.15);
    paper.text({x + k.basis, y + 0.4}, flow.width() - k.basis, q(c.basis), small, "check");
    flow.down(h);
}

void printChecks(Flow& flow, const SiteSheet& s) {
    const CheckColumns k(flow.width());
    flow.heading(Pack::tr("Checks and readings"), 18);
    printCheckHead(flow, k);
    for (const Check& c : s.checks) {
        const double h = checkHeight(c, k);
        const int page = flow.paper().page();
        flow.need(h);
        if (flow.paper().page() != page) printCheckHead(flow, k);
        printCheck(flow, c, k, h);
    }
    flow.down(kPartGapMm);
}

constexpr double kSignMm = 9.6;

void printSignOff(Flow& flow, const SiteSheet& s) {
    Paper& paper = flow.paper();
    const std::size_t rows = (s.signOff.size() + 1) / 2;
    flow.heading(Pack::tr("Sign-off"), kSignMm * static_cast<double>(rows));
    const TextStyle role{8, true, paper.colors().ink, Qt::AlignLeft, 2};
    const double w = columnWidth(flow), name = 26;
    for (std::size_t i = 0; i < s.signOff.size(); ++i) {
        const double x = flow.left() + (i % 2 == 0 ? 0 : w + kColumnGapMm), y = flow.y();
        paper.text({x, y + 1.8}, name - 2, q(s.signOff[i]), role, "sign-off");
        const auto line = [&](double from, double width, const QString& word) {
            paper.rule(x + from, y + 5.6, width, paper.colors().inkSoft, 0.15);
            paper.text({x + from, y + 5.8}, width, word,
                       {6.5, false, paper.colors().inkSoft, Qt::AlignLeft, 1}, "sign-off line");
        };
        line(name, 22, Pack::tr("name"));
        line(name + 24, w - name - 41, Pack::tr("signature"));
        line(w - 15, 15, Pack::tr("date"));
        if (i % 2 == 1 || i + 1 == s.signOff.size()) flow.down(kSignMm);
    }
}

double headingHeight(const Flow& flow) {
    return Paper::textHeight(QStringLiteral("X"), flow.width(), {10.5, true}) + 2.4;
}

// What the parts after the findings need.
double tailHeight(Flow& flow, const SiteSheet& s) {
    const CheckColumns k(flow.width());
    double h = 3 * headingHeight(flow) + deferHeight(flow) + cautions(flow, s, false) + 3.6 + 2 * kPartGapMm;
    for (const Check& c : s.checks) h += checkHeight(c, k);
    return h + kSignMm * static_cast<double>((s.signOff.size() + 1) / 2) + 2;
}

// Findings as far as they leave room for what follows; the rest is handed back.
std::vector<SheetFinding> printSomeFindings(Flow& flow, const SiteSheet& s, int firstPage) {
    const bool open = std::any_of(s.findings.begin(), s.findings.end(),
                                  [](const SheetFinding& f) { return f.standing != Standing::stands; });
    flow.heading(Pack::tr("Findings"), 12,
                 open ? Pack::tr("open ones first, then those that stand") : Pack::tr("none open"));
    if (s.findings.empty()) flow.paragraph(Pack::tr("None at this site."));
    const double tail = tailHeight(flow, s), page = flow.paper().content().height() - 8;
    std::size_t i = 0;
    for (; i < s.findings.size(); ++i) {
        // Where more follow, there must be a line left to say so.
        const double h = findingHeight(flow, s.findings[i]) + (i + 1 < s.findings.size() ? 5 : 0);
        const bool onFirst = flow.paper().page() == firstPage;
        const bool fits = onFirst ? h <= flow.room() || h + tail <= page : h + tail <= flow.room();
        if (!fits) break;
        printFindings(flow, {s.findings[i]});
    }
    std::vector<SheetFinding> rest(s.findings.begin() + static_cast<std::ptrdiff_t>(i), s.findings.end());
    if (!rest.empty()) {
        const QString more =
            rest.size() == 1 ? Pack::tr("One more stands on the page after the signatures.")
                             : Pack::tr("%1 more stand on the page after the signatures.").arg(rest.size());
        flow.paragraph(more, {8, true, flow.paper().colors().ink});
    }
    flow.down(kPartGapMm - 1);
    return rest;
}

} // namespace

void printSiteBack(Flow& flow, const SiteSheet& s, int firstPage) {
    printWorks(flow, s);
    const std::vector<SheetFinding> rest = printSomeFindings(flow, s, firstPage);
    printCautions(flow, s);
    printChecks(flow, s);
    printSignOff(flow, s);
    if (rest.empty()) return;
    flow.startPage(q(s.name));
    flow.paragraph(q(s.name), {7.5, false, flow.paper().colors().inkSoft}, 0, "running head");
    flow.down(3);
    flow.heading(Pack::tr("Findings, continued"), 12);
    printFindings(flow, rest);
}

} // namespace fw
