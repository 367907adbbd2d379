// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "radio/antenna_cuts.h"

#include <QWidget>

#include <optional>

namespace fw {

/// An antenna's cuts as polar pictures, across (seen from above, boresight up) and upright (seen from the
/// side, front to the right): 0 dB at the rim, 30 dB below it in the middle. The half-power width is a wedge;
/// in the upright cut the horizon, the tilt by the bracket and the whole tilt are lines, and the beam without
/// tilt is dotted. Words beside it say the figures.
class PolarChart : public QWidget {
    Q_OBJECT
public:
    explicit PolarChart(QWidget* parent = nullptr);

    void setAntenna(const std::optional<HungAntenna>& antenna);
    [[nodiscard]] const std::optional<AntennaCuts>& cuts() const { return m_cuts; }

    /// Where a loss lies in a picture. @param deg  across: clockwise off boresight; upright: below the
    /// horizon.
    [[nodiscard]] QPointF pointOf(bool across, double deg, double lossDb) const;
    [[nodiscard]] QRectF disc(bool across) const;
    [[nodiscard]] QString lineText(bool across) const;

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;
    [[nodiscard]] bool hasHeightForWidth() const override { return true; }
    [[nodiscard]] int heightForWidth(int width) const override;

protected:
    void paintEvent(QPaintEvent*) override;
    void changeEvent(QEvent*) override;
    bool event(QEvent*) override;

private:
    [[nodiscard]] int captionHeight() const;
    void drawDisc(QPainter& p, bool across) const;
    void drawWedge(QPainter& p, bool across) const;
    void drawTilts(QPainter& p) const;
    void drawCut(QPainter& p, bool across) const;

    std::optional<AntennaCuts> m_cuts;
    double m_mechanicalDeg = 0, m_electricalDeg = 0;
};

} // namespace fw
