// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/flat_map.h"
#include "base/random.h"
#include "catch.h"

#include <map>

using namespace fw;

// Outside value: the library's tree, put together entry by entry.
TEST_CASE("a flat map merged with others holds what a tree would", "[base]") {
    Random r(31);
    for (int round = 0; round < 200; ++round) {
        FlatMap<int, int> flat;
        std::map<int, int> tree;
        for (int k = 0; k < 6; ++k) {
            std::map<int, int> part;
            for (int n = static_cast<int>(r.below(40)); n > 0; --n)
                part[static_cast<int>(r.below(60))] = static_cast<int>(r.below(5)) - 2;
            FlatMap<int, int> other;
            for (const auto& [key, value] : part) other.append(key, value);
            flat.mergeWith(
                other, [](int& mine, int theirs) { mine += theirs; }, [](int v) { return v == 0; });
            for (const auto& [key, value] : part) {
                tree[key] += value;
                if (tree[key] == 0) tree.erase(key);
            }
        }
        REQUIRE(flat.size() == tree.size());
        REQUIRE(std::equal(flat.begin(), flat.end(), tree.begin(), [](const auto& a, const auto& b) {
            return a.first == b.first && a.second == b.second;
        }));
        for (int key = -1; key <= 60; ++key) {
            REQUIRE(flat.contains(key) == tree.contains(key));
            const auto at = flat.lower_bound(key);
            const auto there = tree.lower_bound(key);
            REQUIRE((at == flat.end()) == (there == tree.end()));
            if (at != flat.end()) REQUIRE(at->first == there->first);
        }
    }
}
