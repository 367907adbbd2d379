// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"

#include <QWidget>

#include <optional>
#include <vector>

namespace fw {

/// Shares by class, measured beside computed: bars in a quiet tone for what was measured, a dashed outline
/// for what is modelled and a full one for what the plan reckons with. Pointer or arrow keys say the figures
/// of a class; a click, Enter or Space asks for its working. What the classes are, subclasses say.
class ShareHistogram : public QWidget {
    Q_OBJECT
public:
    /// Lists of one length, each adding up to 1, or empty.
    struct Shares {
        std::vector<double> measured, modelled, spread;
        bool operator==(const Shares&) const = default;
    };
    explicit ShareHistogram(QWidget* parent = nullptr);

    [[nodiscard]] const Shares& shares() const { return m_shares; }
    /// Classes in view: from 0 to the last one with anything in it.
    [[nodiscard]] int classes() const { return m_classes; }
    /// Of a class's bar, as drawn; of no height where there is nothing.
    [[nodiscard]] QRectF barRect(int cls, double share) const;
    [[nodiscard]] virtual QString classText(int cls) const = 0;
    /// What is said beneath the axis; may be empty.
    [[nodiscard]] QString note() const { return m_note; }
    /// What stands there while there is nothing to draw.
    [[nodiscard]] QString emptyText() const { return m_classes > 0 ? QString() : m_empty; }
    [[nodiscard]] std::optional<int> current() const { return m_current; }

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

signals:
    void workingWanted(int cls);

protected:
    /// @param head  what this is, and of whom.
    void setShares(Shares shares, const QString& head, const QString& note, const QString& empty);
    /// "12.3 % measured, 8.1 % as modelled, 12.0 % as spread", of what there is.
    [[nodiscard]] QString sharesText(int cls) const;
    [[nodiscard]] virtual QString axisText() const = 0;
    /// Marks of the axis with their texts; places in classes from the left edge.
    struct Tick {
        double at = 0;
        QString text;
    };
    [[nodiscard]] virtual std::vector<Tick> ticks(double classWide) const = 0;
    /// What the full outline is called.
    [[nodiscard]] virtual QString spreadName() const = 0;

    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;
    bool event(QEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;
    void leaveEvent(QEvent*) override;
    void keyPressEvent(QKeyEvent*) override;

private:
    [[nodiscard]] QRectF plotRect() const;
    [[nodiscard]] double noteHeight(double wide) const;
    [[nodiscard]] std::optional<int> classAt(QPointF place) const;
    void setCurrent(std::optional<int> cls);
    void describeAloud();
    void makeRoom();
    void drawAxes(QPainter& p) const;
    void drawBars(QPainter& p) const;
    void drawOutline(QPainter& p, const std::vector<double>& shares, const QPen& pen) const;
    void drawHead(QPainter& p) const;
    [[nodiscard]] QPen modelledPen() const;
    [[nodiscard]] QPen spreadPen() const;

    Shares m_shares;
    QString m_head, m_note, m_empty;
    int m_classes = 0;
    double m_most = 0; ///< greatest share, the top of the plot
    std::optional<int> m_current;
};

} // namespace fw
