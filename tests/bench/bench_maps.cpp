// SPDX-License-Identifier: GPL-3.0-or-later
// What the maps of before and after cost on a plan: bench_maps FILE. Time on the clock and of the processor.
#include "bench/measure.h"
#include "store/plan_file.h"
#include "store/plan_terrain.h"
#include "study/change_rasters.h"
#include "study/indoor_coverage.h"

#include <fmt/format.h>

#include <chrono>

using namespace fw;

namespace {

template <class F>
void line(const char* what, F&& f) {
    const double cpu = bench::processSeconds();
    const auto from = std::chrono::steady_clock::now();
    f();
    const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - from;
    fmt::print("  {:<28} {:7.1f} ms, {:7.1f} ms of CPU\n", what, took.count(),
               (bench::processSeconds() - cpu) * 1e3);
}

} // namespace

int main(int argc, char** argv) {
    if (argc != 2) {
        fmt::print("bench_maps PLAN.gpkg\n");
        return 2;
    }
    auto open = openPlan(argv[1]);
    if (!open) {
        fmt::print("{}\n", open.error().sentence());
        return 1;
    }
    const auto terrain = loadTerrain(open->plan, argv[1]);
    if (!terrain) {
        fmt::print("{}\n", terrain.error().sentence());
        return 1;
    }
    std::shared_ptr<const Study> study;
    line("study", [&] {
        if (auto s = Study::advance(nullptr, open->plan, *terrain)) study = *s;
    });
    if (!study) return 1;
    fmt::print("{} tiles, {} layers, {} small cells\n", servingRasters(*study, -1).size(),
               study->layers().size(), study->smallCells().size());
    for (int round = 0; round < 2; ++round) {
        line("radio state before", [&] { radioRasters(*study, -1, Moment::before); });
        line("radio state after", [&] { radioRasters(*study, -1, Moment::after); });
        line("PRB cost before", [&] { costRasters(*study, -1); });
        line("relief and harm", [&] { costChanges(*study, -1); });
        line("indoor coverage", [&] { indoorCoverage(*study, {}); });
    }
    return 0;
}
