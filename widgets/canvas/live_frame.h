// SPDX-License-Identifier: GPL-3.0-or-later
// What the layers over the tiles are given for one frame.
#pragma once

#include "canvas/camera.h"
#include "canvas/map_items.h"
#include "canvas/sign_sheet.h"
#include "document/workspace.h"

#include <QPainter>

namespace fw {

/// Mounts and radios under the hand, as they would be.
struct DraggedSigns {
    std::vector<MountSign> mounts;
    [[nodiscard]] const MountSign* of(ItemId mount) const {
        for (const MountSign& m : mounts)
            if (m.id == mount) return &m;
        return nullptr;
    }
};

/// Findings that are open, by where they are marked: at the mount that they are about, and at their own place
/// where that is another.
class FindingMarks {
public:
    struct Mark {
        PlanePoint at;
        Severity severity;
        ItemId mount;
    };
    void take(const Review& review, const Plan& plan);
    [[nodiscard]] const std::vector<Mark>& marks() const { return m_marks; }
    /// The gravest about a mount.
    [[nodiscard]] std::optional<Severity> worst(ItemId mount) const;

private:
    std::vector<Mark> m_marks;
    std::vector<std::pair<ItemId, Severity>> m_worst; ///< ascending
};

struct LiveFrame {
    QPainter& p;
    const Camera& camera;
    Workspace& space;
    const MapItems& items;
    SignSheet& signs;
    const DraggedSigns& dragged;
    const FindingMarks& findings;
    ItemId aimed;     ///< radio whose turn handle is shown; none: no handle
    ItemId aimedHome; ///< its mount
    double scale;     ///< of signs
    Box seen;         ///< visible ground, grown by the reach of signs

    [[nodiscard]] const WindowPalette& colors() const { return signs.colors(); }
    [[nodiscard]] bool on(MapLayer layer) const { return space.shown.on(layer); }
    [[nodiscard]] QPointF at(PlanePoint place) const { return camera.toScreen(place); }
    /// The sign to draw for a mount: as dragged while it is.
    [[nodiscard]] const MountSign& now(const MountSign& sign) const {
        const MountSign* moved = dragged.mounts.empty() ? nullptr : dragged.of(sign.id);
        return moved ? *moved : sign;
    }
};

/// Which way from a mount its mark for findings lies: where no plate is (unit vector on the screen).
QPointF findingSide(const MountSign& mount);
inline constexpr double kFindingOff = 10.5; ///< how far, pixels at scale 1

/// Which way the mark of its owner's answer lies, and from how near it is drawn.
QPointF ownerSide(const MountSign& mount);
bool ownerShown(const MountSign& mount, double metresPerPixel);

/// Length of a beam on the screen: some tens of metres, but always a length that can be seen and held.
double beamLengthPx(const Camera& camera, double scale);
/// Where the knob sits that turns a radio.
QPointF turnHandleAt(const Camera& camera, double scale, const MountSign& mount, const RadioSign& radio);

// Layers from the ground up.
void paintAreas(LiveFrame& f);
void paintBeams(LiveFrame& f);
void paintMacros(LiveFrame& f);
void paintMounts(LiveFrame& f);
void paintFindings(LiveFrame& f);
void paintSelection(LiveFrame& f);
struct Ghost;
void paintGhost(LiveFrame& f, const Ghost& ghost);

} // namespace fw
