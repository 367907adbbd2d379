// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/site_sheet.h"
#include "print/flow.h"

namespace fw {

/// Works, findings, cautions, checks and signatures of a site, from where its first page ends to the end of
/// its second; findings that do not fit go on a page after the signatures. @param firstPage  of the site
void printSiteBack(Flow& flow, const SiteSheet& sheet, int firstPage);

} // namespace fw
