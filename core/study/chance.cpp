// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/chance.h"

#include "base/parallel.h"
#include "base/text.h"
#include "study/chance_draw.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {
namespace {

constexpr int kMostDraws = 100000;
constexpr std::size_t kAloneDraws = 250; // enough to tell which input spans most
constexpr std::size_t kAtOnce = 8;       // draws between two looks at the clock
constexpr double kReached = 1e-9;
constexpr double kAsWide = 0.9; // nearer than that, another seed may turn the order round

// Loads of all draws: [draw][cell].
struct Runs {
    std::vector<DrawLoads> all;                              // every input drawn
    std::array<std::vector<DrawLoads>, kChanceInputs> alone; // one only
};

void drawInto(const ChanceDraws& draws, std::size_t n, Runs& out) {
    thread_local Drawn drawn;
    thread_local std::array<DrawSums, kChanceInputs + 1> sums;
    draws.draw(n, {true, true, true, true}, drawn);
    std::array<DrawLoads*, kChanceInputs> alone{};
    for (std::size_t i = 0; i < kChanceInputs; ++i)
        if (n < out.alone[i].size()) alone[i] = &out.alone[i][n];
    draws.loadsByInput(drawn, sums, out.all[n], alone);
}

// The smallest value that at least a share of the draws does not exceed.
double quantile(const std::vector<double>& ascending, double share) {
    const auto n = static_cast<double>(ascending.size());
    const auto at = static_cast<std::size_t>(std::max(0.0, std::ceil(share * n - 1e-9) - 1));
    return ascending[std::min(at, ascending.size() - 1)];
}

template <class Value>
std::vector<double> ascending(const std::vector<DrawLoads>& runs, Value&& value) {
    std::vector<double> v;
    v.reserve(runs.size());
    for (const DrawLoads& r : runs) v.push_back(value(r));
    std::sort(v.begin(), v.end());
    return v;
}

Quantiles quantilesOf(const std::vector<double>& ascending) {
    return {quantile(ascending, 0.1), quantile(ascending, 0.5), quantile(ascending, 0.9)};
}

template <class Is>
double shareOf(const std::vector<DrawLoads>& runs, Is&& is) {
    const auto n = std::count_if(runs.begin(), runs.end(), is);
    return static_cast<double>(n) / static_cast<double>(runs.size());
}

CellChance cellChance(const LedgerLine& line, std::size_t c, const Runs& runs, double share) {
    CellChance out;
    out.cell = line.cell;
    out.before = line.before;
    out.target = line.target;
    out.congested = line.congested;
    out.ledger = line.after;
    const auto after = [c](const DrawLoads& r) { return r.after[c]; };
    const std::vector<double> uses = ascending(runs.all, after);
    out.after = quantilesOf(uses);
    out.atShare = quantile(uses, share);
    for (const DrawLoads& r : runs.all) out.mean += after(r) / static_cast<double>(runs.all.size());
    out.reaches = shareOf(runs.all, [&](const DrawLoads& r) { return after(r) <= line.target + kReached; });
    for (std::size_t i = 0; i < kChanceInputs; ++i) {
        out.alone[i] = quantilesOf(ascending(runs.alone[i], after));
        if (out.alone[i].span() > out.alone[static_cast<std::size_t>(out.widest)].span())
            out.widest = static_cast<ChanceInput>(i);
    }
    return out;
}

void addRemarks(const StudyCore& core, const Ledger& ledger, Chance& out) {
    out.remarks.emplace_back(CORE_TEXT(
        "Turned macros part the ground anew among the three strongest of a place as listed; shadowing moves "
        "levels and not who serves."));
    if (ledger.kind == Ledger::Kind::live)
        out.remarks.emplace_back(
            CORE_TEXT("Loads, biases and powers are those of the live ledger; the settled one may differ."));
    if (out.draws < 100)
        out.remarks.push_back(
            fmt::format("{} draws tell a chance to {:.0f} points at best; take some hundreds.", out.draws,
                        100 * std::sqrt(0.25 / out.draws)));
    for (const CellChance& c : out.cells)
        if (c.congested && c.before > 0.85)
            out.remarks.push_back(fmt::format("{} is over 85 %: it hides demand it could not serve, which no "
                                              "draw adds.",
                                              core.plan.label(c.cell)));
}

Chance gathered(const StudyCore& core, const Ledger& ledger, const ChanceSpots& spots, const Runs& runs,
                double share) {
    Chance out;
    out.draws = static_cast<int>(runs.all.size());
    std::vector<std::size_t> congested;
    for (const LedgerLine& line : ledger.cells) {
        const int c = core.cellIndex(line.cell);
        if (c < 0 || !(line.congested || !line.relief.empty() || line.harm != 0)) continue;
        out.cells.push_back(cellChance(line, static_cast<std::size_t>(c), runs, share));
        if (line.congested) congested.push_back(static_cast<std::size_t>(c));
    }
    const double target = core.plan.settings->model.targetUse;
    if (!congested.empty())
        out.allReach = shareOf(runs.all, [&](const DrawLoads& r) {
            return std::all_of(congested.begin(), congested.end(),
                               [&](std::size_t c) { return r.after[c] <= target + kReached; });
        });
    const double cap = core.plan.settings->model.smallUseCap;
    for (std::size_t n = 0; n < core.smalls.size(); ++n) {
        if (!core.smalls[n].chosen) continue;
        SmallChance s;
        s.small = core.smalls[n].id;
        s.use = quantilesOf(ascending(runs.all, [n](const DrawLoads& r) { return r.small[n]; }));
        s.overCap = shareOf(runs.all, [&](const DrawLoads& r) { return r.small[n] > cap + kReached; });
        out.smalls.push_back(s);
    }
    if (spots.spots.empty())
        out.remarks.emplace_back(CORE_TEXT("No chosen small cell wins anybody: no draw moves a load."));
    addRemarks(core, ledger, out);
    return out;
}

} // namespace

const char* nameOf(ChanceInput input) {
    switch (input) {
    case ChanceInput::shadowing:
        return CORE_TEXT("shadowing");
    case ChanceInput::demand:
        return CORE_TEXT("demand");
    case ChanceInput::build:
        return CORE_TEXT("radios as built");
    case ChanceInput::inventory:
        return CORE_TEXT("macro azimuths");
    }
    return "";
}

std::string hangsOn(const CellChance& cell) {
    const auto span = [&](std::size_t i) { return cell.alone[i].span(); };
    const auto widest = static_cast<std::size_t>(cell.widest);
    if (span(widest) < 0.001) return CORE_TEXT("nothing that is drawn");
    std::size_t next = widest == 0 ? 1 : 0;
    for (std::size_t i = 0; i < kChanceInputs; ++i)
        if (i != widest && span(i) > span(next)) next = i;
    if (span(next) < kAsWide * span(widest)) return nameOf(cell.widest);
    return fmt::format("{} and {}", nameOf(cell.widest), nameOf(static_cast<ChanceInput>(next)));
}

int inHundred(double share) {
    const int rounded = static_cast<int>(std::lround(100 * share));
    if (rounded >= 100 && share < 1) return 99;
    return rounded <= 0 && share > 0 ? 1 : rounded;
}

Result<Chance> chanceOf(const Study& study, const Ledger& ledger, const ChanceOptions& options,
                        const Job& job) {
    if (options.draws < 1 || options.draws > kMostDraws)
        return Error{ErrorCode::badInput, fmt::format("draws: {}; give 1 to {}", options.draws, kMostDraws),
                     ""};
    const Error stopped{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
    const StudyCore& core = study.core();
    job.report(0, CORE_TEXT("gathering places"));
    const ChanceSpots spots = spotsOf(core, ledger, job, options.threads);
    if (job.stopped()) return stopped;
    const ChanceDraws draws(core, spots, options.seed);
    const auto count = static_cast<std::size_t>(options.draws);
    Runs runs;
    runs.all.resize(count);
    for (auto& list : runs.alone) list.resize(std::min(count, kAloneDraws));
    for (std::size_t from = 0; from < count; from += kAtOnce) {
        job.report(0.1 + 0.9 * static_cast<double>(from) / static_cast<double>(count),
                   CORE_TEXT("drawing the inputs"));
        parallelFor(std::min(kAtOnce, count - from), options.threads, [&](std::size_t i) {
            if (!job.stopped()) drawInto(draws, from + i, runs);
        });
        if (job.stopped()) return stopped;
    }
    Chance out = gathered(core, ledger, spots, runs, options.share);
    out.seed = options.seed;
    job.report(1, CORE_TEXT("drawn"));
    return out;
}

Working workingOf(const Study& study, const Chance& chance, const CellChance& cell) {
    const PlanSettings& s = *study.plan().settings;
    Working w;
    w.title = fmt::format("Chance that {} comes down to {:.0f} %", study.plan().label(cell.cell),
                          100 * cell.target);
    w.inputs = {
        {CORE_TEXT("draws"), static_cast<double>(chance.draws), "", "entered"},
        {CORE_TEXT("seed"), static_cast<double>(chance.seed), "", "entered"},
        {CORE_TEXT("shadowing of macros"), s.model.macroSigmaDb, "dB", "plan"},
        {CORE_TEXT("shadowing of small cells"), s.model.smallSigmaDb, "dB", "plan"},
        {CORE_TEXT("its correlation between sites"), s.model.shadowCorrelation, "", "plan"},
        {CORE_TEXT("distance of macro shadowing"), s.spread.macroShadowM, "m", "plan"},
        {CORE_TEXT("distance of small-cell shadowing"), s.spread.smallShadowM, "m", "plan"},
        {CORE_TEXT("spread of demand by squares of 50 m"), s.spread.demandDb, "dB", "plan"},
        {CORE_TEXT("spread of built azimuths"), s.spread.buildAzimuthDeg, "deg", "plan"},
        {CORE_TEXT("spread of built tilts"), s.spread.buildTiltDeg, "deg", "plan"},
        {CORE_TEXT("spread of listed macro azimuths"), s.spread.inventoryAzimuthDeg, "deg", "plan"},
    };
    w.steps.push_back({CORE_TEXT("use before, as measured"), "", 100 * cell.before, "%"});
    w.steps.push_back({CORE_TEXT("use after, by the ledger"), "", 100 * cell.ledger, "%"});
    w.steps.push_back({CORE_TEXT("mean use after over the draws"), "", 100 * cell.mean, "%"});
    w.steps.push_back({CORE_TEXT("one draw in ten is at or below"), "", 100 * cell.after.p10, "%"});
    w.steps.push_back({CORE_TEXT("half of the draws"), "", 100 * cell.after.p50, "%"});
    w.steps.push_back({CORE_TEXT("nine of ten"), "", 100 * cell.after.p90, "%"});
    for (std::size_t i = 0; i < kChanceInputs; ++i)
        w.steps.push_back({fmt::format("points between one and nine of ten if only {} varies",
                                       nameOf(static_cast<ChanceInput>(i))),
                           "", 100 * cell.alone[i].span(), ""});
    w.steps.push_back({CORE_TEXT("share of draws at or below the target"), "draws at target / draws",
                       100 * cell.reaches, "%"});
    w.source = CORE_TEXT("Shadowing: 3GPP TR 38.901, 7.4.4 and table 7.5-6, correlation exp(-d / distance) "
                         "(Gudmundson 1991); the other spreads are our judgement, to be replaced by yours");
    w.remarks = chance.remarks;
    return w;
}

} // namespace fw
