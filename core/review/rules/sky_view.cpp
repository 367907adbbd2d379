// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   sky-view: where timing comes from satellites, too much of the sky above the mask is hidden, or one
//        obstruction is too wide. FDD needs only a steady frequency, for which one satellite does once the
//        place is known: a note. TDD needs phase: a hidden sky blocks, a wide obstruction warns. Timing over
//        the backhaul needs no sky.
// Why    cells that lose phase in TDD disturb everybody on the channel.
// Source common practice for timing receivers (mask 10 deg; a quarter hidden; 45 deg wide).
// Waiver key: rule id + mount + variant.
#include "review/geometry.h"
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

#include <algorithm>

namespace fw {

namespace {

bool anyTdd(const RuleView& view, ItemId mount) {
    const auto smalls = view.near().smallsOfMount(mount);
    return std::any_of(smalls.begin(), smalls.end(), [&](ItemId id) {
        const SmallCellPart* s = view.study().smallCell(id);
        return s && s->carrier.duplex == Duplex::tdd;
    });
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const Mount* m = view.plan().mounts.find(t[0]);
    const MountPart* part = view.study().mount(t[0]);
    if (!m || !part || !part->skyline || !m->gnssTiming) return std::nullopt;
    const double mask = view.limits()["sky-view.mask"];
    const double hidden = 100 * blockedSkyShare(*part->skyline, mask),
                 most = view.limits()["sky-view.blocked"];
    const double run = widestBlockedRunDeg(*part->skyline, mask), widest = view.limits()["sky-view.run"];
    if (hidden <= most && run <= widest) return std::nullopt;
    const bool tdd = anyTdd(view, t[0]);

    Finding f;
    f.where = m->at;
    const bool byShare = hidden > most;
    f.severity = !tdd ? Severity::note : byShare ? Severity::block : Severity::warn;
    f.measured = byShare ? Quantity{hidden, "%"} : Quantity{run, "deg"};
    f.limit = byShare ? Quantity{most, "%"} : Quantity{widest, "deg"};
    f.text =
        fmt::format("From {} {:.0f} % of the sky above {:.0f} deg is hidden, the widest obstruction spans "
                    "{:.1f} deg; {} times by satellite.",
                    view.name(t[0]), hidden, mask, run, tdd ? "TDD" : "FDD");
    f.source = view.limits().origin(byShare ? "sky-view.blocked" : "sky-view.run");
    return f;
}

std::optional<Remedy> remedy(const RuleView&, const Finding&) {
    return Remedy{
        "Bring timing over the backhaul, or put the satellite antenna where it sees more sky.", {}, {}, {}};
}

} // namespace

Rule skyView() {
    Rule r;
    r.id = "sky-view";
    r.title = "Sky hidden from the timing antenna";
    r.why = "Cells that lose phase in TDD disturb everybody on the channel.";
    r.slack = {{2, "%"}, {5, "deg"}};
    r.all = everyMount;
    r.touched = touchedMounts;
    r.check = check;
    r.remedy = remedy;
    return r;
}

} // namespace fw
