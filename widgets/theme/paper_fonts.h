// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QFont>

namespace fw {

/// Registers the faces that travel with the program; harmless when called again. False when they are missing
/// from the build. Needs a QGuiApplication.
bool loadPaperFonts();

/// The face of everything on paper, with fall-backs for other scripts where the system has them.
/// @param pixelSize  in units of the device that is drawn on, > 0
QFont paperFont(double pixelSize, bool bold = false);

} // namespace fw
