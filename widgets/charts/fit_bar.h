// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"

#include <QWidget>

#include <optional>

namespace fw {

/// Fit of the chosen small cell: the number, a bar of its terms on a scale of 0 to 100, and a row for each
/// term with the points it gives of those it could give and what was measured. During a drag what changed
/// since the button went down stands beside it. Click, or Enter on a row, asks for the working.
class FitBar : public QWidget {
    Q_OBJECT
public:
    explicit FitBar(Workspace& space, QWidget* parent = nullptr);

    /// As shown; empty while no small cell with figures is chosen.
    [[nodiscard]] const std::optional<Fit>& fit() const { return m_fit; }
    /// Value when the drag began; empty outside of one.
    [[nodiscard]] std::optional<double> valueBefore() const;
    /// Points (of 100) that a term gives, and could give.
    [[nodiscard]] double pointsOf(std::size_t term) const;
    [[nodiscard]] double pointsMost(std::size_t term) const;
    /// Of a term's piece in the bar.
    [[nodiscard]] QRectF pieceRect(std::size_t term) const;
    [[nodiscard]] QRectF barRect() const;
    [[nodiscard]] QString emptyText() const;

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

signals:
    void workingWanted(); ///< of fit()

protected:
    bool event(QEvent*) override;
    void paintEvent(QPaintEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;
    void leaveEvent(QEvent*) override;
    void keyPressEvent(QKeyEvent*) override;

private:
    void refresh();
    void describeAloud();
    [[nodiscard]] QRectF rowRect(std::size_t term) const;
    [[nodiscard]] std::optional<std::size_t> rowAt(QPointF place) const;
    [[nodiscard]] QString changeText(double by) const;
    [[nodiscard]] QString rowText(std::size_t term) const;
    void drawHead(QPainter& p) const;
    void drawBar(QPainter& p) const;
    /// Widths that all rows share; text is dear to measure.
    struct Columns {
        double name = 0, numbers = 0, change = 0;
    };
    [[nodiscard]] Columns columns() const;
    void drawRow(QPainter& p, const Columns& columns, std::size_t term) const;

    Workspace& m_space;
    bool m_asked = false; ///< a small cell is chosen: its terms need their rows
    std::optional<Fit> m_fit, m_before;
    bool m_blocked = false;
    std::optional<std::size_t> m_row, m_hovered;
};

} // namespace fw
