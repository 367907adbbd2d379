// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/new_plan.h"

#include <cmath>
#include <cstdint>
#include <fmt/format.h>
#include <random>

namespace fw {

namespace {

// A random number with the marks of version 4 (RFC 9562, 5.4).
std::string freshUid() {
    std::random_device device;
    const auto word = [&] { return static_cast<std::uint64_t>(device()) << 32 | device(); };
    const std::uint64_t high = (word() & ~0xf000ull) | 0x4000ull;
    const std::uint64_t low = (word() & ~(3ull << 62)) | 2ull << 62;
    return fmt::format("{:08x}-{:04x}-{:04x}-{:04x}-{:012x}", high >> 32, high >> 16 & 0xffff, high & 0xffff,
                       low >> 48, low & 0xffffffffffffull);
}

} // namespace

Result<Plan> newPlan(const NewPlan& wanted) {
    const auto frame = Frame::fromEpsg(wanted.epsg);
    if (!frame) return frame.error();
    PlanSettings s;
    s.name = wanted.name;
    s.uid = freshUid();
    s.date = wanted.date;
    s.epsg = wanted.epsg;
    s.workArea = wanted.workArea;
    Plan plan;
    s.activeVariant = plan.lastId = {1};
    plan.variants.put({s.activeVariant, "A"});
    plan.settings = std::make_shared<const PlanSettings>(std::move(s));
    return plan;
}

Result<Box> squareRound(const Frame& frame, GeoPoint at, double sideM) {
    const auto middle = frame.toPlane(at);
    if (!middle) return middle.error();
    return Box{std::round(middle->x - sideM / 2), std::round(middle->y - sideM / 2),
               std::round(middle->x + sideM / 2), std::round(middle->y + sideM / 2)};
}

} // namespace fw
