// SPDX-License-Identifier: GPL-3.0-or-later
#include "gpkg/geometry.h"

#include <bit>
#include <cstring>

namespace fw {

namespace {

constexpr std::uint32_t kPoint = 1, kLine = 2, kPolygon = 3; // OGC 06-103r4, table 7

class Writer {
public:
    template <class V>
    void put(V v) {
        static_assert(std::endian::native == std::endian::little, "the writer copies bytes as they lie");
        m_bytes.append(reinterpret_cast<const char*>(&v), sizeof v);
    }
    void header(std::int32_t srsId, const Box* bounds) {
        m_bytes = "GP";
        put<std::uint8_t>(0);              // version 1
        put<std::uint8_t>(bounds ? 3 : 1); // little-endian; 2: bounds in x and y follow
        put(srsId);
        if (!bounds) return;
        point({bounds->x0, bounds->x1});
        point({bounds->y0, bounds->y1});
    }
    void type(std::uint32_t t) {
        put<std::uint8_t>(1); // little-endian
        put(t);
    }
    void count(std::size_t n) { put(static_cast<std::uint32_t>(n)); }
    void point(PlanePoint p) {
        put(p.x + 0.0);
        put(p.y + 0.0);
    }
    void ring(const Ring& r) {
        count(r.size() + 1);
        for (const PlanePoint& p : r) point(p);
        point(r.front());
    }
    std::string done() { return std::move(m_bytes); }

private:
    std::string m_bytes;
};

class Reader {
public:
    explicit Reader(std::string_view bytes) : m_bytes(bytes) {}

    [[nodiscard]] bool good() const { return m_good; }
    [[nodiscard]] bool atEnd() const { return m_good && m_at == m_bytes.size(); }
    void fail(const char* why) {
        m_good = false;
        if (!m_why) m_why = why;
    }
    /// Why it is not good, or does not end where the bytes end.
    [[nodiscard]] const char* why() const {
        return m_why ? m_why : m_good && !atEnd() ? "there are bytes behind its end" : kShort;
    }

    template <class V>
    V get() {
        V v{};
        if (!m_good || m_bytes.size() - m_at < sizeof v) {
            fail(kShort);
            return v;
        }
        char raw[sizeof v];
        std::memcpy(raw, m_bytes.data() + m_at, sizeof v);
        m_at += sizeof v;
        if (!m_little)
            for (std::size_t k = 0; k < sizeof v / 2; ++k) std::swap(raw[k], raw[sizeof v - 1 - k]);
        std::memcpy(&v, raw, sizeof v);
        return v;
    }

    std::int32_t header() {
        if (m_bytes.size() < 8 || m_bytes.substr(0, 2) != "GP" || m_bytes[2] != 0) {
            fail(m_bytes.empty() ? "there is none" : "it is not in the form of a GeoPackage");
            return 0;
        }
        const auto flags = static_cast<unsigned char>(m_bytes[3]);
        m_at = 4;
        m_little = flags & 1u;
        const auto srsId = get<std::int32_t>();
        static constexpr std::size_t doubles[8] = {0, 4, 6, 6, 8, 9, 9, 9};
        const std::size_t n = doubles[flags >> 1 & 7u];
        if ((flags & 0x10u) != 0) fail("it is marked as empty");
        if ((flags & 0x20u) != 0) fail("it is of a type that an extension brought");
        if (n == 9) fail("its bounds are of no known kind");
        if (m_good && m_bytes.size() - m_at < n * 8) fail(kShort);
        if (m_good) m_at += n * 8;
        return srsId;
    }
    void type(std::uint32_t wanted) {
        m_little = get<std::uint8_t>() == 1;
        if (get<std::uint32_t>() != wanted) fail("it is of another type, or has heights or measures");
    }
    PlanePoint point() {
        const auto x = get<double>();
        return {x, get<double>()};
    }
    /// A count whose entries of at least `bytesEach` are all there.
    std::size_t count(std::size_t bytesEach) {
        const std::size_t n = get<std::uint32_t>();
        if (n > (m_bytes.size() - m_at) / bytesEach) fail(kShort);
        return m_good ? n : 0;
    }
    Line points() {
        Line line(count(16));
        for (PlanePoint& p : line) p = point();
        return line;
    }
    Ring ring() {
        Ring r = points();
        if (r.size() < 4)
            fail("a ring has fewer than three corners");
        else if (r.front() != r.back())
            fail("a ring is not closed");
        else
            r.pop_back();
        return r;
    }

private:
    std::string_view m_bytes;
    std::size_t m_at = 0;
    bool m_little = true, m_good = true;
    const char* m_why = nullptr;
    static constexpr const char* kShort = "its bytes end too early";
};

std::optional<PlanePoint> readPoint(Reader& r) {
    r.header();
    r.type(kPoint);
    const PlanePoint p = r.point();
    if (!r.atEnd()) return std::nullopt;
    return p;
}

std::optional<Line> readLine(Reader& r) {
    r.header();
    r.type(kLine);
    Line line = r.points();
    if (line.empty()) r.fail("it has no points");
    if (!r.atEnd()) return std::nullopt;
    return line;
}

std::optional<Polygon> readPolygon(Reader& r) {
    r.header();
    r.type(kPolygon);
    const std::size_t n = r.count(4);
    if (n == 0) r.fail("it has no ring");
    Polygon p;
    for (std::size_t k = 0; k < n && r.good(); ++k) {
        if (k == 0)
            p.outer = r.ring();
        else
            p.holes.push_back(r.ring());
    }
    if (!r.atEnd()) return std::nullopt;
    return p;
}

} // namespace

std::string geometryBytes(PlanePoint p, std::int32_t srsId) {
    Writer w;
    w.header(srsId, nullptr);
    w.type(kPoint);
    w.point(p);
    return w.done();
}

std::string geometryBytes(const Line& line, std::int32_t srsId) {
    const Box bounds = boundsOf(line);
    Writer w;
    w.header(srsId, &bounds);
    w.type(kLine);
    w.count(line.size());
    for (const PlanePoint& p : line) w.point(p);
    return w.done();
}

std::string geometryBytes(const Polygon& polygon, std::int32_t srsId) {
    const Box bounds = boundsOf(polygon);
    Writer w;
    w.header(srsId, &bounds);
    w.type(kPolygon);
    w.count(1 + polygon.holes.size());
    w.ring(polygon.outer);
    for (const Ring& hole : polygon.holes) w.ring(hole);
    return w.done();
}

std::optional<PlanePoint> pointFrom(std::string_view bytes) {
    Reader r(bytes);
    return readPoint(r);
}

std::optional<Line> lineFrom(std::string_view bytes) {
    Reader r(bytes);
    return readLine(r);
}

std::optional<Polygon> polygonFrom(std::string_view bytes) {
    Reader r(bytes);
    return readPolygon(r);
}

std::string geometryFault(std::string_view bytes, GeometryType wanted) {
    Reader r(bytes);
    const bool good = wanted == GeometryType::point  ? readPoint(r).has_value()
                      : wanted == GeometryType::line ? readLine(r).has_value()
                                                     : readPolygon(r).has_value();
    return good ? std::string() : r.why();
}

std::optional<std::int32_t> srsIdFrom(std::string_view bytes) {
    Reader r(bytes);
    const std::int32_t id = r.header();
    if (!r.good()) return std::nullopt;
    return id;
}

} // namespace fw
