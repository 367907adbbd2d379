// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/site_sheet.h"
#include "print/flow.h"

namespace fw {

/// One radio: azimuth true and magnetic, tilt drawn, what to set, sight marks. Kept together.
void printRadioCard(Flow& flow, const SiteSheet& sheet, std::size_t radio);

} // namespace fw
