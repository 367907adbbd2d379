// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/limits.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>

namespace fw {

namespace {

constexpr const char* kPractice = "common practice";
constexpr const char* kOwn = "own judgement";
constexpr const char* kLine = "common practice; local codes and the line owner's rules come first";
constexpr const char* kGnss =
    "common practice for timing receivers: at most a quarter of the view above the mask";

std::vector<LimitInfo> facingLimits() {
    return {
        {"faces-macro.margin", "deg", 5, 0, 90, kPractice},
        {"faces-macro.block-within", "m", 200, 0, 5000, kPractice},
        {"faces-macro.warn-spacings", "site spacings", 0.5, 0, 5, kOwn},
        {"faces-macro.note-spacings", "site spacings", 1, 0, 5, kOwn},
        {"faces-macro.lone-spacing", "m", 1000, 50, 20000, kOwn},
        {"faces-macro.lead-block", "m", 40, 0, 1000, kOwn},
        {"faces-macro.lead-warn", "m", 70, 0, 1000, kOwn},
        {"macro-faces-cell.distance", "m", 50, 10, 300, kOwn},
        {"macro-faces-cell.warn", "dB", 0, -30, 30, kOwn},
        {"macro-faces-cell.block", "dB", 6, -30, 30, kOwn},
        {"macro-too-near.warn", "dBm", -70, -120, -20, kOwn},
        {"macro-too-near.block", "dBm", -60, -120, -20, kOwn},
        {"macro-too-near.relief", "points", 5, 0, 100, kOwn},
        {"mutual-facing.margin", "deg", 0, -60, 90, kPractice},
        {"mutual-facing.block-within", "m", 120, 0, 2000, kOwn},
        {"mutual-facing.warn-within", "m", 200, 0, 2000, kOwn},
        {"mutual-facing.contested", "%", 30, 0, 100, kOwn},
        {"one-way-facing.margin", "deg", 0, -60, 90, kPractice},
        {"one-way-facing.warn-within", "m", 120, 0, 2000, kOwn},
        {"same-mount-spread.spread", "deg", 90, 0, 180, kPractice},
    };
}

std::vector<LimitInfo> siteLimits() {
    return {
        {"into-obstruction.near", "m", 15, 0, 200, kOwn},
        {"into-obstruction.warn", "%", 45, 0, 100, kOwn},
        {"into-obstruction.block", "%", 65, 0, 100, kOwn},
        {"into-obstruction.boresight-half", "deg", 10, 0.5, 90, kOwn},
        {"into-obstruction.clear-for", "m", 30, 0, 300, kOwn},
        {"into-obstruction.served-from", "m", 12, 0, 300, kOwn},
        {"roof-edge.clearance", "F1", 0.6, 0, 2, "Rec. ITU-R P.526-16, section 2"},
        {"height-window.lowest", "m", 6, 2, 100, kPractice},
        {"height-window.highest", "m", 9, 2, 100, kPractice},
        {"tilt-outlook.missed", "%", 30, 0, 100, kOwn},
        {"sparse-outlook.cost", "points", 2, 0, 1000, kOwn},
        {"outside-fringe.share", "%", 50, 0, 100, kOwn},
        {"line-clearance.working-radius", "m", 3, 0, 50, kLine},
        {"line-clearance.to-1kv", "m", 1, 0, 50, kLine},
        {"line-clearance.to-50kv", "m", 3, 0, 50, kLine},
        {"line-clearance.to-200kv", "m", 5, 0, 50, kLine},
        {"line-clearance.above-200kv", "m", 7, 0, 50, kLine},
        {"sky-view.mask", "deg", 10, 0, 60, kGnss},
        {"sky-view.blocked", "%", 25, 0, 100, kGnss},
        {"sky-view.run", "deg", 45, 0, 360,
         "common practice for timing receivers: no single obstruction wider"},
    };
}

std::vector<LimitInfo> identityLimits() {
    return {
        {"pci-collision.margin", "dB", 6, 0, 30, kPractice},
        {"pci-collision.share", "%", 2, 0, 100, kOwn},
        {"pci-confusion.neighbours", "neighbours", 32, 1, 256, kPractice},
        {"pci-modulo.share", "%", 10, 0, 100, kOwn},
        {"root-sequence-overlap.reuse", "m", 2000, 0, 100000, kOwn},
        {"root-sequence-overlap.short-from", "kHz", 30, 15, 1000, kPractice},
    };
}

const LimitInfo* find(std::string_view name) {
    const auto& t = limitTable();
    const auto it = std::find_if(t.begin(), t.end(), [&](const LimitInfo& l) { return l.name == name; });
    return it == t.end() ? nullptr : &*it;
}

// Asked for by the rules alone, never with a name from outside.
[[noreturn]] void unknownLimit(std::string_view name) {
    std::fprintf(stderr, "review: there is no limit called '%.*s'\n", static_cast<int>(name.size()),
                 name.data());
    std::abort();
}

} // namespace

const std::vector<LimitInfo>& limitTable() {
    static const std::vector<LimitInfo> table = [] {
        std::vector<LimitInfo> t = facingLimits();
        for (auto list : {siteLimits(), identityLimits()})
            for (LimitInfo& l : list) t.push_back(std::move(l));
        return t;
    }();
    return table;
}

Limits::Limits(const RuleProfile& profile) {
    for (const LimitInfo& l : limitTable()) {
        const auto own = profile.limits.find(l.name);
        // A value that no file of ours could have brought in is not followed.
        const bool usable = own != profile.limits.end() && own->second >= l.min && own->second <= l.max;
        m_values.emplace(l.name, usable ? own->second : l.value);
    }
}

double Limits::operator[](std::string_view name) const {
    const auto it = m_values.find(name);
    if (it == m_values.end()) unknownLimit(name);
    return it->second;
}

const std::string& Limits::origin(std::string_view name) const {
    const LimitInfo* l = find(name);
    if (!l) unknownLimit(name);
    return l->origin;
}

} // namespace fw
