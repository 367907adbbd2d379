// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/random.h"
#include "catch.h"
#include "geo/grid.h"
#include "geo/index.h"

#include <set>

using namespace fw;

namespace {

Box randomBox(Random& r, double extent, double size) {
    const double x = r.between(-extent, extent), y = r.between(-extent, extent);
    return {x, y, x + r.between(0, size), y + r.between(0, size)};
}

std::vector<std::uint32_t> meetingByLooking(const std::vector<Box>& boxes, const Box& where) {
    std::vector<std::uint32_t> out;
    for (std::uint32_t i = 0; i < boxes.size(); ++i)
        if (boxes[i].meets(where)) out.push_back(i);
    return out;
}

} // namespace

TEST_CASE("The index finds what looking at every box finds", "[index]") {
    const std::uint64_t seed = 5;
    INFO("seed " << seed);
    Random r(seed);
    std::size_t found = 0;
    for (int round = 0; round < 40; ++round) {
        std::vector<Box> boxes;
        for (std::uint32_t i = 0, n = r.below(400); i < n; ++i) {
            boxes.push_back(randomBox(r, 1000, r.chance(0.05) ? 1500 : 40));
            if (r.chance(0.05)) boxes.push_back({}); // an empty box meets nothing
        }
        if (r.chance(0.2)) boxes.push_back({5e7, 5e7, 5e7, 5e7}); // a far outlier
        const BoxIndex index(boxes, r.between(5, 200));
        REQUIRE(index.size() == boxes.size());
        std::vector<std::uint32_t> out{1, 2, 3};
        for (int q = 0; q < 200; ++q) {
            Box where = randomBox(r, 1200, r.chance(0.1) ? 3000 : 100);
            if (r.chance(0.1) && !boxes.empty()) { // touches a box along its edge
                const Box& b = boxes[r.below(static_cast<std::uint32_t>(boxes.size()))];
                where = {b.x1, b.y0, b.x1 + 10, b.y1};
            }
            index.query(where, out);
            REQUIRE(out == meetingByLooking(boxes, where));
            found += out.size();
        }
    }
    CHECK(found > 10000);
}

TEST_CASE("An index of nothing answers nothing", "[index]") {
    std::vector<std::uint32_t> out{7};
    BoxIndex{}.query({0, 0, 1, 1}, out);
    CHECK(out.empty());
    BoxIndex{std::vector<Box>{Box{}}}.query({-1e9, -1e9, 1e9, 1e9}, out);
    CHECK(out.empty());
}

TEST_CASE("The tiles of a box are those of its points", "[grid]") {
    const std::uint64_t seed = 6;
    INFO("seed " << seed);
    Random r(seed);
    for (int i = 0; i < 200; ++i) {
        const Box box = randomBox(r, 3000, 1500);
        std::set<std::pair<int, int>> expected; // (y, x): row by row from the south-west
        for (int k = 0; k <= 60; ++k)
            for (int m = 0; m <= 60; ++m) {
                const TileKey t =
                    tileOf({box.x0 + box.width() * (k / 60.0), box.y0 + box.height() * (m / 60.0)});
                expected.insert({t.y, t.x});
            }
        std::vector<std::pair<int, int>> got;
        for (const TileKey& t : tilesOf(box)) got.emplace_back(t.y, t.x);
        REQUIRE(got == std::vector<std::pair<int, int>>(expected.begin(), expected.end()));
    }
    CHECK(tilesOf({}).empty());
    CHECK(tilesOf({-0.5, 0, 511.9, 0}) == std::vector<TileKey>{{-1, 0}, {0, 0}});
    CHECK(tilesOf({0, 0, 512, 0}) == std::vector<TileKey>{{0, 0}, {1, 0}});
}
