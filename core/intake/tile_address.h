// SPDX-License-Identifier: GPL-3.0-or-later
// The address of a tile server as a person types it.
#pragma once

#include "base/result.h"
#include "geo/web_grid.h"

#include <string>
#include <string_view>

namespace fw {

/// An address with {z}, {x} and {y} in it, each once or more, for zoom, column and row. {y} counts from the
/// north.
class TileAddress {
public:
    /// Refused by a sentence: schemes other than https and http, placeholders that are missing or unknown, no
    /// host, a placeholder or a name and password in the host, spaces and control characters, more than 2000
    /// characters.
    static Result<TileAddress> from(std::string_view text);

    [[nodiscard]] const std::string& text() const { return m_text; } ///< as typed, without spaces round it
    [[nodiscard]] const std::string& host() const { return m_host; } ///< with its port, if it names one
    [[nodiscard]] std::string of(const WebTile& tile) const;

private:
    std::string m_text, m_host;
};

} // namespace fw
