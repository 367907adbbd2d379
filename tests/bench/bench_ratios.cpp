// SPDX-License-Identifier: GPL-3.0-or-later
// The jobs that have to be fast against general libraries in the same process, over a city of 50,000
// buildings, as one table: bench_ratios [--json] [--moves N]. CPU time of one thread; only the ratios count.
// Exit 0 when every goal is met, 1 when one is missed, 4 when two sides did not do the same job.
#include "bench/drag.h"
#include "bench/ratios.h"

#include "../../sample-projects/generate/city.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <string_view>

using namespace fw;

namespace fw::bench {

bool dragRows(const std::shared_ptr<const Study>& study, std::size_t moves, std::vector<Row>& rows) {
    const DragTimes t = measureDrag(study, moves);
    // The limits are times and not another's work: 8 ms leaves half of a 60 Hz frame for drawing.
    rows.push_back({"drag: a move with everything, p99", "half a 60 Hz frame, 8 ms", 8, t.move.at(0.99),
                    Row::Goal::atMost, 1});
    rows.push_back({"turn alone: levels and share on the ground, median", "0.5 ms", 0.5, t.turned.at(0.5),
                    Row::Goal::atMost, 1});
    rows.push_back(
        {"turn alone: with ledger and fit, median", "0.5 ms", 0.5, t.turn.at(0.5), Row::Goal::atMost, 1});
    return t.move.size() > 0;
}

} // namespace fw::bench

int main(int argc, char** argv) {
    bool json = false;
    std::size_t moves = 500;
    std::string_view only;
    for (int k = 1; k < argc; ++k) {
        const std::string_view word = argv[k];
        if (word == "--json")
            json = true;
        else if (word == "--moves" && k + 1 < argc)
            moves = static_cast<std::size_t>(std::max(1, std::atoi(argv[++k])));
        else if (word == "--only" && k + 1 < argc)
            only = argv[++k];
        else {
            fmt::print(stderr, "bench_ratios [--json] [--moves N] [--only sight|baseline|drag|wedge|open]\n");
            return 2;
        }
    }
    town::CitySpec spec;
    spec.hilly = true;
    const Plan plan = town::makeCity(spec);
    const double from = bench::processSeconds();
    const auto study = Study::advance(nullptr, plan, town::cityTerrain(spec));
    if (!study) {
        fmt::print(stderr, "{}\n", study.error().sentence());
        return 4;
    }
    fmt::print(stderr, "city: {} buildings, {} cells, {} small cells; full study {:.2f} s of CPU\n",
               plan.scenery.buildingCount(), plan.cells.size(), plan.smallCells.size(),
               bench::processSeconds() - from);
    std::vector<bench::Row> rows;
    bool same = true;
    const auto wanted = [&](std::string_view part) { return only.empty() || only == part; };
    if (wanted("sight")) same = bench::sightRows(**study, rows) && same;
    if (wanted("baseline")) same = bench::baselineRows(**study, rows) && same;
    if (wanted("drag")) same = bench::dragRows(*study, moves, rows) && same;
    if (wanted("wedge")) same = bench::wedgeRows(**study, rows) && same;
    if (wanted("open")) same = bench::openRows(plan, rows) && same;
    fmt::print("{}", json ? bench::jsonOf(rows) : bench::tableOf(rows));
    if (!same) fmt::print(stderr, "Two sides of a comparison did not do the same job: the table is void.\n");
    if (!same) return 4;
    return std::all_of(rows.begin(), rows.end(), [](const bench::Row& r) { return r.met(); }) ? 0 : 1;
}
