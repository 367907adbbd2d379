// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "intake/source.h"

#include <string>

namespace fw {

/// A geometry from well-known text (OGC 06-103r4, 7), as tables carry it. Never throws; what cannot be read
/// gives an empty shape with its fault.
SourceShape shapeFromText(const std::string& text);

} // namespace fw
