// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/alternates.h"

#include "commands/commands.h"
#include "commands/intake_words.h"
#include "commands/json_out.h"
#include "commands/working_text.h"

#include <fmt/format.h>

namespace fw::cli {
namespace {

const char* consentWord(ConsentState c) {
    switch (c) {
    case ConsentState::given:
        return "consent given";
    case ConsentState::asked:
        return "consent asked for";
    case ConsentState::refused:
        return "consent refused";
    case ConsentState::unknown:
        break;
    }
    return "consent not asked for";
}

Json alternateJson(const Plan& plan, const Alternates& all, const Alternate& a, bool withWorking) {
    Json out = {{"mount", item(plan, a.mount)},
                {"distance_m", number(a.metres, 3)},
                {"azimuth_true_deg", number(a.radio.azimuth.deg, 3)},
                {"tilt_deg", number(a.radio.tiltDeg, 3)},
                {"fit", number(a.fit)},
                {"relief_points", number(a.reliefPoints)},
                {"consent", consentWord(a.consent)},
                {"blocked", a.blocked}};
    out["why"] = a.blocked ? Json(a.why) : Json(nullptr);
    if (withWorking) out["working"] = working(workingOf(plan, all, a));
    return out;
}

std::string alternatesText(const Plan& plan, const Alternates& all, const SearchRing& ring, bool withWorking,
                           const Ink& ink) {
    std::string out =
        fmt::format("{} on {}: fit {:.1f}, relief {:.1f} points\n", ink.bold(plan.label(all.small)),
                    plan.label(all.mount), all.fit, all.reliefPoints);
    for (std::size_t k = 0; k < all.list.size(); ++k) {
        const Alternate& a = all.list[k];
        out += fmt::format(
            "  {}. {}, {:.0f} m off, {:.0f} deg true, tilt {:.1f}: fit {:.1f}, relief {:.1f} points; {}{}\n",
            k + 1, plan.label(a.mount), a.metres, a.radio.azimuth.deg, a.radio.tiltDeg, a.fit, a.reliefPoints,
            consentWord(a.consent), a.blocked ? "; " + ink.red("blocked: ") + a.why : "");
        if (withWorking) out += workingText(workingOf(plan, all, a), "       ");
    }
    if (!all.nothing.empty()) out += "  " + all.nothing + "\n";
    if (!ring.says.empty()) out += "  Search ring: " + ring.says + "\n";
    return out;
}

} // namespace

int runAlternates(const AlternatesRequest& request, std::stop_token stop) {
    const Progress progress(std::move(stop));
    const OpenPlan opened = openAs(request.choice);
    const auto study = computed(opened, request.choice.threads, progress);
    const Plan& plan = study->plan();
    const ItemId small = smallCellCalled(*study, request.cell);
    AlternateOptions options;
    options.count = request.count;
    options.radiusM = request.radiusM;
    const Alternates all = take(alternatesFor(study, small, options, progress.job()));
    const SearchRing ring = take(searchRing(*study, small, 60, progress.job()));
    progress.check();
    const auto wanted = static_cast<std::size_t>(request.apply);
    if (wanted > all.list.size())
        throw Failure{exitUsage,
                      fmt::format("There is no alternate {}; there are {}.", wanted, all.list.size())};
    if (wanted > 0)
        changePlan(request.choice.plan, take(refusalEdit(opened.plan, all.mount, all.list[wanted - 1])),
                   progress.job());
    if (!request.json) {
        std::string text = alternatesText(plan, all, ring, request.working, Ink());
        if (wanted > 0)
            text += fmt::format("{} is refused; taken: {}.\n", plan.label(all.mount),
                                plan.label(all.list[wanted - 1].mount));
        deliver(text);
        return exitClean;
    }
    Json out = head("alternates", 1, plan);
    out["small_cell"] = item(plan, all.small);
    out["mount"] = item(plan, all.mount);
    out["fit"] = number(all.fit);
    out["relief_points"] = number(all.reliefPoints);
    out["looked"] = all.looked;
    out["alternates"] = Json::array();
    for (const Alternate& a : all.list)
        out["alternates"].push_back(alternateJson(plan, all, a, request.working));
    out["search_ring"] = Json::array();
    for (const SearchRing::Sample& s : ring.samples)
        out["search_ring"].push_back({{"distance_m", number(s.metres, 3)},
                                      {"towards", s.towards},
                                      {"lost_points", number(s.lostPoints)}});
    deliver(written(out));
    return exitClean;
}

} // namespace fw::cli
