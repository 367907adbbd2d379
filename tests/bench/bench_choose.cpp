// SPDX-License-Identifier: GPL-3.0-or-later
// Choosing 40 of 2,000 mounts beside a general solver (COIN-OR CBC) in the same run, the same with 36
// azimuths, and what the footprints behind it cost over a city of 50,000 buildings: bench_choose
// [--no-city|--city].
#include "../../sample-projects/generate/city.h"
#include "bench/measure.h"
#include "siting/cbc_judge.h"
#include "siting/choice_cases.h"
#include "study/azimuth_footprints.h"
#include "study/study.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <string_view>

using namespace fw;

namespace {

double seconds() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

fwtest::CaseSpec spec(double reachM, std::uint16_t steps) {
    fwtest::CaseSpec s;
    s.mounts = 2000;
    s.places = 20000;
    s.sideM = 6000;
    s.reachM = reachM;
    s.steps = steps;
    s.beam = steps == 1 ? 1 : 0.25;
    s.targets = 1;
    return s;
}

/// When the search and its bound came within shares of each other.
struct Watched {
    Choice choice;
    double first = 0, within = 0, proven = 0, all = 0; ///< s; within 2 %, proven 1.2 %: 0 when never
};

Watched watch(const ChoiceProblem& p, ChooseOptions o) {
    Watched w;
    const double from = seconds();
    std::vector<std::pair<double, ChoicePoint>> points;
    o.onPoint = [&](const ChoicePoint& at) { points.emplace_back(seconds() - from, at); };
    w.choice = choose(p, o).value();
    w.all = seconds() - from;
    w.first = points.front().first;
    const auto best = static_cast<double>(w.choice.relief);
    for (const auto& [t, at] : points) {
        if (w.within == 0 && static_cast<double>(at.value) >= 0.98 * best) w.within = t;
        if (w.proven == 0 && at.bound &&
            static_cast<double>(*at.bound - at.value) <= 0.012 * static_cast<double>(*at.bound))
            w.proven = t;
    }
    return w;
}

void beside(const char* name, double reachM) {
    const ChoiceProblem p = fwtest::makeCase(spec(reachM, 1));
    ChooseOptions o;
    o.budget = 40;
    const Watched w = watch(p, o);
    const double from = seconds();
    const fwtest::CbcAnswer cbc = fwtest::askCbc(p, o, false, 240);
    const double peer = seconds() - from;
    fmt::print("40 of 2,000, {}: {:.3f} s; the solver {:.2f} s{} = {:.1f} x; of its value {:.4f} %\n", name,
               w.all, peer, cbc.optimal ? "" : " (given up)", peer / w.all,
               100 * static_cast<double>(w.choice.relief) / cbc.value);
}

void azimuths(double reachM) {
    const ChoiceProblem p = fwtest::makeCase(spec(reachM, 36));
    ChooseOptions o;
    o.budget = 40;
    const Watched w = watch(p, o);
    fmt::print("40 of 2,000 x 36, reach {:.0f} m: first set {:.0f} ms, within 2 % of the end {:.0f} ms, 1.2 "
               "% proven {:.0f} "
               "ms; gap at the end "
               "{:.2f} %, {:.2f} s\n",
               reachM, 1000 * w.first, 1000 * w.within, 1000 * w.proven, 100 * w.choice.gap.value_or(1),
               w.all);
}

/// Poles along the streets of a city's plan.
std::vector<FootprintAsk> poles(const Plan& plan, std::size_t count) {
    Random random(7);
    std::vector<const Street*> streets;
    for (const Street& s : plan.streets) streets.push_back(&s);
    std::vector<FootprintAsk> asks;
    const SmallCell& like = *plan.smallCells.begin();
    while (asks.size() < count && !streets.empty()) {
        const Street& s = *streets[random.below(static_cast<std::uint32_t>(streets.size()))];
        const std::size_t k = random.below(static_cast<std::uint32_t>(s.path.size() - 1));
        const double t = random.between(0, 1);
        FootprintAsk a;
        a.mount = *plan.mounts.begin();
        a.mount.id = {plan.lastId.v + 1 + static_cast<std::uint32_t>(asks.size())};
        a.mount.name = fmt::format("B-{}", asks.size());
        a.mount.at = s.path[k] + (s.path[k + 1] - s.path[k]) * t;
        a.mount.kind = MountKind::pole;
        a.mount.faces.reset();
        a.radio = *plan.radios.find(like.radio);
        a.radio.mount = a.mount.id;
        a.cell = like;
        asks.push_back(std::move(a));
    }
    return asks;
}

bool city() {
    town::CitySpec spec;
    spec.hilly = true;
    Plan plan = town::makeCity(spec);
    const auto asks = poles(plan, 2000);
    for (const FootprintAsk& a : asks) plan.mounts.put(a.mount);
    if (!asks.empty()) plan.lastId = asks.back().mount.id;
    const auto study = Study::advance(nullptr, plan, town::cityTerrain(spec));
    if (!study) {
        fmt::print("{}\n", study.error().sentence());
        return false;
    }
    std::vector<ItemId> cells;
    for (const LedgerLine& l : (*study)->live().cells)
        if (l.congested) cells.push_back(l.cell);
    const double from = seconds(), cpu = bench::processSeconds();
    const auto made = azimuthFootprints(**study, asks, cells);
    if (!made) {
        fmt::print("{}\n", made.error().sentence());
        return false;
    }
    std::size_t runs = 0;
    for (const auto& r : made->runs) runs += r.size();
    fmt::print("footprints of {} mounts, {} azimuths, {} full cells: {:.2f} s, {:.2f} s of CPU; {} places, "
               "{} runs\n",
               asks.size(), kFootprintSteps, cells.size(), seconds() - from, bench::processSeconds() - cpu,
               made->worth.size(), runs);
    return true;
}

} // namespace

int main(int argc, char** argv) {
    const std::string_view part = argc > 1 ? argv[1] : "";
    if (part != "--city") {
        beside("reach 120 m", 120);
        beside("reach 250 m", 250);
        azimuths(250);
        azimuths(700);
    }
    return part == "--no-city" || city() ? 0 : 1;
}
