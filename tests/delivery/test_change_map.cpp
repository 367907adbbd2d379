// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "delivery/change_map.h"
#include "study/change_rasters.h"
#include "study/hand_plan.h"

using namespace fw;

TEST_CASE("a change map says what the radio state says, cell by cell", "[delivery]") {
    testing::HandPlan hand;
    hand.macro(testing::place(-200, 0), 90, 0.8);
    hand.small(testing::place(60, 0), 90);
    const auto study = *testing::compute(hand.done());
    const PlanePoint sw = testing::place(-98, -51), ne = testing::place(151, 77);
    const Box box{sw.x, sw.y, ne.x, ne.y};
    const ChangeMap map = changeMap(*study, box);
    for (const Moment moment : {Moment::before, Moment::after}) {
        const auto& grid = moment == Moment::before ? map.before : map.after;
        CHECK(grid.cellM == kRasterPixelM);
        CHECK(grid.x0 <= box.x0);
        CHECK(grid.bounds().x1 >= box.x1);
        CHECK(grid.bounds().y1 >= box.y1);
        const auto rasters = radioRasters(*study, -1, moment);
        std::size_t wrong = 0, heard = 0;
        for (int row = 0; row < grid.height; ++row)
            for (int col = 0; col < grid.width; ++col) {
                const PlanePoint p = grid.centre(col, row);
                for (const RadioRaster& r : rasters) {
                    if (r.key != tileOf(p)) continue;
                    const auto x = static_cast<std::size_t>((p.x - r.key.x * kTileM) / kRasterPixelM),
                               y = static_cast<std::size_t>((p.y - r.key.y * kTileM) / kRasterPixelM);
                    wrong += grid.at(col, row) != r.sinrCenti[y * kRasterPixels + x];
                    heard += grid.at(col, row) != kNothingHeard;
                }
            }
        CHECK(wrong == 0);
        CHECK(heard > 1000);
    }
    CHECK(map.before.cells != map.after.cells);
}

TEST_CASE("a change map of a large area has cells that are means", "[delivery]") {
    testing::HandPlan hand;
    hand.macro(testing::place(-200, 0), 90, 0.8);
    hand.small(testing::place(60, 0), 90);
    const auto study = *testing::compute(hand.done());
    const Box box = study->plan().settings->workArea;
    const ChangeMap map = changeMap(*study, box, 40);
    CHECK(std::max(map.after.width, map.after.height) <= 42); // a cell more at either rim
    const ChangeMap fine = changeMap(*study, map.after.bounds());
    const int n = static_cast<int>(map.after.cellM / fine.after.cellM);
    REQUIRE(n > 1);
    double sum = 0;
    for (int k = 0; k < n * n; ++k) sum += fine.after.at(20 * n + k % n, 20 * n + k / n);
    CHECK(std::abs(map.after.at(20, 20) - sum / (n * n)) < 1); // whole hundredths
}
