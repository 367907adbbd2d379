// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/finding_cells.h"

#include "bench/panel_looks.h"
#include "models/finding_index.h"
#include "models/finding_text.h"
#include "models/findings_model.h"
#include "text/figures.h"
#include "text/line_of_words.h"
#include "theme/window_palette.h"

#include <QAbstractItemView>
#include <QPainter>

namespace fw {

namespace {

struct Measures {
    explicit Measures(const QFontMetrics& fm)
        : line(fm.height()), pad(fm.height() / 3), sign(fm.ascent() * 3 / 4), indent(pad * 2 + sign) {}
    int line, pad, sign, indent;
};

bool isCurrent(const QStyleOptionViewItem& option, const QModelIndex& index) {
    const auto* view = qobject_cast<const QAbstractItemView*>(option.widget);
    return view && view->currentIndex() == index;
}

const Finding& findingOf(const QModelIndex& index) {
    return static_cast<const FindingsModel*>(index.model())->at(index.row());
}

int sentenceHeight(const QFontMetrics& fm, int width, const QString& text) {
    return fm.boundingRect(QRect(0, 0, std::max(width, 40), 10000), Qt::TextWordWrap, text).height();
}

} // namespace

FindingCells::FindingCells(Workspace& space, QObject* parent) : QStyledItemDelegate(parent), m_space(space) {}

QSize FindingCells::sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const {
    const QFontMetrics fm(option.font);
    const Measures m(fm);
    const auto* view = qobject_cast<const QAbstractItemView*>(option.widget);
    const int width = view ? view->viewport()->width() : option.rect.width();
    int height = m.line * 2 + m.pad * 2;
    if (isCurrent(option, index)) {
        const int room = width - m.indent - m.pad;
        const Finding& f = findingOf(index);
        height = m.line + m.pad * 2 + sentenceHeight(fm, room, coreText(f.text)) +
                 sentenceHeight(fm, room,
                                tr("%1. %2").arg(subjectsText(m_space.document.plan(), f),
                                                 standingText(m_space.document.plan(), f)));
    }
    return {std::max(0, width), height};
}

void FindingCells::paint(QPainter* painter, const QStyleOptionViewItem& option,
                         const QModelIndex& index) const {
    const WindowPalette& c = windowPalette(option.palette);
    const Finding& f = findingOf(index);
    const Plan& plan = m_space.document.plan();
    const QFontMetrics fm(option.font);
    const Measures m(fm);
    const bool rtl = option.direction == Qt::RightToLeft, chosen = isCurrent(option, index);
    const bool done = !isOpen(f);
    painter->save();
    painter->setFont(option.font);
    painter->fillRect(option.rect, chosen ? c.focusWash : c.base);
    painter->setPen(c.line);
    painter->drawLine(option.rect.bottomLeft(), option.rect.bottomRight());
    const auto place = [&](const QRect& r) { return QStyle::visualRect(option.direction, option.rect, r); };
    const int left = option.rect.left() + m.indent, right = option.rect.right() - m.pad;
    QRect line(left, option.rect.top() + m.pad, right - left, m.line);
    const QRect sign(option.rect.left() + m.pad, line.top() + (m.line - m.sign) / 2, m.sign, m.sign);
    paintSeverity(*painter, place(sign), f.severity, done ? c.inkSoft : c.ink);

    const QString measured = measuredText(f);
    const int measuredWidth =
        std::min(static_cast<int>(std::ceil(widthOfWords(option.font, measured))) + 2, line.width() * 3 / 5);
    const auto near = Qt::AlignAbsolute | (rtl ? Qt::AlignRight : Qt::AlignLeft),
               far = Qt::AlignAbsolute | (rtl ? Qt::AlignLeft : Qt::AlignRight);
    painter->setPen(done ? c.inkSoft : c.ink);
    const QString word = f.standing == Standing::open ? severityWord(f.severity) : standingWord(f.standing);
    const QString head = tr("%1 · %2").arg(word, ruleTitle(f.rule));
    drawWords(*painter, place(line.adjusted(0, 0, -measuredWidth - m.pad, 0)), near | Qt::AlignVCenter, head);
    painter->setPen(c.inkSoft);
    drawWords(*painter, place(QRect(line.right() - measuredWidth, line.top(), measuredWidth, m.line)),
              far | Qt::AlignVCenter, measured);
    QRect text(left, line.bottom() + 1, right - left, option.rect.bottom() - line.bottom() - m.pad);
    const QString sentence = coreText(f.text);
    if (chosen) {
        painter->setPen(c.ink);
        QRect used;
        painter->drawText(place(text), near.toInt() | Qt::TextWordWrap, sentence, &used);
        text.setTop(used.bottom() + 1);
        painter->setPen(c.inkSoft);
        painter->drawText(place(text), near.toInt() | Qt::TextWordWrap,
                          tr("%1. %2").arg(subjectsText(plan, f), standingText(plan, f)));
    } else {
        drawWords(*painter, place(text), near | Qt::AlignTop, sentence);
    }
    if (chosen && option.state.testFlag(QStyle::State_HasFocus)) {
        painter->setPen(QPen(c.focus, 2));
        painter->drawRect(option.rect.adjusted(1, 1, -1, -2));
    }
    painter->restore();
}

} // namespace fw
