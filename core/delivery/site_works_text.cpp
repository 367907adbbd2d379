// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/site_works_text.h"

#include "delivery/place_text.h"

#include <fmt/format.h>

namespace fw {

namespace {

constexpr double kRouteFactor = 1.3; // route over straight line, common practice

template <class T>
std::string runText(const Table<T>& points, const Frame& frame, const Mount& mount,
                    const std::optional<double>& enteredM, const char* what) {
    if (enteredM) return fmt::format("run of {:.0f} m, as surveyed", *enteredM);
    const T* best = nullptr;
    double bestM = 0;
    for (const T& p : points) {
        const double d = frame.groundDistance(mount.at, p.at);
        if (!best || d < bestM) {
            best = &p;
            bestM = d;
        }
    }
    if (!best) return fmt::format("no {} in the plan: to be surveyed", what);
    return fmt::format(
        "{}, {:.0f} m straight, about {:.0f} m by a route of {:.1f} times that (assumed; survey it)",
        nameOr(best->name, what), bestM, bestM * kRouteFactor, kRouteFactor);
}

} // namespace

const SiteWorks* worksOf(const Plan& plan, ItemId mount) {
    for (const SiteWorks& w : plan.siteWorks)
        if (w.mount == mount) return &w;
    return nullptr;
}

std::vector<NamedText> worksTexts(const Plan& plan, const Frame& frame, const Mount& mount,
                                  const SiteWorks* works) {
    std::vector<NamedText> out;
    out.push_back({"Backhaul", runText(plan.fibrePoints, frame, mount, mount.fibreM, "fibre point")});
    out.push_back({"Power", runText(plan.powerTaps, frame, mount, mount.powerM, "power tap")});
    const bool earthPlanned = works && !works->earthPit.empty();
    out.push_back({"Earth", earthPlanned ? works->earthPit
                            : mount.earthPossible
                                ? "rod at the foot possible; electrode by a licensed designer"
                                : "no rod at the foot: another electrode, by a licensed designer"});
    out.push_back({"Timing", mount.gnssTiming ? "satellite antenna at the mount" : "over the backhaul"});
    std::string lines = "not surveyed: take as present";
    if (mount.lineKnownClearanceM)
        lines = fmt::format("nearest {:.1f} m away, as surveyed", *mount.lineKnownClearanceM);
    else if (mount.linesSurveyed)
        lines = "surveyed; all near ones are on the map";
    out.push_back({"Overhead lines", lines});
    if (!works) return out;
    const auto add = [&out](const char* name, const std::string& text) {
        if (!text.empty()) out.push_back({name, text});
    };
    add("Cabinet", works->cabinet);
    add("Pole", works->pole);
    add("Appearance", works->camouflage);
    add("Remark", works->remark);
    return out;
}

} // namespace fw
