// SPDX-License-Identifier: GPL-3.0-or-later
// A seeded town whose small cells wait for their identities.
#pragma once

#include "base/random.h"
#include "catch.h"
#include "siting/identity.h"
#include "study/settled.h"
#include "support/random_plan.h"

namespace fwtest {

using namespace fw;
using namespace fw::testing;

struct Town {
    std::shared_ptr<const Study> study;
    Ledger ledger;
    Town(std::uint64_t seed, int sites, bool nr = false) {
        Random random(seed);
        RandomPlanSpec spec;
        spec.areaM = 800;
        spec.sites = sites;
        spec.buildings = 90;
        spec.mounts = 10;
        Plan plan = randomPlan(random, spec);
        int n = 0;
        std::vector<Cell> cells(plan.cells.begin(), plan.cells.end());
        for (Cell& c : cells) {
            c.pci = (7 * n) % 504;
            c.identity = {(5 * n) % 838, 4000 + n % 2, (900 + n / 6) * 256 + n % 6};
            ++n;
            plan.cells.put(c);
        }
        std::vector<SmallCell> smalls(plan.smallCells.begin(), plan.smallCells.end());
        for (SmallCell& s : smalls) {
            s.chosen = true;
            s.pci = 3; // as if nobody had thought of it
            if (nr && s.id.v % 2) s.carrier = {Technology::nr, 630000, 20, Duplex::tdd, 0.74, 30};
            plan.smallCells.put(s);
        }
        plan.settings = [&] {
            PlanSettings settings = *plan.settings;
            settings.identities.enb = "5000-5099";
            settings.identities.gnb = "70000-70099";
            return std::make_shared<const PlanSettings>(settings);
        }();
        compute(std::move(plan));
    }
    void compute(Plan plan) {
        auto s = Study::advance(nullptr, std::move(plan), std::make_shared<const Terrain>(), StudyOptions{1});
        REQUIRE(s);
        study = *s;
        ledger = *settle(*study);
    }
    [[nodiscard]] const Plan& plan() const { return study->plan(); }
    [[nodiscard]] IdentityPlan identified() const {
        const auto out = identify(*study, ledger, identityOptionsOf(plan()));
        INFO((out ? "" : out.error().sentence()));
        REQUIRE(out);
        return *out;
    }
};

inline std::size_t countOfRule(const std::vector<Finding>& findings, const char* rule) {
    std::size_t n = 0;
    for (const Finding& f : findings) n += f.rule == rule;
    return n;
}

} // namespace fwtest
