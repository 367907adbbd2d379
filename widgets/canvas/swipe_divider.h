// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "theme/window_palette.h"

#include <QAbstractSlider>

namespace fw {

/// The upright line on a map that parts before (left) from after (right). Taken hold of on its line and its
/// handle only; everything else beside it belongs to the map. Arrows move it by a hundredth of the map's
/// width (Page keys by a tenth, Shift by a thousandth), Home and End to the map's edges, Esc asks to take it
/// away. A child of the map that lies over all of its height.
class SwipeDivider : public QAbstractSlider {
    Q_OBJECT
public:
    explicit SwipeDivider(QWidget* map);

    /// Where the line stands in the map (px from its left edge).
    [[nodiscard]] double lineX() const;
    /// Fits into the map as it is now.
    void place();
    /// The words at both sides of the line; in the map's coordinates.
    void paintWords(QPainter& p, const WindowPalette& colors) const;

    static constexpr int kSteps = 1000; ///< values across the map

signals:
    void dismissed();

protected:
    bool event(QEvent* e) override;
    void paintEvent(QPaintEvent*) override;
    void sliderChange(SliderChange change) override;
    void mousePressEvent(QMouseEvent* e) override;
    void mouseMoveEvent(QMouseEvent* e) override;
    void mouseReleaseEvent(QMouseEvent* e) override;
    void wheelEvent(QWheelEvent* e) override;
    void keyPressEvent(QKeyEvent* e) override;
    void focusInEvent(QFocusEvent* e) override;
    void focusOutEvent(QFocusEvent* e) override;

private:
    void setLine(double x);
    [[nodiscard]] QRect handle() const;
    double m_grabbed = 0; ///< pointer less line when it was taken hold of
};

} // namespace fw
