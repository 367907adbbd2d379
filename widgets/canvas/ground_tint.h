// SPDX-License-Identifier: GPL-3.0-or-later
// What colours the ground of the map: PRB cost, RSRP, best server, demand with the fringes.
#pragma once

#include "canvas/tint_picture.h"
#include "document/workspace.h"
#include "theme/window_palette.h"

#include <QObject>
#include <QPainter>

#include <optional>

namespace fw {

/// Draws a picture over what is drawn already. The painter's (0, 0) is the north-west corner of `plane`, its
/// unit `metresPerPixel` of ground; resolution and device scale come from its device. Thread-safe.
void paintTint(QPainter& painter, const Box& plane, double metresPerPixel, const TintPicture& picture,
               const WindowPalette& colors);

/// Colour of one of the kTintSteps steps or class colours, with the alpha that it is drawn with. Of a change
/// the lower half of the steps is less, the upper half more.
QColor tintColor(GroundTint tint, int step, const WindowPalette& colors,
                 TintMoment moment = TintMoment::before);

/// The line between two serving areas.
QColor tintBorder(const WindowPalette& colors);

/// Name of a tint as menus and legends give it, and the unit of its amounts ("" for classes).
QString tintName(GroundTint tint);
QString tintUnit(GroundTint tint, TintMoment moment = TintMoment::before);
/// "Before", "After", "Change".
QString momentName(TintMoment moment);
/// "All storeys", "Lowest storey" ...
QString storeyName(Storey storey);
/// An amount of a tint with its unit: "0.42 points/ha", "-87.3 dBm".
QString tintFigure(GroundTint tint, double value);
/// A change of it with its sign: "+6.1 dB".
QString tintChangeFigure(GroundTint tint, double change);

/// Keeps the picture for what is open and what Shown asks for. It is made on a worker when what it shows
/// changes, or when another tint is asked for: of before, by macros, their loads or the ground; of after and
/// change, by small cells too. Drags leave it alone until the button is up. Until a new one is there the old
/// one stays.
class GroundTintSource : public QObject {
    Q_OBJECT
public:
    explicit GroundTintSource(Workspace& space, QObject* parent = nullptr);
    ~GroundTintSource() override;

    /// Null while there is none: no plan, not computed yet, no tint.
    [[nodiscard]] const std::shared_ptr<const TintPicture>& picture() const { return m_picture; }
    /// What is drawn left of the divider; null unless Shown asks for before and after side by side.
    [[nodiscard]] const std::shared_ptr<const TintPicture>& leftPicture() const { return m_left; }
    /// What the tint in view says at a place: "-87.3 dBm from PM07-2 B3". Empty where it says nothing.
    [[nodiscard]] std::optional<QString> valueAt(PlanePoint at) const;
    /// Where the divider stands (plane metres east): what lies west of it is told of the left picture.
    void setDivider(double eastM) { m_dividerM = eastM; }
    /// A drag is on that the picture does not show yet.
    [[nodiscard]] bool behindDrag() const { return m_behind; }

signals:
    void changed(); ///< picture() or leftPicture() is another
    void behindChanged();

private:
    void look();
    void take(std::shared_ptr<const TintPicture> picture, std::shared_ptr<const TintPicture> left);
    void setBehind(bool behind);
    [[nodiscard]] QString momentText(const TintPicture& p, std::size_t tile, std::size_t pixel) const;
    [[nodiscard]] QString serverText(const TintPicture& p, PlanePoint at, std::size_t tile,
                                     std::size_t pixel) const;
    [[nodiscard]] QString indoorText(const TintPicture& p, std::size_t tile, std::size_t pixel) const;
    [[nodiscard]] QString label(ItemId id) const;
    [[nodiscard]] QString costText(std::size_t tile, std::size_t pixel) const;
    [[nodiscard]] QString demandText(PlanePoint at, std::size_t tile, std::size_t pixel) const;

    Workspace& m_space;
    std::shared_ptr<const TintPicture> m_picture, m_left;
    double m_dividerM = 0;
    bool m_behind = false;
    struct Wanted {
        Digest ground;
        TintRequest request;
        bool pair = false;
        bool operator==(const Wanted&) const = default;
    };
    std::optional<Wanted> m_wanted; ///< what picture() is of, or will be of when its job is done
};

} // namespace fw
