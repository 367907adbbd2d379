// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "theme/window_palette.h"

#include <QPalette>

namespace fw {

/// Day, night, or as the desktop is.
enum class Appearance { desktop, day, night };

/// The roles of Qt's own controls in our colours.
QPalette controlPalette(const WindowPalette& colors);

/// Dresses the whole program; needs a QApplication. The first call remembers what the desktop had asked for.
void wear(Appearance appearance);

} // namespace fw
