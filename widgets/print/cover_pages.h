// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/pack_content.h"
#include "print/flow.h"
#include "print/pack.h"

namespace fw {

/// Title, cells before and after, overview map; then the list of sites and the findings.
void printCover(Flow& flow, const PackContent& content, const PackOptions& options);

} // namespace fw
