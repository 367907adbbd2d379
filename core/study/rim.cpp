// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/rim.h"

#include "base/text.h"
#include "study/state.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {
namespace {

constexpr double kTold = 0.01;       // of a cell's PRB near the rim: a point
constexpr double kToldBeyond = 0.10; // of a small cell's reach

Box groundOf(const Baseline& b) {
    return {b.tileX0 * kTileM, b.tileY0 * kTileM, (b.tileX0 + b.tilesW) * kTileM,
            (b.tileY0 + b.tilesH) * kTileM};
}

double insideBy(const Box& ground, PlanePoint p) {
    return std::min({p.x - ground.x0, ground.x1 - p.x, p.y - ground.y0, ground.y1 - p.y});
}

// Sides of a pixel that are the rim: two at a corner.
int rimSides(const Box& ground, PlanePoint p) {
    return (p.x - ground.x0 < kPixelM) + (ground.x1 - p.x < kPixelM) + (p.y - ground.y0 < kPixelM) +
           (ground.y1 - p.y < kPixelM);
}

struct Found {
    int sides = 0;
    std::int64_t near = 0;
};

void lookIn(const TilePart& t, const Box& ground, std::vector<Found>& found) {
    const TileReceivers& r = *t.receivers;
    for (std::size_t i = 0; i < r.size(); ++i) {
        const PlanePoint p = r.placeOf(i);
        if (insideBy(ground, p) >= kRimBandM) continue;
        const int sides = i < kTileArea ? rimSides(ground, p) : 0;
        for (std::size_t k = 0; k < t.levels->layers.size(); ++k) {
            const LayerLevels& l = t.levels->layers[k];
            if (l.empty() || l.sinr[i] == kNoLevel) continue;
            Found& f = found[rosterOf(l.strongest[0][i])];
            f.sides += sides;
            if (!t.cost->layers[k].empty()) f.near += t.cost->layers[k][i];
        }
    }
}

std::vector<RimSide> bareSides(const Plan& plan, const Box& g, double reachM) {
    std::vector<RimSide> out;
    const auto bare = [&](auto&& beyondM) {
        return std::none_of(plan.macroSites.begin(), plan.macroSites.end(), [&](const MacroSite& s) {
            const double d = beyondM(s.at);
            return d >= 0 && d <= reachM;
        });
    };
    if (bare([&](PlanePoint p) { return g.x0 - p.x; })) out.push_back(RimSide::west);
    if (bare([&](PlanePoint p) { return g.y0 - p.y; })) out.push_back(RimSide::south);
    if (bare([&](PlanePoint p) { return p.x - g.x1; })) out.push_back(RimSide::east);
    if (bare([&](PlanePoint p) { return p.y - g.y1; })) out.push_back(RimSide::north);
    return out;
}

std::vector<ItemId> silentSites(const Baseline& b) {
    std::vector<ItemId> reaching, all;
    for (std::size_t c = 0; c < b.cells.size(); ++c) {
        all.push_back(b.cells[c].site);
        const AntennaPart& a = *b.antennas[static_cast<std::size_t>(b.runtime[c].antenna)];
        if (std::any_of(a.tileKeys.begin(), a.tileKeys.end(), [](const Digest& d) { return d != Digest{}; }))
            reaching.push_back(b.cells[c].site);
    }
    for (auto* list : {&all, &reaching}) {
        std::sort(list->begin(), list->end());
        list->erase(std::unique(list->begin(), list->end()), list->end());
    }
    std::vector<ItemId> out;
    std::set_difference(all.begin(), all.end(), reaching.begin(), reaching.end(), std::back_inserter(out));
    return out;
}

Rim made(const Study& study) {
    const Baseline& b = *study.core().base;
    Rim out;
    out.ground = groundOf(b);
    std::vector<Found> found(b.cells.size());
    for (const TilePart& t : b.tiles) lookIn(t, out.ground, found);
    for (std::size_t c = 0; c < found.size(); ++c) {
        if (!b.cells[c].use || found[c].sides == 0) continue;
        const double prb = kPrbUnit * b.cells[c].resourceBlocks;
        RimCell cell;
        cell.cell = b.cells[c].id;
        cell.rimM = found[c].sides * kPixelM;
        cell.nearRim = static_cast<double>(found[c].near) / prb;
        cell.spread = static_cast<double>(b.runtime[c].movable - b.unspread[c]) / prb;
        if (!b.ringShares[c].measured.empty()) cell.unreached = b.ringShares[c].unreached;
        out.cells.push_back(cell);
    }
    std::sort(out.cells.begin(), out.cells.end(),
              [](const RimCell& x, const RimCell& y) { return x.cell < y.cell; });
    out.bare = bareSides(study.plan(), out.ground, study.plan().settings->model.macroReachM);
    out.outOfReach = silentSites(b);
    return out;
}

const char* wordOf(RimSide side) {
    switch (side) {
    case RimSide::west:
        return CORE_TEXT("west");
    case RimSide::south:
        return CORE_TEXT("south");
    case RimSide::east:
        return CORE_TEXT("east");
    case RimSide::north:
        return CORE_TEXT("north");
    }
    return "";
}

std::string sentenceOf(const Plan& plan, const RimCell& c) {
    return fmt::format(
        "{} serves {:.0f} m of the rim of the computed ground. Users beyond it are not in the "
        "plan, so that all of its use is laid on those inside: {:.1f} points on those within "
        "{:.0f} m of the rim, and the next {:.0f} m outside may hold as much. What relieves it "
        "is at most what is told; a larger area of work says more.",
        plan.label(c.cell), c.rimM, 100 * c.nearRim, kRimBandM, kRimBandM);
}

void addSides(const Study& study, const Rim& rim, std::vector<std::string>& out) {
    if (rim.bare.empty()) return;
    std::string sides;
    for (const RimSide s : rim.bare) sides += (sides.empty() ? "" : ", ") + std::string(wordOf(s));
    out.push_back(
        fmt::format("No macro of the plan stands within {:.0f} m beyond the computed ground to the {}: "
                    "if there are any, they disturb and serve its rim, which so reads too well.",
                    study.plan().settings->model.macroReachM, sides));
}

} // namespace

const Rim& rimOf(const Study& study) {
    const Baseline& b = *study.core().base;
    std::call_once(b.rimOnce, [&] { b.rim = std::make_shared<const Rim>(made(study)); });
    return *b.rim;
}

const RimCell* rimCellOf(const Study& study, ItemId cell) {
    const std::vector<RimCell>& all = rimOf(study).cells;
    const auto it = std::lower_bound(all.begin(), all.end(), cell,
                                     [](const RimCell& c, ItemId id) { return c.cell < id; });
    return it != all.end() && it->cell == cell ? &*it : nullptr;
}

double beyondRim(const Study& study, ItemId small) {
    const SmallCellPart* part = study.smallCell(small);
    const MountPart* mount = part ? study.mount(part->mount) : nullptr;
    if (!mount) return 0;
    const Box g = groundOf(*study.core().base);
    const double reach = study.plan().settings->model.smallReachM;
    // Strips of the disc from south to north, each by its middle.
    constexpr int kStrips = 400;
    double inside = 0, all = 0;
    for (int k = 0; k < kStrips; ++k) {
        const double y = reach * ((k + 0.5) * 2 / kStrips - 1), half = std::sqrt(reach * reach - y * y);
        all += 2 * half;
        const double north = mount->at.y + y;
        if (north < g.y0 || north > g.y1) continue;
        inside += std::max(0.0, std::min(mount->at.x + half, g.x1) - std::max(mount->at.x - half, g.x0));
    }
    return 1 - inside / all;
}

std::string rimSentence(const Study& study, ItemId cell) {
    const RimCell* c = rimCellOf(study, cell);
    return c && c->nearRim >= kTold ? sentenceOf(study.plan(), *c) : std::string();
}

std::vector<std::string> rimRemarks(const Study& study) {
    const Rim& rim = rimOf(study);
    const Plan& plan = study.plan();
    std::vector<std::string> out;
    for (const RimCell& c : rim.cells)
        if (const MacroCell* m = study.macroCell(c.cell); m && m->congested && c.nearRim >= kTold)
            out.push_back(rimSentence(study, c.cell));
    for (const SmallCellPart& s : study.smallCells()) {
        const double beyond = s.chosen ? beyondRim(study, s.id) : 0;
        if (beyond >= kToldBeyond)
            out.push_back(
                fmt::format("{:.0f} % of the ground in reach of {} lies beyond the rim of the computed "
                            "ground: what it takes there is not counted.",
                            100 * beyond, plan.label(s.id)));
    }
    if (!rim.outOfReach.empty())
        out.push_back(
            fmt::format("{} macro site{} reach{} none of the computed ground and count{} for nothing, "
                        "the first of them {}.",
                        rim.outOfReach.size(), rim.outOfReach.size() == 1 ? "" : "s",
                        rim.outOfReach.size() == 1 ? "es" : "", rim.outOfReach.size() == 1 ? "s" : "",
                        plan.label(rim.outOfReach.front())));
    addSides(study, rim, out);
    return out;
}

Working workingOfRim(const Study& study, ItemId cell) {
    Working w;
    w.title = fmt::format("What the rim cuts off {}", study.plan().label(cell));
    const RimCell* c = rimCellOf(study, cell);
    if (!c) {
        w.remarks.emplace_back(CORE_TEXT("It has no measured use, or serves no ground at the rim: nothing."));
        return w;
    }
    const Box& g = rimOf(study).ground;
    w.inputs.push_back({CORE_TEXT("computed ground, from west to east"), g.width(), "m", CORE_TEXT("plan")});
    w.inputs.push_back({CORE_TEXT("from south to north"), g.height(), "m", CORE_TEXT("plan")});
    w.inputs.push_back({CORE_TEXT("band inside the rim"), kRimBandM, "m", CORE_TEXT("own judgement")});
    w.steps.push_back(
        {CORE_TEXT("rim that it serves"), CORE_TEXT("open pixels of 4 m at the rim, its own"), c->rimM, "m"});
    w.steps.push_back({CORE_TEXT("use spread over ground inside"), "", c->spread * 100, "points"});
    if (c->unreached)
        w.steps.push_back({CORE_TEXT("samples farther out than any ground it serves here"),
                           CORE_TEXT("timing advance"), *c->unreached * 100, "%"});
    w.steps.push_back({CORE_TEXT("of it, on users within the band"), CORE_TEXT("sum of their cost"),
                       c->nearRim * 100, "points"});
    w.source = CORE_TEXT("own judgement: the ground outside is taken to be as dear as the band inside");
    if (c->nearRim >= kTold)
        w.remarks.push_back(sentenceOf(study.plan(), *c));
    else
        w.remarks.emplace_back(
            CORE_TEXT("It serves ground at the rim, but hardly any of its use lies near it."));
    return w;
}

} // namespace fw
