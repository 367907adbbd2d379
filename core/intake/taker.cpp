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

// The lowest corner leads, so that where a ring begins does not count.
std::uint64_t keyOf(const Polygon& area) {
    std::size_t first = 0;
    for (std::size_t k = 1; k < area.outer.size(); ++k)
        if (area.outer[k] < area.outer[first]) first = k;
    std::uint64_t h = area.outer.size();
    for (std::size_t k = 0; k < area.outer.size(); ++k) {
        const PlanePoint& p = area.outer[(first + k) % area.outer.size()];
        h = mixed(mixed(h, p.x), p.y);
    }
    return h;
}

std::uint64_t keyOf(const Line& line) {
    std::uint64_t h = line.size();
    for (const PlanePoint& p : line) h = mixed(mixed(h, p.x), p.y);
    return h;
}

} // namespace fw
