// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/geojson_reader.h"

#include "base/text.h"

#include <algorithm>
#include <cstring>
#include <fmt/format.h>

namespace fw {
namespace {

constexpr std::size_t kMostWindow = std::size_t{256} << 20;
constexpr char kRecord = '\x1e'; // RFC 8142 puts it before every feature

/// Why an object without features is none of GeoJSON.
const char* refusalOf(std::string_view type) {
    if (type == "Topology")
        return CORE_TEXT("This is TopoJSON, whose lines are shared between shapes. Export it as GeoJSON.");
    if (type == "FeatureCollection") return CORE_TEXT("The collection has no list of features.");
    return CORE_TEXT("This is JSON but no GeoJSON. Export the data as GeoJSON or as a table.");
}

} // namespace

Error GeoJsonReader::broken(const JsonCursor& c) const {
    return {ErrorCode::damaged,
            fmt::format(CORE_TEXT("The JSON is broken after {} features, at byte {}: {}. Export it again."),
                        m_ordinal, m_before + m_at + c.offset(), c.why() ? c.why() : "a value is missing"),
            {}};
}

Status GeoJsonReader::more() {
    if (m_job->stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("Reading was stopped."), {}};
    const std::size_t left = m_filled - m_at;
    if (left + 1 >= m_window.size()) {
        if (m_window.size() > kMostWindow)
            return Error{
                ErrorCode::badInput,
                fmt::format(CORE_TEXT("What follows feature {} takes more than 256 MiB. Split it, or "
                                      "export the data as GeoPackage."),
                            m_ordinal),
                {}};
        m_window.resize(std::max(m_least, m_window.size() * 2));
    }
    std::memmove(m_window.data(), m_window.data() + m_at, left);
    m_before += m_at;
    m_at = 0;
    m_filled = left;
    // A source may give less than asked for before its end.
    while (m_filled + 1 < m_window.size()) {
        const std::size_t n = m_bytes(m_window.data() + m_filled, m_window.size() - 1 - m_filled);
        if (n == 0) {
            m_whole = true;
            break;
        }
        m_filled += n;
    }
    m_window[m_filled] = '\0';
    return Done{};
}

Status GeoJsonReader::step(const std::function<bool(JsonCursor&)>& work) {
    for (;;) {
        JsonCursor c({m_window.data() + m_at, m_filled - m_at}, m_whole);
        if (work(c)) {
            m_at += c.offset();
            return Done{};
        }
        if (m_refusal) return Error{ErrorCode::badInput, m_refusal, {}};
        if (!c.starved()) return broken(c);
        if (Status s = more(); !s) return s;
    }
}

bool GeoJsonReader::member(JsonCursor& c, const std::string& key) {
    if (key != "crs") return c.skip();
    std::string_view text;
    if (!c.raw(text)) return false;
    m_crs = text;
    return true;
}

Result<GeoJsonReader::Kind> GeoJsonReader::begin() {
    Kind kind = Kind::end;
    // Blanks between documents are taken first: what follows may start again from its brace.
    Status s = step([&](JsonCursor& c) {
        while (c.peek() == kRecord) c.take(kRecord);
        if (c.peek() == '{') return true;
        if (!c.atEnd()) {
            m_refusal = m_ordinal == 0
                            ? CORE_TEXT("This is JSON but no GeoJSON. Export the data as GeoJSON or "
                                        "as a table.")
                            : CORE_TEXT("Behind the features stands what is none.");
            return false;
        }
        m_ended = m_whole;
        return m_whole || c.fail(JsonCursor::kEnds);
    });
    if (!s) return s.error();
    if (m_ended) return Kind::end;
    std::size_t looked = 0;
    s = step([&](JsonCursor& c) {
        const bool good = lookInto(c, kind);
        looked = c.offset();
        return good;
    });
    if (!s) return s.error();
    if (kind != Kind::collection) m_at -= looked; // it is read from its brace
    return kind;
}

bool GeoJsonReader::lookInto(JsonCursor& c, Kind& kind) {
    std::string type, key;
    std::string_view text;
    c.take('{');
    for (bool ok = true, next = c.peek() != '}'; next;) {
        if (!c.string(text)) return false;
        key = text;
        if (!c.take(':')) return false;
        if (key == "features" && c.peek() == '[') {
            kind = Kind::collection;
            return c.take('[');
        }
        if (key == "geometryType" || key == "fieldAliases") {
            m_refusal = CORE_TEXT("This is the JSON of a map server, not GeoJSON. Ask it for f=geojson.");
            return false;
        }
        if (key == "type" && c.peek() == '"') {
            if (!c.string(text)) return false;
            type = text;
        } else if (!member(c, key)) {
            return false;
        }
        const bool bare = key == "coordinates" || key == "geometries";
        kind = bare ? Kind::geometry : Kind::feature;
        if (bare || type == "Feature" || key == "geometry") return true;
        next = c.more('}', ok);
        if (!ok) return false;
    }
    m_refusal = refusalOf(type);
    return false;
}

Status GeoJsonReader::feature(GeoJsonFeatures& features, Kind kind,
                              const std::function<bool(SourceRow&)>& f) {
    Status s = step([&](JsonCursor& c) {
        return kind == Kind::geometry ? features.readGeometry(c, m_ordinal, m_row)
                                      : features.read(c, m_ordinal, m_row);
    });
    if (!s) return s;
    ++m_ordinal;
    if (m_job->stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("Reading was stopped."), {}};
    if (!f(m_row)) m_ended = true;
    return Done{};
}

Status GeoJsonReader::collection(GeoJsonFeatures& features, const std::function<bool(SourceRow&)>& f) {
    bool next = true, ok = true;
    Status s = step([&](JsonCursor& c) {
        if (c.peek() == ']') {
            next = false;
            return c.take(']');
        }
        return !c.atEnd() || c.fail(JsonCursor::kEnds);
    });
    while (s && next && !m_ended) {
        s = feature(features, Kind::feature, f);
        if (s && !m_ended)
            s = step([&](JsonCursor& c) {
                next = c.more(']', ok);
                return ok;
            });
    }
    // What follows the list: the system may stand there.
    next = true;
    while (s && next && !m_ended)
        s = step([&](JsonCursor& c) {
            next = c.more('}', ok);
            if (!ok || !next) return ok;
            std::string_view text;
            if (!c.string(text)) return false;
            const std::string key(text);
            return c.take(':') && member(c, key);
        });
    return s;
}

Status GeoJsonReader::read(GeoJsonFeatures& features, const Job& job,
                           const std::function<bool(SourceRow&)>& f) {
    m_job = &job;
    if (Status s = more(); !s) return s;
    if (m_filled >= 3 && std::memcmp(m_window.data(), "\xef\xbb\xbf", 3) == 0) m_at = 3;
    while (!m_ended) {
        const auto kind = begin();
        if (!kind) return kind.error();
        if (*kind == Kind::end) break;
        Status s = *kind == Kind::collection ? collection(features, f) : feature(features, *kind, f);
        if (!s) return s;
    }
    return Done{};
}

} // namespace fw
