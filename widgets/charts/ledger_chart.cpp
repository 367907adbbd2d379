// SPDX-License-Identifier: GPL-3.0-or-later
#include "charts/ledger_chart.h"

#include "study/holds.h"
#include "study/ledger_working.h"
#include "text/figures.h"
#include "text/line_of_words.h"
#include "theme/window_palette.h"

#include <QHelpEvent>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QScrollBar>
#include <QToolTip>

#include <algorithm>
#include <cmath>

namespace fw {

LedgerChart::LedgerChart(Workspace& space, QWidget* parent) : QAbstractScrollArea(parent), m_space(space) {
    setFrameShape(QFrame::NoFrame);
    setFocusPolicy(Qt::StrongFocus);
    setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    setAccessibleName(tr("Ledger: use of the macro cells before and after"));
    viewport()->setMouseTracking(true);
    connect(&space.live, &LiveStudy::shownChanged, this, &LedgerChart::refresh);
    connect(&space.live, &LiveStudy::settledChanged, this, &LedgerChart::refresh);
    connect(&space.live, &LiveStudy::stateChanged, this, &LedgerChart::refresh);
    connect(&space.chance, &LiveChance::changed, this, &LedgerChart::refresh);
    connect(&space.selection, &Selection::changed, this, &LedgerChart::refresh);
    connect(&space.drag, &LiveDrag::ended, this, &LedgerChart::refresh);
    connect(verticalScrollBar(), &QScrollBar::valueChanged, viewport(), qOverload<>(&QWidget::update));
    refresh();
}

// Settled figures belong to the plan as it is; while it is being changed the live ones lead.
const Ledger* LedgerChart::shownLedger() const {
    const LiveStudy& live = m_space.live;
    const bool still = !live.dragging() && !live.stale() && !live.settling();
    return still && live.settled() ? live.settled() : live.ledger();
}

QString LedgerChart::stateText() const {
    const LiveStudy& live = m_space.live;
    const Ledger* ledger = shownLedger();
    if (!ledger) return {};
    if (ledger->kind == Ledger::Kind::settled)
        return ledger->converged ? tr("settled: neighbours have answered")
                                 : tr("settled as far as it goes: the loads did not come to rest");
    if (live.dragging()) return tr("live: neighbours at their measured loads");
    if (live.settling()) return tr("live, settling \u2026");
    return tr("live");
}

QString LedgerChart::emptyText() const {
    if (!m_rows.empty()) return {};
    if (!m_space.document.isOpen()) return tr("No plan is open.");
    if (!m_space.live.study()) return tr("The ledger comes with the computation.");
    return tr("No macro cell has a measured load: import busy-hour loads to see what small cells take off.");
}

void LedgerChart::resetOrder() {
    const Ledger* ledger = shownLedger();
    m_order = ledger ? ledgerOrder(*ledger, m_chosen) : std::vector<ItemId>{};
}

void LedgerChart::refresh() {
    const Ledger* ledger = shownLedger();
    const ItemId chosen = chainOf(m_space.document.plan(), m_space.selection.primary()).smallCell;
    // Choosing a cell of the chart leaves its order: the row must not jump from under the pointer.
    const bool cellChosen = m_space.document.plan().cells.find(m_space.selection.primary()) != nullptr;
    const ItemId current = m_current >= 0 && m_current < static_cast<int>(m_rows.size())
                               ? m_rows[static_cast<std::size_t>(m_current)].cell
                               : ItemId{};
    if ((!cellChosen || !ledger) && m_chosen != chosen) {
        m_chosen = chosen;
        m_drawn.clear();
    }
    if (!m_space.live.dragging() || m_order.empty()) resetOrder();
    const std::size_t before = m_rows.size();
    // A drag changes no name.
    std::vector<LedgerRow> known = m_space.live.dragging() ? std::move(m_rows) : std::vector<LedgerRow>{};
    m_rows = ledger ? ledgerRows(*ledger, m_space.document.plan(), m_order, m_chosen, std::move(known))
                    : std::vector<LedgerRow>{};
    if (ledger && ledger->kind == Ledger::Kind::settled)
        for (LedgerRow& row : m_rows)
            if (const CellChance* c = m_space.chance.of(row.cell)) row.chance = *c;
    m_current = -1;
    for (std::size_t i = 0; i < m_rows.size(); ++i)
        if (m_rows[i].cell == (cellChosen ? m_space.selection.primary() : current))
            m_current = static_cast<int>(i);
    if (before != m_rows.size()) setRange();
    if (!m_space.live.dragging()) describeAloud();
    viewport()->update();
}

int LedgerChart::rowHeight() const { return fontMetrics().height() + 10; }
int LedgerChart::headHeight() const { return fontMetrics().height() + 8; }

void LedgerChart::setRange() {
    const int content = static_cast<int>(m_rows.size()) * rowHeight(),
              room = viewport()->height() - headHeight();
    verticalScrollBar()->setRange(0, std::max(0, content - room));
    verticalScrollBar()->setPageStep(std::max(1, room));
    verticalScrollBar()->setSingleStep(rowHeight());
}

void LedgerChart::forget() {
    m_drawn.clear();
    setRange();
    viewport()->update();
}

QRect LedgerChart::rowRect(int row) const {
    return {0, headHeight() + row * rowHeight() - verticalScrollBar()->value(), viewport()->width(),
            rowHeight()};
}

LedgerChart::Columns LedgerChart::columns() const {
    const QFontMetricsF m(font());
    Columns c;
    c.wide = viewport()->width();
    const double figures = widthOfWords(font(), tr("%1 \u2192 %2").arg(percent(1), percent(1))) + 10;
    double holds =
        widthOfWords(font(),
                     tr("%1 in 100, %2").arg(QStringLiteral("100"), tr("holds %n months", nullptr, 88))) +
        12;
    // Names in full where that leaves the bars their room.
    const double em = m.averageCharWidth();
    const double name =
        std::clamp(std::clamp(c.wide - figures - em * 20, c.wide * 0.36, c.wide * 0.42), em * 6, em * 26);
    if (c.wide - name - figures - holds < em * 14) holds = 0; // its words are in the tooltip
    c.name = 8;
    c.track = 8 + name;
    c.trackWide = std::max(20.0, c.wide - name - figures - holds - 16);
    c.figures = c.track + c.trackWide + 8;
    c.holds = holds > 0 ? c.figures + figures : 0;
    return c;
}

QRectF LedgerChart::trackIn(const QRectF& row, const Columns& c) const {
    const double x = isRightToLeft() ? row.left() + c.wide - c.track - c.trackWide : row.left() + c.track;
    return {x, row.top() + 4, c.trackWide, row.height() - 8};
}

QRectF LedgerChart::trackRect(int row) const { return trackIn(QRectF(rowRect(row)), columns()); }

// Pieces stand one beside the other, from the use before downwards.
QRectF LedgerChart::pieceIn(const QRectF& track, const LedgerRow& row, std::size_t piece) const {
    double top = row.before;
    for (std::size_t i = 0; i < piece; ++i) top -= row.relief[i].use;
    const double low = std::clamp(top - row.relief[piece].use, 0.0, 1.0), high = std::clamp(top, 0.0, 1.0);
    return {track.left() + low * track.width(), track.top() + track.height() * 0.6,
            (high - low) * track.width(), track.height() * 0.4};
}

QRectF LedgerChart::pieceRect(int row, ItemId small) const {
    if (row < 0 || row >= static_cast<int>(m_rows.size())) return {};
    const LedgerRow& r = m_rows[static_cast<std::size_t>(row)];
    for (std::size_t i = 0; i < r.relief.size(); ++i)
        if (r.relief[i].small == small) return pieceIn(trackRect(row), r, i);
    return {};
}

void LedgerChart::drawBars(QPainter& p, const QRectF& track, const LedgerRow& row) const {
    const WindowPalette& c = windowPalette(palette());
    const auto x = [&](double use) { return track.left() + std::clamp(use, 0.0, 1.0) * track.width(); };
    const double split = track.top() + track.height() * 0.6, bottom = track.bottom();
    p.fillRect(track, c.raised);
    p.fillRect(QRectF(track.left(), track.top(), x(row.after) - track.left(), split - track.top()),
               c.inkSoft);
    if (row.harm > 0) { // the bar's end: what small cells put on; striped, for its hue is theirs too
        const QRectF end(x(row.after - row.harm), track.top(), x(row.after) - x(row.after - row.harm),
                         split - track.top());
        p.fillRect(end, c.more);
        p.fillRect(end, QBrush(c.base, Qt::BDiagPattern));
    }
    for (std::size_t i = 0; i < row.relief.size(); ++i) {
        QRectF piece = pieceIn(track, row, i);
        if (piece.width() > 3) piece.setLeft(piece.left() + 1);
        piece.setBottom(bottom);
        p.fillRect(piece, row.relief[i].small == m_chosen ? c.accent : c.less);
    }
    p.setPen(QPen(c.inkFaint, 0));
    p.drawRect(QRectF(track.left(), track.top(), x(row.before) - track.left(), track.height()));
    if (row.chance) drawChance(p, track, *row.chance);
    p.setPen(QPen(c.ink, 2));
    p.drawLine(QPointF(x(row.target), track.top() - 3), QPointF(x(row.target), bottom + 3));
}

// Eight of ten draws of the use after: a line with its ends, on the bar's end.
void LedgerChart::drawChance(QPainter& p, const QRectF& track, const CellChance& chance) const {
    const WindowPalette& c = windowPalette(palette());
    const auto x = [&](double use) { return track.left() + std::clamp(use, 0.0, 1.0) * track.width(); };
    const double left = x(chance.after.p10), right = x(chance.after.p90);
    const double y = track.top() + track.height() * 0.3, half = track.height() * 0.18;
    for (const auto& [colour, wide] :
         {std::pair{c.base, 3.0}, std::pair{c.ink, 1.0}}) { // seen on bar and ground
        p.setPen(QPen(colour, wide));
        p.drawLine(QPointF(left, y), QPointF(right, y));
        for (const double end : {left, right}) p.drawLine(QPointF(end, y - half), QPointF(end, y + half));
    }
}

QString LedgerChart::holdsText(const LedgerRow& row) const {
    QString text;
    const int months = row.holdsMonths ? static_cast<int>(std::floor(*row.holdsMonths)) : 0;
    if (row.holdsMonths && *row.holdsMonths >= kForGoodMonths)
        text = tr("holds for good");
    else if (row.holdsMonths)
        text = months == 1 ? tr("holds 1 month") : tr("holds %n months", nullptr, months);
    else if (row.congested)
        text = tr("over target");
    if (!row.chance || !row.congested) return text;
    return tr("%1 in 100, %2", "chance of reaching the target; how long it holds")
        .arg(QString::number(inHundred(row.chance->reaches)), text);
}

void LedgerChart::drawFigures(QPainter& p, const QRectF& at, const LedgerRow& row, const Columns& col) const {
    const WindowPalette& c = windowPalette(palette());
    const bool rtl = isRightToLeft();
    const auto place = [&](double from, double wide) {
        return QRectF(rtl ? at.left() + col.wide - from - wide : at.left() + from, at.top(), wide,
                      at.height());
    };
    const auto near = Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignRight : Qt::AlignLeft);
    QFont name = font();
    name.setBold(row.congested);
    p.setFont(name);
    p.setPen(c.ink);
    const double nameWide = col.track - col.name - 8;
    drawWords(p, place(col.name, nameWide), near, row.name);
    p.setFont(font());
    const QString figures =
        tr("%1 \u2192 %2", "use before and after").arg(percent(row.before), percent(row.after));
    drawWords(p, place(col.figures, widthOfWords(font(), figures) + 2), near, figures);
    if (col.holds <= 0) return;
    p.setPen(c.inkSoft);
    drawWords(p, place(col.holds, col.wide - col.holds), near, holdsText(row));
}

void LedgerChart::drawRow(QPainter& p, const QRectF& at, const LedgerRow& row, const Columns& col) const {
    drawBars(p, trackIn(at, col), row);
    drawFigures(p, at, row, col);
}

void LedgerChart::drawHead(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QRectF line(8, 2, viewport()->width() - 16.0, headHeight() - 4);
    p.fillRect(QRectF(0, 0, viewport()->width(), headHeight()), c.base);
    // The state is what changes: it has the room, and what the bars are is said as shortly as need be.
    QString what = tr("PRB use in the busy hour, 0 to 100 %; the mark is the target");
    const double most = line.width() - widthOfWords(font(), stateText()) - 16;
    for (const QString& shorter : {tr("PRB use in the busy hour"), tr("PRB use")})
        if (widthOfWords(font(), what) > most) what = shorter;
    const bool rtl = isRightToLeft();
    const double taken = widthOfWords(font(), what) + 16;
    p.setPen(c.inkSoft);
    drawWords(p, rtl ? line.adjusted(0, 0, -taken, 0) : line.adjusted(taken, 0, 0, 0),
              Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignLeft : Qt::AlignRight), stateText());
    drawWords(p, line, Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignRight : Qt::AlignLeft), what);
}

void LedgerChart::paintEvent(QPaintEvent*) {
    QPainter p(viewport());
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(viewport()->rect(), c.base);
    if (m_rows.empty()) {
        p.setPen(c.inkSoft);
        p.drawText(viewport()->rect().adjusted(12, 6, -12, -6), Qt::AlignCenter | Qt::TextWordWrap,
                   emptyText());
        return;
    }
    m_drawn.resize(m_rows.size());
    const double ratio = devicePixelRatioF();
    for (int i = 0; i < static_cast<int>(m_rows.size()); ++i) {
        const QRect at = rowRect(i);
        if (at.bottom() < headHeight() || at.top() > viewport()->height()) continue;
        const LedgerRow& row = m_rows[static_cast<std::size_t>(i)];
        Drawn& drawn = m_drawn[static_cast<std::size_t>(i)];
        const QSize size = (QSizeF(at.size()) * ratio).toSize();
        if (drawn.picture.size() != size || drawn.row != row) {
            if (drawn.picture.size() != size) drawn.picture = QPixmap(size);
            drawn.picture.setDevicePixelRatio(ratio);
            drawn.picture.fill(c.base);
            QPainter inRow(&drawn.picture);
            drawRow(inRow, QRectF(0, 0, at.width(), at.height()), row, columns());
            drawn.row = row;
        }
        p.drawPixmap(at.topLeft(), drawn.picture);
        if (i == m_current) {
            p.setPen(QPen(c.focus, hasFocus() ? 2 : 1));
            p.drawRect(QRectF(at).adjusted(1, 1, -1, -1));
        }
    }
    drawHead(p);
    if (hasFocus() && m_current < 0) {
        p.setPen(QPen(c.focus, 2));
        p.drawRect(QRectF(viewport()->rect()).adjusted(1, 1, -1, -1));
    }
}

QString LedgerChart::rowText(const LedgerRow& row) const {
    QStringList parts{tr("%1: %2 now, %3 after, target %4")
                          .arg(row.name, percent(row.before, 1), percent(row.after, 1), percent(row.target))};
    for (const LedgerRow::Piece& piece : row.relief)
        if (piece.use >= 5e-4)
            parts << tr("%1 takes off %2")
                         .arg(QString::fromStdString(m_space.document.plan().label(piece.small)),
                              figure(piece.use * 100, tr("points")));
    if (row.harm >= 5e-4)
        parts << tr("small cells' interference adds %1").arg(figure(row.harm * 100, tr("points")));
    else if (row.harm <= -5e-4)
        parts << tr("relieved neighbours' quiet takes off %1").arg(figure(-row.harm * 100, tr("points")));
    if (row.chance)
        parts << tr("in eight of ten draws %1 to %2 after")
                     .arg(percent(row.chance->after.p10, 1), percent(row.chance->after.p90, 1));
    if (row.chance && row.congested)
        parts << tr("the target is reached in %1 of 100 draws")
                     .arg(QString::number(inHundred(row.chance->reaches)));
    if (const QString holds = holdsText(row); !holds.isEmpty()) parts << holds;
    return parts.join(QStringLiteral("; "));
}

QString LedgerChart::textAt(QPoint place) const {
    const int i = rowAt(place);
    if (i < 0) return {};
    const LedgerRow& row = m_rows[static_cast<std::size_t>(i)];
    for (std::size_t k = 0; k < row.relief.size(); ++k) {
        const QRectF piece = pieceIn(trackRect(i), row, k);
        if (!piece.adjusted(-1, 0, 1, 2).contains(place)) continue;
        return tr("%1 takes %2 off %3, %4 of them in a fringe or congestion area")
            .arg(QString::fromStdString(m_space.document.plan().label(row.relief[k].small)),
                 figure(row.relief[k].use * 100, tr("points")), row.name,
                 figure(row.relief[k].fringe * 100, {}));
    }
    return rowText(row);
}

void LedgerChart::describeAloud() {
    if (m_rows.empty()) {
        setAccessibleDescription(emptyText());
        return;
    }
    // The first rows are those that matter to what is chosen; all of them are in the table of cells.
    constexpr std::size_t kSpoken = 12;
    QStringList lines{stateText()};
    for (std::size_t i = 0; i < std::min(kSpoken, m_rows.size()); ++i) lines << rowText(m_rows[i]);
    setAccessibleDescription(lines.join(QStringLiteral(". ")));
}

int LedgerChart::rowAt(QPoint place) const {
    if (place.y() < headHeight()) return -1;
    const int i = (place.y() - headHeight() + verticalScrollBar()->value()) / rowHeight();
    return i >= 0 && i < static_cast<int>(m_rows.size()) ? i : -1;
}

void LedgerChart::setCurrent(int row) {
    if (m_rows.empty()) return;
    m_current = std::clamp(row, 0, static_cast<int>(m_rows.size()) - 1);
    const int top = m_current * rowHeight(), room = viewport()->height() - headHeight();
    QScrollBar* bar = verticalScrollBar();
    if (top < bar->value()) bar->setValue(top);
    if (top + rowHeight() > bar->value() + room) bar->setValue(top + rowHeight() - room);
    setAccessibleDescription(rowText(m_rows[static_cast<std::size_t>(m_current)]));
    viewport()->update();
}

void LedgerChart::choose(int row) {
    if (row < 0 || row >= static_cast<int>(m_rows.size())) return;
    m_space.selection.setOne(m_rows[static_cast<std::size_t>(row)].cell);
}

void LedgerChart::keyPressEvent(QKeyEvent* e) {
    const int page = std::max(1, (viewport()->height() - headHeight()) / rowHeight() - 1);
    switch (e->key()) {
    case Qt::Key_Up:
        setCurrent(m_current - 1);
        return;
    case Qt::Key_Down:
        setCurrent(m_current + 1);
        return;
    case Qt::Key_PageUp:
        setCurrent(m_current - page);
        return;
    case Qt::Key_PageDown:
        setCurrent(m_current + page);
        return;
    case Qt::Key_Home:
        setCurrent(0);
        return;
    case Qt::Key_End:
        setCurrent(static_cast<int>(m_rows.size()) - 1);
        return;
    case Qt::Key_Space:
        openWorking(m_current);
        return;
    case Qt::Key_Return:
    case Qt::Key_Enter:
        if (m_current >= 0) {
            choose(m_current);
            return;
        }
        break;
    default:
        break;
    }
    QAbstractScrollArea::keyPressEvent(e);
}

// A press here is meant for the row under it, not for what lies behind.
void LedgerChart::mousePressEvent(QMouseEvent* e) { e->accept(); }

void LedgerChart::mouseReleaseEvent(QMouseEvent* e) {
    if (e->button() == Qt::LeftButton) choose(rowAt(e->pos()));
}

void LedgerChart::mouseDoubleClickEvent(QMouseEvent* e) {
    if (e->button() == Qt::LeftButton) openWorking(rowAt(e->pos()));
}

void LedgerChart::openWorking(int row) {
    const Ledger* ledger = shownLedger();
    if (!ledger || !m_space.live.study() || row < 0 || row >= static_cast<int>(m_rows.size())) return;
    emit workingWanted(workingOf(*m_space.live.study(), *ledger, m_rows[static_cast<std::size_t>(row)].cell));
}

bool LedgerChart::viewportEvent(QEvent* e) {
    if (e->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(e);
        const QString text = textAt(help->pos());
        if (text.isEmpty())
            QToolTip::hideText();
        else
            QToolTip::showText(help->globalPos(), text, viewport());
        return true;
    }
    if (e->type() == QEvent::MouseMove)
        viewport()->setCursor(rowAt(static_cast<QMouseEvent*>(e)->pos()) < 0 ? Qt::ArrowCursor
                                                                             : Qt::PointingHandCursor);
    return QAbstractScrollArea::viewportEvent(e);
}

void LedgerChart::resizeEvent(QResizeEvent*) { forget(); }
void LedgerChart::focusInEvent(QFocusEvent* e) {
    QAbstractScrollArea::focusInEvent(e);
    viewport()->update();
}
void LedgerChart::focusOutEvent(QFocusEvent* e) {
    QAbstractScrollArea::focusOutEvent(e);
    viewport()->update();
}

void LedgerChart::changeEvent(QEvent* e) {
    if (e->type() == QEvent::PaletteChange || e->type() == QEvent::FontChange ||
        e->type() == QEvent::LayoutDirectionChange || e->type() == QEvent::LanguageChange)
        forget();
    QAbstractScrollArea::changeEvent(e);
}

QSize LedgerChart::sizeHint() const { return {fontMetrics().height() * 34, headHeight() + 6 * rowHeight()}; }
QSize LedgerChart::minimumSizeHint() const {
    return {fontMetrics().height() * 16, headHeight() + 2 * rowHeight()};
}

} // namespace fw
