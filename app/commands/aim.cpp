// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/aim.h"

#include "commands/commands.h"
#include "commands/intake_words.h"
#include "commands/json_out.h"
#include "commands/working_text.h"

#include <fmt/format.h>

namespace fw::cli {
namespace {

constexpr std::size_t kLobesTold = 6;

Json pointJson(const AimPoint& p) {
    Json out = {{"azimuth_true_deg", number(p.azimuth.deg, 3)},
                {"tilt_deg", number(p.tiltDeg, 3)},
                {"fit", number(p.fit)},
                {"relief_points", number(p.reliefPoints)},
                {"blocked", p.blocked}};
    out["rule"] = p.blocked ? Json(p.rule) : Json(nullptr);
    out["why"] = p.blocked ? Json(p.why) : Json(nullptr);
    return out;
}

std::string pointText(const AimPoint& p) {
    return fmt::format("{:3.0f} deg true  tilt {:4.1f}  fit {:5.1f}  relief {:5.1f} points{}", p.azimuth.deg,
                       p.tiltDeg, p.fit, p.reliefPoints,
                       p.blocked ? fmt::format("  blocked: {}", p.why) : "");
}

std::string aimText(const Study& study, const Aim& aim, const AimRequest& request, const Ink& ink) {
    std::string out = ink.bold(study.plan().label(aim.small)) + "\n";
    out += "  now  " + pointText(aim.now) + "\n";
    if (aim.lobes.empty()) out += "  No azimuth is open: something blocks each of them.\n";
    for (std::size_t k = 0; k < std::min(kLobesTold, aim.lobes.size()); ++k)
        out += fmt::format("  {:>3}  {}\n", k + 1, pointText(aim.lobes[k]));
    if (aim.lobes.size() > kLobesTold)
        out += fmt::format("       and {} lesser lobes\n", aim.lobes.size() - kLobesTold);
    for (const std::string& text : aim.everywhere)
        out += "  " + ink.yellow("No aim clears this: ") + text + "\n";
    if (request.rose)
        for (const AimPoint& p : aim.rose) out += "       " + pointText(p) + "\n";
    if (request.working) out += workingText(workingOf(study, aim), "       ");
    return out;
}

} // namespace

std::string aimJson(const Study& study, const Aim& aim, bool withWorking) {
    const Plan& plan = study.plan();
    Json out = head("aim", 1, plan);
    out["small_cell"] = item(plan, aim.small);
    out["radio"] = item(plan, aim.radio);
    out["now"] = pointJson(aim.now);
    out["lobes"] = Json::array();
    for (const AimPoint& p : aim.lobes) out["lobes"].push_back(pointJson(p));
    out["blocked_everywhere"] = aim.everywhere;
    out["rose"] = Json::array();
    for (const AimPoint& p : aim.rose) out["rose"].push_back(pointJson(p));
    if (withWorking) out["working"] = working(workingOf(study, aim));
    return written(out);
}

int runAim(const AimRequest& request, std::stop_token stop) {
    const Progress progress(std::move(stop));
    const OpenPlan opened = openAs(request.choice);
    const auto study = computed(opened, request.choice.threads, progress);
    AimOptions options;
    options.stepDeg = request.stepDeg;
    options.tiltsDeg = request.tiltsDeg;
    options.threads = request.choice.threads;
    const Aim aim = take(aimOf(*study, smallCellCalled(*study, request.cell), options, progress.job()));
    progress.check();
    const auto lobe = static_cast<std::size_t>(request.apply);
    if (lobe > aim.lobes.size())
        throw Failure{exitUsage, fmt::format("There is no lobe {}; {} are open.", lobe, aim.lobes.size())};
    if (lobe > 0)
        changePlan(request.choice.plan, take(aimEdit(opened.plan, aim.radio, aim.lobes[lobe - 1])),
                   progress.job());
    if (request.json) {
        deliver(aimJson(*study, aim, request.working));
        return exitClean;
    }
    std::string text = aimText(*study, aim, request, Ink());
    if (lobe > 0) text += fmt::format("Aimed along lobe {}.\n", lobe);
    deliver(text);
    return exitClean;
}

} // namespace fw::cli
