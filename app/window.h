// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "commands/requests.h"

namespace fw::cli {

/// Opens the window and runs until it is closed. A Failure where there is no display.
int runWindow(const WindowRequest& request, int& argc, char** argv);

} // namespace fw::cli
