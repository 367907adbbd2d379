// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/package_shape.h"

#include "base/text.h"
#include "intake/gdal_scope.h"
#include "intake/ogr_row.h"

#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <memory>
#include <ogr_geometry.h>

namespace fw {
namespace {

static_assert(std::endian::native == std::endian::little, "bytes are taken as they lie");

/// OGC 06-103r4, table 7.
enum WkbKind : std::uint32_t { point = 1, line, polygon, multiPoint, multiLine, multiPolygon, collection };

class Wkb {
public:
    Wkb(std::string_view bytes, SourceShape& shape) : m_bytes(bytes), m_shape(shape) {}

    void geometry(int depth) {
        constexpr int kDeepest = 32;
        if (depth == kDeepest) return fail(CORE_TEXT("its collections are nested too deeply"));
        const bool swap = byte() != 1;
        m_swap = swap;
        std::uint32_t type = whole();
        if (m_fault) return;
        std::size_t extra = (type & 0x80000000u) != 0 ? 1 : 0; // Z as files had it before ISO settled it
        type &= 0x7fffffffu;
        if (type >= 1000 && type < 4000) {
            extra = type >= 3000 ? 2 : 1;
            type %= 1000;
        }
        m_stride = 16 + 8 * extra;
        if (type > WkbKind::collection || type == 0) {
            m_curved = type >= 8 && type <= 17;
            return fail(CORE_TEXT("its geometry is of a kind that is not read"));
        }
        if (type >= WkbKind::multiPoint) {
            for (std::size_t n = count(5); n > 0 && !m_fault; --n) {
                geometry(depth + 1);
                m_swap = swap;
            }
            return;
        }
        if (type == WkbKind::point)
            addPoint();
        else if (type == WkbKind::line)
            addLine();
        else
            addArea();
    }
    [[nodiscard]] const char* fault() const { return m_fault; }
    [[nodiscard]] bool curved() const { return m_curved; } ///< it failed at a curve

private:
    void fail(const char* why) {
        if (!m_fault) m_fault = why;
    }
    std::uint8_t byte() {
        if (m_at >= m_bytes.size()) {
            fail(CORE_TEXT("its bytes end too early"));
            return 0;
        }
        return static_cast<std::uint8_t>(m_bytes[m_at++]);
    }
    std::uint32_t whole() {
        std::uint32_t v = 0;
        if (m_bytes.size() - m_at < sizeof v) {
            fail(CORE_TEXT("its bytes end too early"));
            return 0;
        }
        std::memcpy(&v, m_bytes.data() + m_at, sizeof v);
        m_at += sizeof v;
        return m_swap ? __builtin_bswap32(v) : v;
    }
    /// A count whose entries of at least `bytesEach` are all there.
    std::size_t count(std::size_t bytesEach) {
        const std::size_t n = whole();
        if (m_fault) return 0;
        if (n > (m_bytes.size() - m_at) / bytesEach) fail(CORE_TEXT("its bytes end too early"));
        return m_fault ? 0 : n;
    }
    [[nodiscard]] double numberAt(std::size_t at) const {
        std::uint64_t bits = 0;
        std::memcpy(&bits, m_bytes.data() + at, sizeof bits);
        return std::bit_cast<double>(m_swap ? __builtin_bswap64(bits) : bits);
    }
    PlanePoint place() {
        const PlanePoint p{numberAt(m_at), numberAt(m_at + 8)};
        m_at += m_stride;
        // Not a number less itself is not zero, nor is infinity.
        if (p.x - p.x != 0 || p.y - p.y != 0) fail(CORE_TEXT("one of its coordinates is not a number"));
        return p;
    }
    void addPoint() {
        if (m_bytes.size() - m_at < m_stride) return fail(CORE_TEXT("its bytes end too early"));
        // OGC 12-128r18, 2.1.3.1.1: an empty point is one whose coordinates are all not a number.
        if (std::isnan(numberAt(m_at)) && std::isnan(numberAt(m_at + 8)))
            m_at += m_stride;
        else
            m_shape.points.push_back(place());
    }
    void places(Line& out) {
        const std::size_t n = count(m_stride);
        out.resize(n);
        for (PlanePoint& p : out) p = place();
    }
    void addLine() {
        Line out;
        places(out);
        if (out.size() == 1) fail(CORE_TEXT("its line has fewer than two places"));
        if (!out.empty()) m_shape.lines.push_back(std::move(out));
    }
    void addArea() {
        const std::size_t n = count(4);
        if (n == 0) return;
        Polygon& area = m_shape.areas.emplace_back();
        for (std::size_t k = 0; k < n && !m_fault; ++k) {
            Ring hole;
            Ring& ring = k == 0 ? area.outer : hole;
            places(ring);
            if (ring.size() > 1 && ring.front() == ring.back()) ring.pop_back();
            if (k > 0 && ring.size() >= 3) area.holes.push_back(std::move(ring));
        }
        if (area.outer.empty())
            m_shape.areas.pop_back();
        else if (area.outer.size() < 3)
            fail(CORE_TEXT("its outline has fewer than three corners"));
    }

    std::string_view m_bytes;
    SourceShape& m_shape;
    std::size_t m_at = 0, m_stride = 16;
    bool m_swap = false, m_curved = false;
    const char* m_fault = nullptr;
};

/// Where the well-known binary begins; 0 when the header is broken.
std::size_t bodyAt(std::string_view bytes) {
    if (bytes.size() < 8 || bytes.substr(0, 2) != "GP" || bytes[2] != 0) return 0;
    constexpr std::array<std::size_t, 8> kDoubles{0, 4, 6, 6, 8, 9, 9, 9};
    const std::size_t doubles = kDoubles[static_cast<unsigned char>(bytes[3]) >> 1 & 7u];
    const std::size_t at = 8 + 8 * doubles;
    return doubles == 9 || at >= bytes.size() ? 0 : at;
}

void readCurves(std::string_view wkb, SourceShape& shape) {
    const GdalQuiet quiet;
    OGRGeometry* raw = nullptr;
    OGRGeometryFactory::createFromWkb(wkb.data(), nullptr, &raw, wkb.size());
    const std::unique_ptr<OGRGeometry> geometry(raw);
    shapeFrom(geometry.get(), false, shape);
    if (!geometry) shape.fault = CORE_TEXT("its geometry is of a kind that is not read");
}

} // namespace

void shapeFromPackage(std::string_view bytes, SourceShape& shape) {
    shape.points.clear();
    shape.lines.clear();
    shape.areas.clear();
    shape.fault.clear();
    if (bytes.empty()) {
        shape.fault = CORE_TEXT("it has no geometry");
        return;
    }
    const std::size_t at = bodyAt(bytes);
    if (at == 0) {
        shape.fault = CORE_TEXT("its geometry is not in the form of a GeoPackage");
        return;
    }
    Wkb wkb(bytes.substr(at), shape);
    wkb.geometry(0);
    if (wkb.curved()) return readCurves(bytes.substr(at), shape);
    const char* fault = wkb.fault();
    if (!fault && shape.empty()) fault = CORE_TEXT("its geometry is empty");
    if (fault) shape = {{}, {}, {}, fault};
}

} // namespace fw
