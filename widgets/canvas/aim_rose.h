// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/camera.h"
#include "document/workspace.h"
#include "theme/window_palette.h"

#include <QObject>
#include <QPainter>
#include <QPixmap>
#include <QTimer>

#include <array>
#include <memory>
#include <optional>

namespace fw {

/// What aiming a radio elsewhere would bring: fit, and what blocks, by azimuth.
struct AimBearing {
    TrueAzimuth azimuth;
    double fit = 0; ///< 0..100
    /// Blocked by something that another azimuth would clear: what blocks at every bearing (lines nobody has
    /// looked for, say) is no matter of aiming.
    bool blocked = false;
    std::string why; ///< the first finding that blocks so, a sentence; empty unless blocked
};
inline constexpr int kAimBearings = 36;

/// Fit of a small cell and what blocks its radio, were it turned to each of kAimBearings azimuths from north
/// on: exactly what a study and review of the turned radio say. Long (a third of a second): for a worker.
/// Empty when stopped or when the small cell is not there.
/// @param review  of the study
std::vector<AimBearing> aimBearings(const Study& study, const Review& review, ItemId small,
                                    const Job& job = {});

/// A ring round the chosen radio: how long a bar, how good the fit there; hatched where something blocks. It
/// is computed on a worker after each change and dimmed while it is older than what is in view.
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
    /// From north on, kAimBearings; empty while there are none.
    [[nodiscard]] const std::vector<AimBearing>& bearings() const { return m_bearings; }
    /// Whether bearings() belong to an older state than the one in view.
    [[nodiscard]] bool stale() const;

    /// Fit at the outer ring: the best there is, rounded up to twenties. The inner ring is 0.
    [[nodiscard]] double fullScale() const;
    static constexpr double kFarthest =
        3; ///< metres per pixel from which the ring would hide a whole quarter
    static constexpr double kInnerPx = 34, kOuterPx = 84; ///< radii of the rings on the screen

signals:
    void changed();

private:
    void look();
    void compute();
    [[nodiscard]] std::optional<PlanePoint> centre() const;
    void draw(QPainter& painter, QPointF c, const WindowPalette& colors) const;
    void drawBars(QPainter& painter, QPointF c, const WindowPalette& colors) const;

    Workspace& m_space;
    QTimer m_soon;
    std::vector<AimBearing> m_bearings;
    ItemId m_small, m_radio;
    std::shared_ptr<const Study> m_study, m_asked; ///< that bearings are of; that a job works on
    ItemId m_askedSmall;
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
