// SPDX-License-Identifier: GPL-3.0-or-later
// What one working of a finding is written with. Private to core/review.
#pragma once

#include "base/text.h"
#include "base/working.h"
#include "review/rule.h"

#include <string>
#include <utility>

namespace fw {

struct Desk {
    const Finding& finding;
    const RuleView& view;
    Working& w;

    [[nodiscard]] const Study& study() const { return view.study(); }
    [[nodiscard]] ItemId subject(std::size_t k) const {
        return k < finding.subjects.size() ? finding.subjects[k] : ItemId{};
    }
    void input(std::string name, double value, const char* unit, const char* origin) const {
        w.inputs.push_back({std::move(name), value, unit, origin});
    }
    void limit(const char* name, const char* unit) const {
        w.inputs.push_back({name, view.limits()[name], unit, view.limits().origin(name)});
    }
    void step(std::string what, double value, const char* unit, const char* formula = "") const {
        w.steps.push_back({std::move(what), formula, value, unit});
    }
    void remark(const char* text) const { w.remarks.emplace_back(text); }
    [[nodiscard]] double trueDeg(GridAzimuth a, PlanePoint at) const {
        return study().frame().toTrue(a, at).deg;
    }
    void sight(const PairSight& s) const {
        step(s.clear ? CORE_TEXT("in sight: straight line over the worst edge")
                     : CORE_TEXT("not in sight: straight line over the worst edge"),
             s.clearanceM, "m");
    }
};

// Of the rules about identities (finding_working_identity.cpp).
void writeCollision(const Desk& d);
void writeConfusion(const Desk& d);
void writeModulo(const Desk& d);
void writeSharedRoots(const Desk& d);

} // namespace fw
