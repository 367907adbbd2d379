// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "acceptance/after_load.h"

#include <QAbstractScrollArea>

#include <vector>

namespace fw {

/// Of each relieved cell two bars: the relief that was predicted, and under it the relief as measured with a
/// whisker of one standard error to both sides; figures and verdict in words beside them; the most that was
/// promised first. Up and Down go from
/// row to row, Enter or a click chooses the cell, Space or a double click opens the steps.
class ReliefChart : public QAbstractScrollArea {
    Q_OBJECT
public:
    explicit ReliefChart(QWidget* parent = nullptr);

    struct Row {
        ItemId cell;
        QString name;
        double predicted = 0, measured = 0, error = 0; ///< shares of the cell's PRB
        bool known = false;                            ///< measured and error are
        QString figures, verdict, sentence;
    };
    void setAcceptance(const Plan& plan, const Acceptance& acceptance);
    void clear();
    [[nodiscard]] const std::vector<Row>& rows() const { return m_rows; }
    [[nodiscard]] int currentRow() const { return m_current; }

    /// In viewport coordinates; of what is not measured, null.
    [[nodiscard]] QRect rowRect(int row) const;
    [[nodiscard]] QRectF predictedRect(int row) const;
    [[nodiscard]] QRectF measuredRect(int row) const;
    [[nodiscard]] QRectF whiskerRect(int row) const;

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

signals:
    void cellChosen(fw::ItemId cell);
    void workingWanted(fw::ItemId cell);

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;
    void changeEvent(QEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void mouseDoubleClickEvent(QMouseEvent*) override;
    void focusInEvent(QFocusEvent*) override;
    void focusOutEvent(QFocusEvent*) override;
    bool viewportEvent(QEvent*) override;

private:
    struct Columns {
        double name = 0, track = 0, trackWide = 0, words = 0, wordsWide = 0;
    };
    [[nodiscard]] Columns columns() const;
    [[nodiscard]] int rowHeight() const;
    [[nodiscard]] int headHeight() const;
    [[nodiscard]] int rowAt(QPoint place) const;
    [[nodiscard]] double xOf(double share) const;
    [[nodiscard]] QRectF bar(int row, double share, int line) const;
    void drawHead(QPainter& p) const;
    void drawRow(QPainter& p, int row) const;
    void setRange();
    void setCurrent(int row);
    void describeAloud();

    std::vector<Row> m_rows;
    double m_low = 0, m_high = 0.1; ///< shares at both ends of the track
    int m_current = -1;
};

} // namespace fw
