// SPDX-License-Identifier: GPL-3.0-or-later
// The cuts of one antenna in sections, as makers of antennas write them, as a source of rows.
#pragma once

#include "intake/source.h"

namespace fw {

/// Whether a text's first lines are those of such a sheet: "horizontal" or "vertical" alone in a line, or
/// "gain_dbi" and a number; lines that start with # and blank lines before do not count.
bool looksLikeCuts(const std::filesystem::path& file);

/// Reads it whole (radio/antenna.h, readCutCsv) and gives a row an angle, in the columns of the antennas' own
/// table; the antenna goes by the file's name. Refused by a sentence with the line where it does not read,
/// and above kMostCutBytes.
Result<std::unique_ptr<Source>> openCutSheet(const std::filesystem::path& file);
inline constexpr std::uintmax_t kMostCutBytes = 4u << 20;

} // namespace fw
