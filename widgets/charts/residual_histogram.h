// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "calibration/calibration.h"

#include <QWidget>

#include <optional>

namespace fw {

/// How measured levels differ from predicted ones, before and after a calibration: bars in a quiet tone for
/// before, an outline in a hue for after, over classes of kHistogramStepDb. Pointer or arrow keys say the
/// counts of a class.
class ResidualHistogram : public QWidget {
    Q_OBJECT
public:
    explicit ResidualHistogram(QWidget* parent = nullptr);

    /// @param of  whose held-out points these are, for the heading and for those who listen.
    void setTallies(const ErrorHistograms& tallies, const QString& of);
    void clear();

    [[nodiscard]] const ErrorHistograms& tallies() const { return m_tallies; }
    /// Classes in view: the used ones and one beside them, at least from -10 to 10 dB.
    [[nodiscard]] int firstClass() const { return m_first; }
    [[nodiscard]] int lastClass() const { return m_last; }
    /// Of a class's bar, as drawn; of no height where there is nothing.
    [[nodiscard]] QRectF barRect(int cls, bool after) const;
    /// "From -3 to -1 dB: 12 points before, 30 after".
    [[nodiscard]] QString classText(int cls) const;
    [[nodiscard]] std::optional<int> current() const { return m_current; }

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
    [[nodiscard]] std::size_t most() const;
    [[nodiscard]] std::optional<int> classAt(QPointF place) const;
    void setCurrent(std::optional<int> cls);
    void describeAloud();
    void drawAxes(QPainter& p) const;
    void drawBars(QPainter& p) const;
    void drawHead(QPainter& p) const;

    ErrorHistograms m_tallies;
    QString m_of;
    std::size_t m_points = 0;
    int m_first = 0, m_last = 0;
    std::optional<int> m_current;
};

} // namespace fw
