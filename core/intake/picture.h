// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/result.h"

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

namespace fw {

/// Pixels of red, green, blue and alpha, a byte each, the colours multiplied by the alpha; rows from the top.
struct Picture {
    int width = 0, height = 0;
    std::vector<std::uint8_t> rgba;

    Picture() = default;
    /// All transparent.
    Picture(int w, int h)
        : width(w), height(h),
          rgba(std::size_t{4} * static_cast<std::size_t>(w) * static_cast<std::size_t>(h)) {}
    [[nodiscard]] bool empty() const { return rgba.empty(); }
    [[nodiscard]] std::uint8_t* row(int y) {
        return rgba.data() + std::size_t{4} * static_cast<std::size_t>(width) * static_cast<std::size_t>(y);
    }
    [[nodiscard]] const std::uint8_t* row(int y) const { return const_cast<Picture*>(this)->row(y); }
};

/// What one tile may be.
inline constexpr std::size_t kMostTileBytes = std::size_t{4} << 20;
inline constexpr int kMostTileSide = 1024;

/// A tile from the bytes of a PNG, JPEG or WebP file. Refused by a sentence: other formats, more bytes or
/// pixels than above (before any is unpacked), what is damaged. Thread-safe.
Result<Picture> tileFrom(std::string_view bytes);

} // namespace fw
