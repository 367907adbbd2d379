// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   line-clearance: an overhead line comes nearer to the mount, seen from above, than the working zone
// of
//        ladder, pole and tools and the clearance for its voltage. Heights are not counted: 6 to 9 m is line
//        height, lines sag and swing, and lifting gear reaches any. An unsurveyed surrounding blocks at a
//        pole and warns elsewhere.
// Why    a ladder, pole or tool that comes near a line kills.
// Source common practice (round figures of ours); local codes, the line owner's rules and licensed practice
//        come first.
// Waiver key: rule id + mount and line ascending + variant; without a line in the plan, the mount alone.
#include "review/line_zone.h"
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

namespace fw {

namespace {

std::string capitalised(std::string s) {
    if (!s.empty() && s[0] >= 'a' && s[0] <= 'z') s[0] = static_cast<char>(s[0] - 'a' + 'A');
    return s;
}

constexpr const char* kCaution = " Treat every line as live; the line owner's distance rules.";

std::vector<Subjects> tuplesOf(const RuleView& view, const std::vector<ItemId>& mounts) {
    std::vector<Subjects> out;
    for (const ItemId id : mounts) {
        const Mount* m = view.plan().mounts.find(id);
        if (!m) continue;
        out.push_back({id});
        for (const ItemId line : view.near().linesNear(m->at, widestLineZoneM(view.limits())))
            out.push_back({id, line});
    }
    return out;
}
std::vector<Subjects> all(const RuleView& view) { return tuplesOf(view, view.near().mounts()); }
std::vector<Subjects> touched(const RuleView& view, const ReviewChange& change) {
    return tuplesOf(view, change.mounts);
}

std::optional<Finding> toLine(const RuleView& view, const Mount& m, const OverheadLine& line) {
    if (line.path.empty()) return std::nullopt;
    const PlanePoint nearest = nearestOn(line.path, m.at).nearest;
    const double distance = view.study().frame().groundDistance(m.at, nearest);
    const double need = lineZoneM(view.limits(), line.kilovolts);
    if (distance >= need) return std::nullopt;
    Finding f;
    f.severity = Severity::block;
    f.measured = {distance, "m"};
    f.limit = {need, "m"};
    f.where = nearest;
    f.text = fmt::format("{} ({}) passes {} at {:.1f} m seen from above; working zone and clearance "
                         "take {:.1f} m.{}",
                         capitalised(view.called("overhead line", line.id)),
                         line.kilovolts ? fmt::format("{} kV", *line.kilovolts) : "voltage unknown",
                         view.name(m.id), distance, need, kCaution);
    return f;
}

// What is known without a line in the plan.
std::optional<Finding> byWord(const RuleView& view, const Mount& m) {
    Finding f;
    f.where = m.at;
    if (m.lineKnownClearanceM) {
        const double need = widestLineZoneM(view.limits());
        if (*m.lineKnownClearanceM >= need) return std::nullopt;
        // A line in the plan, with its voltage, says more than the bare distance.
        if (m.linesSurveyed && !view.near().linesNear(m.at, need).empty()) return std::nullopt;
        f.severity = Severity::block;
        f.measured = {*m.lineKnownClearanceM, "m"};
        f.limit = {need, "m"};
        f.text =
            fmt::format("The nearest overhead line stands {:.1f} m from {} by the survey, its voltage not "
                        "known here; working zone and clearance take {:.1f} m.{}",
                        *m.lineKnownClearanceM, view.name(m.id), need, kCaution);
        return f;
    }
    if (m.linesSurveyed) return std::nullopt;
    f.severity = m.kind == MountKind::pole ? Severity::block : Severity::warn;
    f.measured = {0, "surveys"};
    f.limit = {1, "surveys"};
    f.text = fmt::format("Nobody has looked for overhead lines near {}.{}", view.name(m.id), kCaution);
    return f;
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const Mount* m = view.plan().mounts.find(t[0]);
    if (!m) return std::nullopt;
    std::optional<Finding> f;
    if (t.size() == 1)
        f = byWord(view, *m);
    else if (const OverheadLine* line = view.plan().overheadLines.find(t[1]))
        f = toLine(view, *m, *line);
    if (f) f->source = view.limits().origin("line-clearance.working-radius");
    return f;
}

std::optional<Remedy> remedy(const RuleView&, const Finding& finding) {
    if (finding.measured.unit == "surveys")
        return Remedy{
            "Have the overhead lines near the mount surveyed and enter the nearest distance.", {}, {}, {}};
    return Remedy{
        fmt::format("Choose a mount at least {:.1f} m farther off, or agree the work with the line's "
                    "owner.",
                    finding.limit.value - finding.measured.value),
        {},
        {},
        {}};
}

} // namespace

Rule lineClearance() {
    Rule r;
    r.id = "line-clearance";
    r.title = "Overhead line in the working zone";
    r.why = "A ladder, pole or tool that comes near a line kills.";
    r.slack = {{0.1, "m"}};
    r.all = all;
    r.touched = touched;
    r.check = check;
    r.remedy = remedy;
    return r;
}

} // namespace fw
