// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

#include <optional>
#include <vector>

namespace fw {

/// How a search comes along: the best found and the best proven over its iterations, nearer and nearer. The
/// found is a full line with dots, the proven a broken one with hollow squares, so that hue is not needed to
/// tell them apart. Pointer or arrow keys say the figures of a point.
class ChoiceCurve : public QWidget {
    Q_OBJECT
public:
    struct Point {
        int iteration = 0;
        double value = 0;
        std::optional<double> bound;
        bool whole = true; ///< false: a target is not reached yet, so that the value says little
        bool operator==(const Point&) const = default;
    };
    /// What is drawn: words for both lines, title of the upright axis with its unit.
    struct Words {
        QString value, bound, axis, unit;
        int decimals = 1;
    };
    explicit ChoiceCurve(QWidget* parent = nullptr);

    /// @param iterations  where the search will end. @param note  said after the words of the lines.
    void setCurve(std::vector<Point> points, const Words& words, int iterations, const QString& note);
    void clear();

    [[nodiscard]] const std::vector<Point>& points() const { return m_points; }
    /// Of a point, as drawn; `bound`: of the proven one, which must be there.
    [[nodiscard]] QPointF placeOf(std::size_t point, bool bound) const;
    /// "After 120 iterations: found 23.4 points, proven at most 24.1 points."
    [[nodiscard]] QString pointText(std::size_t point) const;
    [[nodiscard]] std::optional<std::size_t> current() const { return m_current; }

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

protected:
    void paintEvent(QPaintEvent*) override;
    bool event(QEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void leaveEvent(QEvent*) override;
    void keyPressEvent(QKeyEvent*) override;

private:
    [[nodiscard]] QRectF plotRect() const;
    [[nodiscard]] QString axisText(double value) const;
    [[nodiscard]] std::optional<std::size_t> pointAt(QPointF place) const;
    void setRange();
    void setCurrent(std::optional<std::size_t> point);
    void drawHead(QPainter& p) const;
    void drawAxes(QPainter& p) const;
    void drawLines(QPainter& p) const;

    std::vector<Point> m_points;
    Words m_words;
    QString m_note;
    int m_iterations = 1;
    double m_low = 0, m_high = 1, m_step = 1;
    std::optional<std::size_t> m_current;
};

} // namespace fw
