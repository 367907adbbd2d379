// SPDX-License-Identifier: GPL-3.0-or-later
// Which format a file is, by its first bytes.
#pragma once

#include "intake/file_gate.h"

#include <cstdint>
#include <string>
#include <string_view>

namespace fw {

/// What the first bytes say: a format, an archive that has to be looked into, or why it is not read.
struct FormatGuess {
    enum class Kind : std::uint8_t { format, archive, refused };
    Kind kind = Kind::refused;
    FileFormat format = FileFormat::text;
    std::string refusal = {}; ///< a sentence
};

constexpr std::size_t kHeadBytes = std::size_t{1} << 16;

/// @param head       the first kHeadBytes of the file, or all of it.
/// @param extension  in small letters with the dot.
FormatGuess guessFormat(std::string_view head, std::string_view extension);

} // namespace fw
