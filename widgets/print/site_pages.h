// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/pack_content.h"
#include "print/flow.h"
#include "print/pack.h"

namespace fw {

/// One site: where, mount, map, skyline and radios on its first page; works, findings, cautions, checks and
/// signatures on the next.
void printSite(Flow& flow, const PackContent& content, std::size_t index, const PackOptions& options);

} // namespace fw
