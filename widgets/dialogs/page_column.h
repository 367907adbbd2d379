// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "print/page_sink.h"

#include <QAbstractScrollArea>
#include <QPixmap>
#include <QTimer>

#include <map>
#include <vector>

namespace fw {

/// Printed pages under one another, as sheets of paper. Ctrl and wheel, + and - zoom, 0 fits the width; Page
/// Up and Page Down go from page to page, Home and End to the ends, Space on by a view. Only what is in sight
/// is drawn, and kept for as long as it stays near.
class PageColumn : public QAbstractScrollArea {
    Q_OBJECT
public:
    explicit PageColumn(QWidget* parent = nullptr);

    /// The place in the column stays as far as there are pages.
    void setPages(std::vector<PackPage> pages);
    [[nodiscard]] int pageCount() const { return static_cast<int>(m_pages.size()); }
    /// The page in the upper third of the view, from 1; 0 when there is none.
    [[nodiscard]] int currentPage() const { return m_current; }
    void goToPage(int page);

    /// True size is 1, after what the desktop says of its dots.
    [[nodiscard]] double zoom() const { return m_zoom; }
    /// Keeps the ground under `at` (of the viewport); its middle when left out.
    void setZoom(double zoom, QPointF at = {-1, -1});
    void zoomIn() { setZoom(m_zoom * 1.2); }
    void zoomOut() { setZoom(m_zoom / 1.2); }
    /// From now on as wide as the view, until zoomed by hand.
    void fitWidth();
    [[nodiscard]] bool fitsWidth() const { return m_fits; }

    /// Pages are of a plan or a choice that is no longer: they are shown washed out.
    void setStale(bool stale);
    [[nodiscard]] bool stale() const { return m_stale; }
    /// What stands in the middle while there are no pages.
    void setEmptyText(const QString& text);

    /// Pages of which a drawing is at hand (tests).
    [[nodiscard]] int drawnPages() const;
    [[nodiscard]] QSize sizeHint() const override;

signals:
    void currentPageChanged(int page);
    void zoomChanged();

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;
    void scrollContentsBy(int dx, int dy) override;
    void wheelEvent(QWheelEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void focusInEvent(QFocusEvent*) override;
    void focusOutEvent(QFocusEvent*) override;

private:
    /// A drawing of some rows of a page.
    struct Strip {
        QPixmap pixmap;
        double dotsPerMm = 0; ///< of the screen
    };
    [[nodiscard]] double pixelsPerMm() const;
    [[nodiscard]] double gap() const;
    [[nodiscard]] double columnHeight() const;
    [[nodiscard]] double columnWidth() const;
    [[nodiscard]] double topOf(int page) const;  ///< in the column, pixels
    [[nodiscard]] QRectF rectOf(int page) const; ///< in the viewport
    [[nodiscard]] double stripHeight(int page) const;
    [[nodiscard]] double fittingZoom() const;
    void apply(double zoom, QPointF at);
    void layOut();
    void findCurrent();
    void paintPage(QPainter& painter, int page, const QRectF& seen);
    void refine();
    void forgetFar();
    QPixmap drawn(int page, int strip) const;

    std::vector<PackPage> m_pages;
    std::map<std::pair<int, int>, Strip> m_strips;
    QTimer m_refine;
    QString m_emptyText;
    double m_zoom = 1;
    int m_current = 0;
    bool m_fits = true, m_stale = false;
};

} // namespace fw
