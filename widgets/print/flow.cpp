// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/flow.h"

#include <algorithm>

namespace fw {

void Flow::startPage(const QString& running) {
    m_paper.newPage();
    drawFoot();
    m_y = m_paper.content().top();
    m_running = running;
}

void Flow::drawFoot() {
    const QRectF c = m_paper.content();
    const double y = m_paper.sheet().bottom() - Paper::kMarginMm - 0.2;
    m_paper.rule(c.left(), y - 1.2, c.width(), m_paper.colors().hairline);
    TextStyle style{7, false, m_paper.colors().inkSoft};
    style.maxLines = 1;
    const double part = c.width() / 3 - 2;
    m_paper.text({c.left(), y}, part, m_foot.left, style, "foot");
    style.align = Qt::AlignHCenter;
    m_paper.text({c.left() + part + 3, y}, part, m_foot.middle, style, "foot");
    style.align = Qt::AlignRight;
    const QString count = m_foot.pages > 0 ? Pack::tr("page %1 of %2").arg(m_paper.page()).arg(m_foot.pages)
                                           : Pack::tr("page %1").arg(m_paper.page());
    m_paper.text({c.right() - part, y}, part, count, style, "page number");
}

void Flow::need(double mm) {
    if (mm <= room()) return;
    startPage(m_running);
    if (m_running.isEmpty()) return;
    TextStyle style{7.5, false, m_paper.colors().inkSoft};
    style.maxLines = 1;
    m_y +=
        m_paper.text({left(), m_y}, width(), Pack::tr("%1, continued").arg(m_running), style, "running head");
    m_y += 3;
}

void Flow::heading(const QString& text, double withMm, const QString& aside) {
    const TextStyle style{10.5, true, m_paper.colors().ink};
    const double h = Paper::textHeight(text, width(), style);
    need(h + 2 + withMm);
    m_paper.rule(left(), m_y, width(), m_paper.colors().ink, 0.3);
    m_y += 1.2;
    m_paper.text({left(), m_y}, width(), text, style, "heading");
    if (!aside.isEmpty()) {
        TextStyle soft{7.5, false, m_paper.colors().inkSoft, Qt::AlignRight, 1};
        const double from = Paper::textWidth(text, style) + 6;
        m_paper.text({left() + from, m_y + 1}, width() - from, aside, soft, "heading aside");
    }
    m_y += h + 1.2;
}

void Flow::paragraph(const QString& text, const TextStyle& style, double indent, const char* what) {
    QString rest = text;
    const double w = width() - indent;
    while (!rest.isEmpty()) {
        const double line = Paper::textHeight(QStringLiteral("x"), w, style);
        need(line * 1.1);
        const LaidText laid(rest, w, style);
        const int fit = laid.charactersWithin(room());
        const QString part = fit >= rest.size() ? rest : rest.left(std::max(fit, 1));
        m_y += m_paper.text({left() + indent, m_y}, w, part, style, what);
        rest = rest.mid(part.size());
    }
}

void Flow::row(const QString& name, const QString& text, double nameMm) {
    const TextStyle soft{8, false, m_paper.colors().inkSoft};
    const TextStyle plain{8.5, false, m_paper.colors().ink};
    const double nameH = Paper::textHeight(name, nameMm - 2, soft);
    need(std::max(nameH, std::min(Paper::textHeight(text, width() - nameMm, plain), 20.0)));
    const double top = m_y;
    const int page = m_paper.page();
    m_paper.text({left(), top + 0.2}, nameMm - 2, name, soft, "name");
    paragraph(text, plain, nameMm, "value");
    if (m_paper.page() == page) m_y = std::max(m_y, top + nameH);
    m_y += 0.9;
}

} // namespace fw
