// SPDX-License-Identifier: GPL-3.0-or-later
// Every published value of tests/reference that concerns a model of the calculator, run through the
// calculator.
#include "calc/calc.h"
#include "catch.h"
#include "reference_cases.h"

#include <map>
#include <set>
#include <string>

using namespace fw;

namespace {

struct File {
    const char* name;
    int cases; ///< written down here so that none is lost on the way unnoticed
};
constexpr File kFiles[] = {
    {"free_space.txt", 23},       {"knife_edge.txt", 104},
    {"p1411.txt", 212},           {"tr38901.txt", 145},
    {"building_entry.txt", 250},  {"antenna.txt", 69},
    {"lte_nr.txt", 70},           {"clutter.txt", 51},
    {"smallcell_hetnet.txt", 20}, {"rain_gas_backhaul.txt", 249},
};

} // namespace

TEST_CASE("published values come out of the calculator", "[calc][reference]") {
    for (const File& file : kFiles) {
        int run = 0;
        std::set<std::string> ids;
        for (const auto& c : fwtest::referenceCases(file.name)) {
            INFO(c.where << " " << c.id << ", " << c.source << ", " << c.basis);
            std::map<std::string, std::string> inputs(c.inputs.begin(), c.inputs.end());
            inputs.erase("model");
            const auto result = calculate(c.text("model"), inputs);
            if (!result) FAIL(result.error().sentence());
            const WorkingStep& last = result->steps.back();
            INFO("computed " << last.value << ", expected " << c.expectedText << " within "
                             << c.toleranceText);
            CHECK(c.met(last.value));
            CHECK(last.unit == c.unit);
            CHECK(ids.insert(c.id).second);
            ++run;
        }
        INFO(file.name);
        CHECK(run == file.cases);
    }
}

TEST_CASE("every model that publishes a value somewhere is checked, the others are named here",
          "[calc][reference]") {
    std::set<std::string> checked;
    for (const File& file : kFiles)
        for (const auto& c : fwtest::referenceCases(file.name)) checked.insert(c.text("model"));
    // Own compositions and combinations of checked parts; their tests: tests/radio and test_calc.cpp.
    const std::set<std::string> without = {"p2109_mix_median", "earfcn_pair", "reference_signal_power",
                                           "composed_loss"};
    for (const ModelInfo& m : models()) {
        INFO(m.name);
        CHECK(checked.count(m.name) + without.count(m.name) == 1);
    }
}
