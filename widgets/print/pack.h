// SPDX-License-Identifier: GPL-3.0-or-later
// The site plan pack on paper.
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "delivery/pack_content.h"
#include "print/page_record.h"
#include "print/page_sink.h"

#include <QPageSize>

#include <filesystem>

namespace fw {

struct PackOptions {
    QPageSize::PageSizeId page = QPageSize::A4; ///< A4, Letter or A3, upright
    Issue issue;                                ///< number and date on every page
    bool hillshade = false;                     ///< a shaded picture under the overview
    bool workings = false;                      ///< after the sheets, how their figures came about
};

/// Builds the content and writes the PDF: a cover, then each chosen site, then workings. Runs without a
/// window (offscreen), needs a QGuiApplication. Refused by a sentence: nothing chosen, page sizes other than
/// the three, a file that cannot be written. No half-written file is left. Not the same bytes each time (a
/// PDF carries the hour it was made), but the same pages.
Status writePack(const Study& study, const Review& review, const Ledger& ledger, const MagneticField& field,
                 const PackOptions& options, const std::filesystem::path& file);

/// The same from content that is already there. @param record  if given, what lies where on each page
Status printPack(const PackContent& content, const PackOptions& options, const std::filesystem::path& file,
                 PackRecord* record = nullptr, const Job& job = {});

/// The same pages as drawings, for the screen. Any thread; refused as printPack() refuses. Stopped: an error
/// with ErrorCode::cancelled.
Result<std::vector<PackPage>> recordPack(const PackContent& content, const PackOptions& options,
                                         PackRecord* record = nullptr, const Job& job = {});

} // namespace fw
