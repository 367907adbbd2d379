// SPDX-License-Identifier: GPL-3.0-or-later
// A small invented corner of Port Merrow as pack content, made by hand: what the drawing is tested with,
// without a study behind it.
#pragma once

#include "delivery/pack_content.h"

namespace fwtest {

enum class DemoNames { plain, nasty };

/// Three sites: a wall, a pole with two radios, a roof. Nasty: very long, right-to-left and CJK names
/// everywhere, text without spaces, and more findings than fit on a page.
fw::PackContent demoPack(DemoNames names = DemoNames::plain);

} // namespace fwtest
