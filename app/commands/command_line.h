// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "commands/requests.h"

namespace fw::cli {

/// Reads the arguments as main() gets them. Never prints, never ends the program, never throws.
Request parseCommandLine(int argc, const char* const* argv);

} // namespace fw::cli
