// SPDX-License-Identifier: GPL-3.0-or-later
// A stream of GeoJSON taken apart feature by feature: a collection, one feature or geometry, or one after the
// other (RFC 7946 and RFC 8142).
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "intake/geojson_feature.h"

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace fw {

/// Puts up to `most` bytes there and says how many; 0 at the end.
using ByteSource = std::function<std::size_t(char* to, std::size_t most)>;

class GeoJsonReader {
public:
    /// @param window  bytes held at first; it grows where a feature takes more.
    explicit GeoJsonReader(ByteSource bytes, std::size_t window = std::size_t{1} << 20)
        : m_bytes(std::move(bytes)), m_least(window) {}

    /// Calls f with every feature; ends early when f gives false. Refused by a sentence: what is no JSON,
    /// JSON that is no GeoJSON, features of more than 256 MiB. ErrorCode::cancelled when the job was stopped.
    Status read(GeoJsonFeatures& features, const Job& job, const std::function<bool(SourceRow&)>& f);

    /// The member "crs" of the collection as written (the edition of 2008, 3), when it has one.
    [[nodiscard]] const std::optional<std::string>& crs() const { return m_crs; }
    [[nodiscard]] std::uint64_t bytesRead() const { return m_before + m_at; }

private:
    enum class Kind { collection, feature, geometry, end };
    /// Does a step that may run again from its beginning when more text is needed.
    Status step(const std::function<bool(JsonCursor&)>& work);
    Status more();
    Result<Kind> begin();
    /// Past the brace of a document up to where it shows what it is.
    bool lookInto(JsonCursor& c, Kind& kind);
    Status collection(GeoJsonFeatures& features, const std::function<bool(SourceRow&)>& f);
    Status feature(GeoJsonFeatures& features, Kind kind, const std::function<bool(SourceRow&)>& f);
    bool member(JsonCursor& c, const std::string& key);
    [[nodiscard]] Error broken(const JsonCursor& c) const;

    ByteSource m_bytes;
    const Job* m_job = nullptr;
    std::vector<char> m_window;
    std::size_t m_least;
    std::size_t m_at = 0, m_filled = 0; ///< of the window: what is next, and the end of what is there
    std::uint64_t m_before = 0;         ///< bytes in front of the window
    bool m_whole = false, m_ended = false;
    std::int64_t m_ordinal = 0;
    SourceRow m_row;
    std::optional<std::string> m_crs;
    const char* m_refusal = nullptr;
};

} // namespace fw
