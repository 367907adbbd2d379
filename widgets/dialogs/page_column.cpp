// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/page_column.h"

#include "theme/window_palette.h"

#include <QKeyEvent>
#include <QPainter>
#include <QScrollBar>
#include <QWheelEvent>

#include <algorithm>
#include <cmath>
#include <set>

namespace fw {

namespace {

constexpr double kLeastZoom = 0.15, kMostZoom = 4;
constexpr double kStripDots = 6e6; // of one drawing; 24 MB

} // namespace

PageColumn::PageColumn(QWidget* parent) : QAbstractScrollArea(parent) {
    setFrameShape(QFrame::NoFrame);
    setFocusPolicy(Qt::StrongFocus);
    setAccessibleName(tr("Pages of the pack"));
    setVerticalScrollBarPolicy(Qt::ScrollBarAlwaysOn); // fitting the width must not make it come and go
    viewport()->setAutoFillBackground(false);
    m_refine.setSingleShot(true);
    m_refine.setInterval(120);
    connect(&m_refine, &QTimer::timeout, this, &PageColumn::refine);
}

QSize PageColumn::sizeHint() const {
    return {fontMetrics().averageCharWidth() * 90, fontMetrics().height() * 42};
}

void PageColumn::setPages(std::vector<PackPage> pages) {
    m_pages = std::move(pages);
    m_strips.clear();
    m_stale = false;
    if (m_fits) m_zoom = fittingZoom();
    layOut();
    findCurrent();
    viewport()->update();
}

void PageColumn::setStale(bool stale) {
    if (m_stale == stale) return;
    m_stale = stale;
    viewport()->update();
}

void PageColumn::setEmptyText(const QString& text) {
    m_emptyText = text;
    setAccessibleDescription(m_pages.empty() ? text : QString());
    viewport()->update();
}

double PageColumn::pixelsPerMm() const { return m_zoom * logicalDpiX() / 25.4; }
double PageColumn::gap() const { return fontMetrics().height(); }

double PageColumn::topOf(int page) const {
    double y = gap();
    for (int n = 0; n < page; ++n)
        y += std::round(m_pages[static_cast<std::size_t>(n)].sheetMm.height() * pixelsPerMm()) + gap();
    return y;
}

double PageColumn::columnHeight() const { return m_pages.empty() ? 0 : topOf(pageCount()); }

double PageColumn::columnWidth() const {
    double widest = 0;
    for (const PackPage& p : m_pages) widest = std::max(widest, p.sheetMm.width());
    return widest * pixelsPerMm() + 2 * gap();
}

QRectF PageColumn::rectOf(int page) const {
    const QSizeF mm = m_pages[static_cast<std::size_t>(page)].sheetMm;
    const double w = std::round(mm.width() * pixelsPerMm()), h = std::round(mm.height() * pixelsPerMm());
    const double whole = std::max<double>(columnWidth(), viewport()->width());
    return {std::round((whole - w) / 2) - horizontalScrollBar()->value(),
            topOf(page) - verticalScrollBar()->value(), w, h};
}

double PageColumn::fittingZoom() const {
    if (m_pages.empty()) return 1;
    double widest = 0;
    for (const PackPage& p : m_pages) widest = std::max(widest, p.sheetMm.width());
    const double room = std::max(50.0, viewport()->width() - 2 * gap());
    return std::clamp(room / (widest * logicalDpiX() / 25.4), kLeastZoom, kMostZoom);
}

void PageColumn::layOut() {
    const auto set = [](QScrollBar* bar, double whole, int seen) {
        bar->setRange(0, std::max(0, static_cast<int>(std::ceil(whole)) - seen));
        bar->setPageStep(seen);
        bar->setSingleStep(std::max(16, seen / 12));
    };
    set(verticalScrollBar(), columnHeight(), viewport()->height());
    set(horizontalScrollBar(), columnWidth(), viewport()->width());
}

void PageColumn::setZoom(double zoom, QPointF at) {
    m_fits = false;
    apply(std::clamp(zoom, kLeastZoom, kMostZoom), at);
}

void PageColumn::fitWidth() {
    m_fits = true;
    apply(fittingZoom(), {-1, -1});
}

// What lies under `at` stays there: its page, and its place on that page.
void PageColumn::apply(double zoom, QPointF at) {
    if (at.x() < 0) at = QRectF(viewport()->rect()).center();
    int page = 0;
    while (page + 1 < pageCount() && rectOf(page).bottom() + gap() / 2 < at.y()) ++page;
    const QRectF before = m_pages.empty() ? QRectF() : rectOf(page);
    m_zoom = zoom;
    layOut();
    if (!m_pages.empty() && before.width() > 0) {
        const double fx = (at.x() - before.left()) / before.width(),
                     fy = (at.y() - before.top()) / before.height();
        const QRectF after = rectOf(page);
        const auto move = [](QScrollBar* bar, double by) {
            bar->setValue(bar->value() + static_cast<int>(std::lround(by)));
        };
        move(horizontalScrollBar(), after.left() + fx * after.width() - at.x());
        move(verticalScrollBar(), after.top() + fy * after.height() - at.y());
    }
    m_refine.start();
    findCurrent();
    viewport()->update();
    emit zoomChanged();
}

void PageColumn::goToPage(int page) {
    if (m_pages.empty()) return;
    const double top = topOf(std::clamp(page, 1, pageCount()) - 1) - gap() / 2;
    verticalScrollBar()->setValue(static_cast<int>(std::lround(top)));
}

void PageColumn::findCurrent() {
    int current = 0;
    if (!m_pages.empty()) {
        const double line = std::min(viewport()->height() / 3.0, rectOf(0).height() / 2);
        current = 1;
        while (current < pageCount() && rectOf(current - 1).bottom() + gap() / 2 < line) ++current;
        // At the ends the first and the last page are meant, however small they are.
        if (verticalScrollBar()->value() == 0) current = 1;
        if (verticalScrollBar()->maximum() > 0 &&
            verticalScrollBar()->value() == verticalScrollBar()->maximum())
            current = pageCount();
    }
    if (current == m_current) return;
    m_current = current;
    setAccessibleDescription(current ? tr("page %1 of %2").arg(current).arg(pageCount()) : m_emptyText);
    emit currentPageChanged(current);
}

void PageColumn::scrollContentsBy(int, int) {
    forgetFar();
    findCurrent();
    viewport()->update();
}

void PageColumn::resizeEvent(QResizeEvent*) {
    if (m_fits && !m_pages.empty()) {
        apply(fittingZoom(), QPointF(viewport()->width() / 2.0, 0));
        return;
    }
    layOut();
    findCurrent();
}

// Height of the strips that a page is drawn in, so that none becomes too large.
double PageColumn::stripHeight(int page) const {
    const double dots = devicePixelRatioF();
    const double w = std::max(1.0, rectOf(page).width() * dots);
    return std::max(64.0, std::floor(kStripDots / w / dots));
}

QPixmap PageColumn::drawn(int page, int strip) const {
    const QRectF sheet(QPointF(0, 0), rectOf(page).size());
    const double high = stripHeight(page), top = strip * high, dots = devicePixelRatioF();
    const QSizeF size(sheet.width(), std::min(high, sheet.height() - top));
    QPixmap pixmap((size * dots).toSize().expandedTo({1, 1}));
    pixmap.setDevicePixelRatio(dots);
    QPainter painter(&pixmap);
    m_pages[static_cast<std::size_t>(page)].paint(painter, sheet.translated(0, -top));
    return pixmap;
}

void PageColumn::paintPage(QPainter& painter, int page, const QRectF& seen) {
    const QRectF rect = rectOf(page);
    const double high = stripHeight(page), scale = pixelsPerMm() * devicePixelRatioF();
    const int first = std::max(0, static_cast<int>((seen.top() - rect.top()) / high));
    const int last = static_cast<int>((std::min(seen.bottom(), rect.bottom() - 1) - rect.top()) / high);
    for (int k = first; k <= last; ++k) {
        const auto known = m_strips.find({page, k});
        const bool fresh = known != m_strips.end() && known->second.dotsPerMm == scale;
        // While somebody zooms, what is there is stretched; when they rest it is drawn anew.
        if (!fresh && m_refine.isActive()) {
            const auto whole = m_strips.find({page, 0});
            const bool one = whole != m_strips.end() && !m_strips.count({page, 1});
            painter.fillRect(rect.intersected(seen), Qt::white);
            if (one) painter.drawPixmap(rect, whole->second.pixmap, whole->second.pixmap.rect());
            return;
        }
        if (!fresh) m_strips[{page, k}] = {drawn(page, k), scale};
        painter.drawPixmap(QPointF(rect.left(), rect.top() + k * high), m_strips[{page, k}].pixmap);
    }
}

void PageColumn::refine() {
    const double scale = pixelsPerMm() * devicePixelRatioF();
    std::erase_if(m_strips, [&](const auto& s) { return s.second.dotsPerMm != scale; });
    viewport()->update();
}

// A view above and below stays drawn.
void PageColumn::forgetFar() {
    const double high = viewport()->height();
    std::erase_if(m_strips, [&](const auto& s) {
        const auto [page, strip] = s.first;
        const double top = rectOf(page).top() + strip * stripHeight(page);
        return top > 2 * high || top + stripHeight(page) < -high;
    });
}

int PageColumn::drawnPages() const {
    std::set<int> pages;
    for (const auto& [key, strip] : m_strips) pages.insert(key.first);
    return static_cast<int>(pages.size());
}

void PageColumn::paintEvent(QPaintEvent* event) {
    const WindowPalette& c = windowPalette(palette());
    QPainter painter(viewport());
    painter.setRenderHint(QPainter::SmoothPixmapTransform);
    painter.fillRect(event->rect(), c.raised);
    if (m_pages.empty()) {
        painter.setPen(c.inkSoft);
        const int pad = fontMetrics().averageCharWidth() * 6;
        painter.drawText(viewport()->rect().adjusted(pad, pad, -pad, -pad),
                         Qt::AlignCenter | Qt::TextWordWrap, m_emptyText);
    }
    const QRectF seen = QRectF(event->rect());
    for (int page = 0; page < pageCount(); ++page) {
        const QRectF rect = rectOf(page);
        if (!rect.intersects(seen)) continue;
        painter.setClipRect(rect.intersected(seen));
        paintPage(painter, page, rect.intersected(seen));
        if (m_stale) {
            QColor wash = c.raised;
            wash.setAlphaF(0.55F);
            painter.fillRect(rect, wash);
        }
        painter.setClipping(false);
        painter.setPen(c.line);
        painter.drawRect(rect.adjusted(-0.5, -0.5, 0.5, 0.5));
    }
    if (hasFocus()) {
        painter.setPen(QPen(c.focus, 2));
        painter.drawRect(QRectF(viewport()->rect()).adjusted(1, 1, -1, -1));
    }
}

void PageColumn::focusInEvent(QFocusEvent*) { viewport()->update(); }
void PageColumn::focusOutEvent(QFocusEvent*) { viewport()->update(); }

void PageColumn::wheelEvent(QWheelEvent* event) {
    if (event->modifiers() & Qt::ControlModifier) {
        setZoom(m_zoom * std::pow(1.2, event->angleDelta().y() / 120.0), event->position());
        event->accept();
        return;
    }
    QAbstractScrollArea::wheelEvent(event);
}

void PageColumn::keyPressEvent(QKeyEvent* event) {
    const auto scroll = [this](QAbstractSlider::SliderAction a) { verticalScrollBar()->triggerAction(a); };
    switch (event->key()) {
    case Qt::Key_Plus:
    case Qt::Key_Equal:
        zoomIn();
        break;
    case Qt::Key_Minus:
        zoomOut();
        break;
    case Qt::Key_0:
        fitWidth();
        break;
    case Qt::Key_PageDown:
        goToPage(m_current + 1);
        break;
    case Qt::Key_PageUp:
        goToPage(m_current - 1);
        break;
    case Qt::Key_Home:
        goToPage(1);
        break;
    case Qt::Key_End:
        verticalScrollBar()->setValue(verticalScrollBar()->maximum());
        break;
    case Qt::Key_Space:
        scroll(event->modifiers() & Qt::ShiftModifier ? QAbstractSlider::SliderPageStepSub
                                                      : QAbstractSlider::SliderPageStepAdd);
        break;
    default:
        QAbstractScrollArea::keyPressEvent(event);
    }
}

} // namespace fw
