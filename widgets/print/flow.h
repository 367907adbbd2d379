// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "print/paper.h"

#include <functional>

namespace fw {

/// Content from top to bottom over as many pages as it takes. Every page gets its head and foot here.
class Flow {
public:
    struct Foot {
        QString left, middle;
        int pages = 0; ///< of the whole pack; 0 while they are still being counted
    };
    Flow(Paper& paper, Foot foot) : m_paper(paper), m_foot(std::move(foot)) {}

    /// Starts a page. `running` is repeated, small, on pages that follow by themselves; empty: none.
    void startPage(const QString& running);
    [[nodiscard]] double y() const { return m_y; }
    [[nodiscard]] double left() const { return m_paper.content().left(); }
    [[nodiscard]] double width() const { return m_paper.content().width(); }
    [[nodiscard]] double room() const { return m_paper.content().bottom() - m_y; }
    void down(double mm) { m_y += mm; }
    void moveTo(double yMm) { m_y = yMm; }
    /// A new page unless this much is left.
    void need(double mm);
    /// Heading of a part, kept together with at least `withMm` of what follows.
    void heading(const QString& text, double withMm = 12, const QString& aside = {});
    /// Text over page ends.
    void paragraph(const QString& text, const TextStyle& style = {}, double indentMm = 0,
                   const char* what = "text");
    /// A name on the left and a text that may run over page ends on the right.
    void row(const QString& name, const QString& text, double nameMm = 30);
    Paper& paper() { return m_paper; }

private:
    void drawFoot();
    Paper& m_paper;
    Foot m_foot;
    QString m_running;
    double m_y = 0;
};

} // namespace fw
