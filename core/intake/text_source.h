// SPDX-License-Identifier: GPL-3.0-or-later
// Delimited text as a source of rows.
#pragma once

#include "intake/source.h"

namespace fw {

/// Opens a delimited text (CSV and its kin). Its encoding, delimiter, preamble, header and decimal sign are
/// found from the first kTextLook bytes (options go first); the rest streams in blocks, whatever its size.
/// Rows: a row's number is the line at which it begins. Fields are trimmed text, or nothing when empty. A row
/// shorter than the header has nothing in its last fields; one with more filled fields than the header, or
/// whose quotes are broken, comes with a fault. Rows without any value, and the header where it stands again,
/// are left out. After a whole pass the head's notes say how often each of these was met, and how many bytes
/// were no text of the encoding.
/// Refused by a sentence: what cannot be read, binary bytes, a file without rows.
Result<std::unique_ptr<Source>> openTextSource(const std::filesystem::path& file,
                                               const SourceOptions& options = {});
inline constexpr std::size_t kTextLook = 256u << 10;

} // namespace fw
