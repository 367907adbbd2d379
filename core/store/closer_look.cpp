// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/closer_look.h"

#include "gpkg/geometry.h"
#include "plan/edit_makers.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {

namespace {

constexpr double kNoAreaM2 = 0.01;

// Far from the origin the plain sum of an area loses a small ring in its digits.
Ring broughtNear(const Ring& ring) {
    Ring near = ring;
    for (PlanePoint& c : near) c = c - ring.front();
    return near;
}

bool hasCornerTwice(Ring ring) {
    std::sort(ring.begin(), ring.end());
    return std::adjacent_find(ring.begin(), ring.end()) != ring.end();
}

} // namespace

Status CloserLook::warn(PlanFault where, const char* what, Mend mend) {
    where.severity = PlanFault::Severity::warning;
    where.what = what;
    where.mend = mend;
    return m_sink.take(std::move(where));
}

Status CloserLook::outline(const PlanFault& where, const Ring& ring) {
    const Ring near = broughtNear(ring);
    if (std::abs(signedArea(near)) < kNoAreaM2) return warn(where, "one of its rings has next to no area");
    if (hasCornerTwice(near)) return warn(where, "two corners of a ring lie on one place");
    m_pairsLeft -= 0.5 * static_cast<double>(ring.size()) * static_cast<double>(ring.size());
    if (m_pairsLeft >= 0) {
        if (outlineFault(near).empty()) return Done{};
        return warn(where, "its outline touches or crosses itself");
    }
    if (std::exchange(m_saidSo, true)) return Done{};
    return warn(where, "from here on outlines were not looked at for crossings; there are too many corners");
}

Status CloserLook::polygon(const PlanFault& where, const Polygon& p) {
    if (Status s = outline(where, p.outer); !s.ok()) return s;
    for (const Ring& hole : p.holes)
        if (Status s = outline(where, hole); !s.ok()) return s;
    return Done{};
}

Status CloserLook::system(const PlanFault& where, std::string_view geometry, std::int32_t wanted) {
    const auto id = srsIdFrom(geometry);
    if (!id || *id == wanted) return Done{};
    PlanFault fault = where;
    fault.severity = PlanFault::Severity::warning;
    fault.what =
        fmt::format("its geometry is marked with the reference system {}, the plan's is {}", *id, wanted);
    fault.mend = Mend::writeSystem;
    return m_sink.take(std::move(fault));
}

} // namespace fw
