// SPDX-License-Identifier: GPL-3.0-or-later
// The evidence page on paper.
#pragma once

#include "base/result.h"
#include "delivery/evidence.h"
#include "print/page_record.h"
#include "print/page_sink.h"

#include <QPageSize>

#include <filesystem>

namespace fw {

/// One page: five figures, the full cells with every way to relieve them, bars before and after, a map, and
/// what the least sure verdict hangs on. On A4, Letter or A3. Needs a QGuiApplication. Refused by a sentence:
/// other page sizes, a file that cannot be written; no half-written file is left.
/// @param record  if given, what lies where
Status printEvidence(const Evidence& evidence, QPageSize::PageSizeId page, const std::filesystem::path& file,
                     PackRecord* record = nullptr);

} // namespace fw
