// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/camera.h"
#include "document/workspace.h"
#include "theme/window_palette.h"

#include <QObject>
#include <QPainter>
#include <QPixmap>

#include <optional>
#include <vector>

namespace fw {

/// A ring round the chosen radio: how long a bar, how good the fit there; hatched where something blocks; the
/// best lobes numbered outside. Dimmed while it is older than what is in view.
class AimRose : public QObject {
    Q_OBJECT
public:
    explicit AimRose(Workspace& space, QObject* parent = nullptr);
    ~AimRose() override;

    /// In device-independent pixels of the map. Nothing where no radio is chosen, the layer is off or nothing
    /// was computed.
    void paint(QPainter& painter, const Camera& camera, const WindowPalette& colors) const;
    /// What a bearing of the ring says: "210°: fit 61", "210°: blocked. S looks at M: 214 m away ...".
    [[nodiscard]] std::optional<QString> textAt(QPointF screen, const Camera& camera) const;
    /// Every 5 degrees from north on; empty while there are none.
    [[nodiscard]] const std::vector<AimPoint>& bearings() const { return m_bearings; }
    /// Whether bearings() belong to an older state than the one in view.
    [[nodiscard]] bool stale() const;

    /// Fit at the outer ring: the best there is, rounded up to twenties. The inner ring is 0.
    [[nodiscard]] double fullScale() const;
    static constexpr double kFarthest =
        3; ///< metres per pixel from which the ring would hide a whole quarter
    static constexpr double kInnerPx = 34, kOuterPx = 84; ///< radii of the rings on the screen
    static constexpr std::size_t kLobes = 3;              ///< numbered

signals:
    void changed();

private:
    void follow();
    [[nodiscard]] std::optional<PlanePoint> centre() const;
    void draw(QPainter& painter, QPointF c, const WindowPalette& colors) const;
    void drawBars(QPainter& painter, QPointF c, const WindowPalette& colors) const;
    void drawLobes(QPainter& painter, QPointF c, const WindowPalette& colors) const;

    Workspace& m_space;
    std::vector<AimPoint> m_bearings;
    ItemId m_radio;
    /// The ring drawn once, and what it was drawn for: a frame only puts it in place.
    mutable QPixmap m_drawn;
    struct Look {
        double ratio = 0, turn = 0;
        int here = -1; ///< the bar the radio points along
        double fontPx = 0;
        bool dark = false;
        bool operator==(const Look&) const = default;
    };
    mutable Look m_look;
};

} // namespace fw
