// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/taker.h"

#include "plan/validate.h"

#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

constexpr double kSameM = 0.05;
// An item needs an id to be looked at; the real one comes when it is taken.
constexpr std::uint32_t kSomeId = 1;

std::uint64_t mixed(std::uint64_t h, double m) {
    h ^= static_cast<std::uint64_t>(static_cast<std::int64_t>(std::llround(m / kSameM)));
    h *= 0x9e3779b97f4a7c15ull;
    return h ^ (h >> 29);
}

} // namespace

bool Taker::stands(RowReader& row, const Item& item) {
    Item looked = item;
    std::visit(
        [](auto& v) {
            if (!v.id) v.id = {kSomeId};
        },
        looked);
    const Status s = validate(looked);
    if (s.ok()) return true;
    std::string text = s.error().text;
    if (text.ends_with('.')) text.pop_back();
    row.refuse(std::move(text));
    return false;
}

std::optional<PlanePoint> Taker::pointOf(RowReader& row, const SourceShape& shape) {
    if (shape.points.size() == 1) return shape.points.front();
    if (shape.points.empty() && shape.lines.empty() && shape.areas.size() == 1)
        return centroidOf(shape.areas.front());
    row.refuse(shape.points.size() > 1 ? fmt::format("has {} points; one is wanted", shape.points.size())
                                       : "is no point");
    return std::nullopt;
}

std::uint64_t keyOf(PlanePoint p) { return mixed(mixed(1469598103934665603ull, p.x), p.y); }

std::optional<std::int64_t> SeenAreas::before(const Polygon& area, std::int64_t row) {
    constexpr double kApartM = 0.25, kSmallestM2 = 0.5, kShare = 0.01; // what rounding and datum shifts leave
    const Seen now{centroidOf(area), areaOf(area), row};
    const auto x = static_cast<std::int64_t>(std::floor(now.middle.x)),
               y = static_cast<std::int64_t>(std::floor(now.middle.y));
    const auto key = [](std::int64_t i, std::int64_t j) {
        return static_cast<std::uint64_t>(i) * 0x9e3779b97f4a7c15ull ^ static_cast<std::uint64_t>(j);
    };
    for (std::int64_t i = x - 1; i <= x + 1; ++i)
        for (std::int64_t j = y - 1; j <= y + 1; ++j) {
            const auto [from, to] = m_seen.equal_range(key(i, j));
            for (auto at = from; at != to; ++at) {
                const Seen& s = at->second;
                if (std::hypot(s.middle.x - now.middle.x, s.middle.y - now.middle.y) <= kApartM &&
                    std::fabs(s.areaM2 - now.areaM2) <= std::max(kSmallestM2, kShare * now.areaM2))
                    return s.row;
            }
        }
    m_seen.emplace(key(x, y), now);
    return std::nullopt;
}

std::uint64_t keyOf(const Line& line) {
    std::uint64_t h = line.size();
    for (const PlanePoint& p : line) h = mixed(mixed(h, p.x), p.y);
    return h;
}

} // namespace fw
