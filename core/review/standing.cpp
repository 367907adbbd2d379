// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/standing.h"

#include "review/review.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

namespace fw {

namespace {

using Key = std::pair<std::string, std::vector<ItemId>>;

Key keyOf(const Finding& f) {
    Key k{f.rule, f.subjects};
    std::sort(k.second.begin(), k.second.end());
    return k;
}

double sideOf(double measured, double limit) { return measured < limit ? -1 : measured > limit ? 1 : 0; }

double slackFor(const std::string& unit, const std::vector<Quantity>& slack) {
    for (const Quantity& q : slack)
        if (q.unit == unit) return q.value;
    return 0;
}

bool blank(const std::string& s) { return s.find_first_not_of(" \t\r\n") == std::string::npos; }

const Waiver* kept(const Plan& plan, const Key& key) {
    const Waiver* found = nullptr;
    for (const Waiver& w : plan.waivers)
        if (w.variant == plan.settings->activeVariant && w.rule == key.first && w.subjects == key.second)
            found = &w;
    return found;
}

} // namespace

bool worseThanKept(const Finding& finding, const Waiver& waiver, const std::vector<Quantity>& slack) {
    if (finding.measured.unit != waiver.unit) return true;
    const double then = sideOf(waiver.measured, waiver.limit);
    const double now = sideOf(finding.measured.value, finding.limit.value);
    if (then != 0 && now != 0 && then != now) return true;
    const double side = then != 0 ? then : now;
    const double room = slackFor(waiver.unit, slack);
    return side * (finding.measured.value - waiver.measured) > room ||
           side * (finding.limit.value - waiver.limit) > room;
}

std::vector<ItemId>
applyWaivers(const Plan& plan, std::vector<Finding>& findings,
             const std::function<const std::vector<Quantity>&(const std::string&)>& slackOf) {
    std::map<Key, const Waiver*> byKey;
    std::vector<ItemId> stale;
    for (const Waiver& w : plan.waivers) { // ascending, so the higher id replaces
        if (w.variant != plan.settings->activeVariant) continue;
        const Waiver*& slot = byKey[{w.rule, w.subjects}];
        if (slot) stale.push_back(slot->id);
        slot = &w;
    }
    for (Finding& f : findings) {
        f.standing = Standing::open;
        f.waiver = {};
        if (byKey.empty()) continue;
        const auto it = byKey.find(keyOf(f));
        if (it == byKey.end()) continue;
        f.waiver = it->second->id;
        f.standing = worseThanKept(f, *it->second, slackOf(f.rule)) ? Standing::nowWorse : Standing::stands;
        it->second = nullptr;
    }
    for (const auto& [key, w] : byKey)
        if (w) stale.push_back(w->id);
    std::sort(stale.begin(), stale.end());
    return stale;
}

const char* wordFor(Severity s) {
    switch (s) {
    case Severity::note:
        return "note";
    case Severity::warn:
        return "warn";
    case Severity::block:
        return "block";
    }
    return "";
}

const char* wordFor(Standing s) {
    switch (s) {
    case Standing::open:
        return "open";
    case Standing::stands:
        return "stands";
    case Standing::nowWorse:
        return "now worse";
    case Standing::stale:
        return "stale";
    }
    return "";
}

Result<Edit> standBecause(const Plan& plan, const Finding& finding, const std::string& reason,
                          const std::string& who, Date when) {
    const std::string subject =
        finding.subjects.empty() ? std::string("?") : plan.label(finding.subjects.front());
    if (blank(reason))
        return Error{ErrorCode::badInput,
                     "a finding stands only with a reason; write why it may stay as it is.",
                     fmt::format("{} at {}", finding.rule, subject)};
    const Key key = keyOf(finding);
    const Waiver* before = kept(plan, key);
    Waiver w;
    w.id = before ? before->id : plan.nextId();
    w.rule = finding.rule;
    w.subjects = key.second;
    w.variant = plan.settings->activeVariant;
    w.reason = reason;
    w.who = who;
    w.when = when.iso();
    w.measured = finding.measured.value;
    w.limit = finding.limit.value;
    w.unit = finding.measured.unit;
    return Edit{fmt::format("Let {} stand at {}", finding.rule, subject), {Put{Item{w}}}};
}

} // namespace fw
