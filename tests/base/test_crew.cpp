// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/crew.h"
#include "catch.h"

#include <algorithm>
#include <atomic>
#include <stdexcept>
#include <vector>

using namespace fw;

TEST_CASE("a crew does every piece once, call after call", "[base][threads]") {
    for (const unsigned threads : {1u, 2u, 5u}) {
        Crew crew(threads);
        CHECK(crew.threads() == threads);
        for (std::size_t call = 0; call < 300; ++call) {
            std::vector<int> done(call % 23, 0); // nothing to do, one piece, fewer and more than threads
            crew.forEach(done.size(), [&](std::size_t i) { ++done[i]; });
            REQUIRE(std::count(done.begin(), done.end(), 1) == static_cast<std::ptrdiff_t>(done.size()));
        }
    }
}

TEST_CASE("a failure inside a crew comes out at the caller, and the crew goes on", "[base][threads]") {
    Crew crew(3);
    for (int k = 0; k < 50; ++k) {
        CHECK_THROWS_AS(crew.forEach(20,
                                     [](std::size_t i) {
                                         if (i == 7) throw std::runtime_error("seven");
                                     }),
                        std::runtime_error);
        std::atomic<int> sum{0};
        crew.forEach(10, [&](std::size_t i) { sum += static_cast<int>(i); });
        CHECK(sum == 45);
    }
}
