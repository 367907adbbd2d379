// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/camera.h"
#include "document/workspace.h"
#include "theme/window_palette.h"

#include <QPainter>

namespace fw {

/// Outlines of the computed fringes: a broken line round hatched ground, with the cell's name.
class FringeLayer {
public:
    explicit FringeLayer(Workspace& space) : m_space(space) {}
    void paint(QPainter& painter, const Camera& camera, const WindowPalette& colors) const;

private:
    Workspace& m_space;
};

} // namespace fw
