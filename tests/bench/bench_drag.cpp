// SPDX-License-Identifier: GPL-3.0-or-later
// The parts of a drag one by one, over a city of 50,000 buildings: bench_drag [moves].
#include "base/one_heap.h"
#include "bench/drag.h"

#include "../../sample-projects/generate/city.h"

#include <fmt/format.h>

#include <cstdlib>

#include <sys/resource.h>

using namespace fw;

int main(int argc, char** argv) {
    useOneHeap();
    const std::size_t moves = argc > 1 ? static_cast<std::size_t>(std::atoi(argv[1])) : 500;
    town::CitySpec spec;
    spec.hilly = true;
    const Plan plan = town::makeCity(spec);
    fmt::print("city: {} buildings, {} cells, {} mounts, {} small cells\n", plan.scenery.buildingCount(),
               plan.cells.size(), plan.mounts.size(), plan.smallCells.size());
    const double from = bench::processSeconds();
    const auto study = Study::advance(nullptr, plan, town::cityTerrain(spec));
    if (!study) {
        fmt::print("{}\n", study.error().sentence());
        return 1;
    }
    rusage use{};
    getrusage(RUSAGE_SELF, &use);
    fmt::print("full study: {:.2f} s of CPU on all threads, peak memory {} MB\n",
               bench::processSeconds() - from, use.ru_maxrss / 1024);
    const bench::DragTimes t = bench::measureDrag(*study, moves);
    if (t.move.size() == 0) {
        fmt::print("a frame came out empty\n");
        return 1;
    }
    fmt::print("{}{}{}{}{}{}{}{}{}{}", t.press.line("press: the others summed once"),
               t.position.line("  position: sweep, skyline, parts"),
               t.relief.line("  relief and harm by difference"), t.ledger.line("  live ledger"),
               t.fit.line("  fit with terms"), t.review.line("  review"), t.footprint.line("  footprint"),
               t.move.line("move: a frame with everything"),
               t.turned.line("turn only: levels and share on the ground"),
               t.turn.line("turn only: with ledger and fit"));
    fmt::print("{:.1f} findings a frame\n", t.findingsPerMove);
    return 0;
}
