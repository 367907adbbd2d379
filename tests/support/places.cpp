// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/places.h"

namespace fw::testing {

const char* const kSourceDir = FW_SOURCE_DIR;
const char* const kBinaryDir = FW_BINARY_DIR;

} // namespace fw::testing
