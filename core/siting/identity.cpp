// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/identity.h"

#include "base/text.h"
#include "plan/id_ranges.h"
#include "plan/validate.h"
#include "review/rule.h"
#include "siting/identity_parts.h"

#include <algorithm>
#include <fmt/format.h>
#include <memory>

namespace fw {

namespace {

std::vector<CellPlan> emptyPlans(const Plan& plan, const Ledger& ledger, const IdentityNet& net) {
    std::vector<CellPlan> out;
    for (const NetCell& c : net.cells) {
        if (!c.small) continue;
        CellPlan p;
        p.small = c.id;
        p.mount = c.mount;
        p.pciBefore = p.pci = c.pci;
        p.zeroCorrelation = c.zone.configuration;
        p.shift = c.zone.shift;
        p.roots = c.zone.roots;
        p.radiusKm = c.radiusKm;
        p.preamble = c.preamble;
        p.rootBefore = c.identity.rootSequence;
        const SmallCell* cell = plan.smallCells.find(c.id);
        const Radio* radio = plan.radios.find(cell->radio);
        p.biasDb = cell->biasDb;
        for (const SmallCellUse& u : ledger.smalls)
            if (u.small == c.id) {
                p.biasDb = u.biasDb;
                p.powerDownDb = u.powerDownDb;
            }
        p.powerDbm = (radio ? radio->totalPowerDbm : 0) - p.powerDownDb;
        out.push_back(p);
    }
    return out;
}

std::vector<IdentityNeighbour> neighboursOf(const IdentityNet& net) {
    std::vector<IdentityNeighbour> out;
    for (std::size_t x = 0; x < net.cells.size(); ++x) {
        int rank = 0;
        for (const std::size_t r : net.neighbours[x]) {
            const std::size_t y = net.otherOf(r, x);
            ++rank;
            if (!net.cells[x].small && !net.cells[y].small) continue;
            const NetRelation& pair = net.relations[r];
            out.push_back({net.cells[x].id, net.cells[y].id, pair.a == x ? pair.ab : pair.ba,
                           pair.a == x ? pair.ba : pair.ab, rank, net.sameCarrier(x, y)});
        }
    }
    return out;
}

// The profile of the plan with these options in it.
Limits limitsOf(const Plan& plan, const IdentityOptions& o) {
    RuleProfile p = plan.settings->profile;
    p.limits["pci-collision.margin"] = o.marginDb;
    p.limits["pci-collision.share"] = 100 * o.leastShare;
    p.limits["pci-confusion.neighbours"] = o.mostNeighbours;
    p.limits["root-sequence-overlap.reuse"] = o.rootReuseM;
    p.limits["root-sequence-overlap.short-from"] = o.shortFromKHz;
    return Limits(p);
}

// Conflicts by the rules of the review, on the net as it stands.
std::vector<Finding> conflictsOf(const Study& study, std::shared_ptr<const IdentityNet> net,
                                 const IdentityOptions& options) {
    const Limits limits = limitsOf(study.plan(), options);
    const Neighbours near(study);
    RuleView view(study, limits, near);
    view.setIdentities(std::move(net));
    std::vector<Finding> out;
    for (const Rule& rule : rules()) {
        if (!rule.ofIdentity) continue;
        auto tuples = rule.all(view);
        std::sort(tuples.begin(), tuples.end());
        for (const Subjects& t : tuples) {
            auto f = rule.check(view, t);
            if (!f) continue;
            f->rule = rule.id;
            f->subjects = t;
            out.push_back(std::move(*f));
        }
    }
    return out;
}

Status readable(const IdentitySettings& ranges) {
    PlanSettings settings;
    settings.identities = ranges;
    if (Status s = validate(settings); !s.ok()) return Error{ErrorCode::badInput, s.error().text, ""};
    return Done{};
}

} // namespace

IdentityOptions identityOptionsOf(const Plan& plan) {
    IdentityOptions out;
    out.ranges = plan.settings->identities;
    const Limits limits(plan.settings->profile);
    const NeighbourSpec spec = neighbourSpecOf(limits);
    out.marginDb = spec.marginDb;
    out.leastShare = spec.leastShare;
    out.mostNeighbours = spec.mostNeighbours;
    out.rootReuseM = limits["root-sequence-overlap.reuse"];
    out.shortFromKHz = spec.preambles.shortFromKHz;
    return out;
}

Result<IdentityPlan> identify(const Study& study, const Ledger& ledger, const IdentityOptions& options,
                              const Job& job) {
    if (Status s = readable(options.ranges); !s.ok()) return s.error();
    const auto smalls = study.smallCells();
    if (std::none_of(smalls.begin(), smalls.end(), [](const SmallCellPart& s) { return s.chosen; }))
        return Error{ErrorCode::badInput,
                     CORE_TEXT("No small cell is chosen in the active variant. Choose some first; identities "
                               "are given to those that are to be built.")};
    job.report(0.1, CORE_TEXT("looking for neighbours"));
    const NeighbourSpec spec{options.marginDb, options.leastShare, options.mostNeighbours,
                             options.spreadUs, options.threads,    {options.shortFromKHz, options.preambles}};
    auto net = std::make_shared<IdentityNet>(identityNetOf(study, spec, job));
    const Error stopped{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
    if (job.stopped()) return stopped;
    IdentityPlan out;
    out.options = options;
    out.remarks = net->remarks;
    out.before = conflictsOf(study, net, options);
    out.cells = emptyPlans(study.plan(), ledger, *net);
    if (!options.keep)
        for (NetCell& c : net->cells)
            if (c.small) {
                c.pci = -1;
                c.identity = {};
            }
    giveNumbers(study, ledger, *net, options, out.cells, out.remarks);
    job.report(0.4, CORE_TEXT("giving identities"));
    giveByCarrier(*net, options, out, job);
    if (job.stopped()) return stopped;
    out.after = conflictsOf(study, net, options);
    out.neighbours = neighboursOf(*net);
    return out;
}

Edit identityEdit(const Plan& plan, const IdentityPlan& identities) {
    Edit edit{CORE_TEXT("Give small cells their identities"), {}};
    for (const CellPlan& c : identities.cells) {
        const SmallCell* now = plan.smallCells.find(c.small);
        if (!now) continue;
        SmallCell cell = *now;
        cell.pci = c.pci;
        cell.identity.rootSequence = c.firstRoot;
        if (c.trackingArea) cell.identity.trackingArea = c.trackingArea;
        if (c.cellIdentity) cell.identity.cell = c.cellIdentity;
        if (cell != *now) edit.changes.emplace_back(Put{std::move(cell)});
    }
    PlanSettings settings = *plan.settings;
    settings.identities = identities.options.ranges;
    if (settings != *plan.settings) edit.changes.emplace_back(PutSettings{std::move(settings)});
    return edit;
}

Working workingOf(const Study& study, const IdentityPlan& identities, const CellPlan& cell) {
    const Plan& plan = study.plan();
    const IdentityOptions& o = identities.options;
    const SmallCell* small = plan.smallCells.find(cell.small);
    Working w;
    w.title = fmt::format("Identities of {}", plan.label(cell.small));
    std::size_t neighbours = 0, carrier = 0;
    for (const IdentityNeighbour& n : identities.neighbours)
        if (n.cell == cell.small) {
            ++neighbours;
            carrier += n.sameCarrier;
        }
    const bool isLong = !isShort(cell.preamble);
    const int scs = small ? small->carrier.scsKHz : 15;
    w.inputs = {{"margin", o.marginDb, "dB", "option"},
                {"r", cell.radiusKm, "km", "plan: reach of small cells"},
                {"tau", isLong ? o.spreadUs : shortSpreadUs(scs), "us",
                 isLong ? "option" : "normal cyclic prefix of data"},
                {"bias", cell.biasDb, "dB", "settled ledger"},
                {"power down", cell.powerDownDb, "dB", "settled ledger"}};
    const double tau = isLong ? o.spreadUs : shortSpreadUs(scs), trip = 20.0 / 3 * cell.radiusKm + tau;
    const double need = isLong ? trip * 839 / 800 + 2 : trip * 139 * scs / 1000 + 1;
    if (!isLong) w.inputs.push_back({"df", static_cast<double>(scs), "kHz", "plan"});
    w.steps = {{"neighbours, at the margin or nearer", "", static_cast<double>(neighbours), ""},
               {"of them on its carrier", "", static_cast<double>(carrier), ""},
               {"PCI", "N = 3 N1 + N2", static_cast<double>(cell.pci), ""},
               {"N1", "floor(N / 3)", static_cast<double>(cell.pci / 3), ""},
               {"N2, also the shift of reference signals", "N mod 3", static_cast<double>(cell.pci % 3), ""},
               {"samples that a cyclic shift needs",
                isLong ? "(20/3 r + tau) 839 / 800 + 2" : "(20/3 r + tau) 139 df / 1000 + 1", need, ""},
               {"N_CS, the next in the table", "", static_cast<double>(cell.shift), ""},
               {"root sequences for 64 preambles",
                isLong ? "ceil(64 / floor(839 / N_CS))" : "ceil(64 / floor(139 / N_CS))",
                static_cast<double>(cell.roots), ""}};
    if (!isLong)
        w.steps.push_back({fmt::format("radius that format {} holds", wordFor(cell.preamble)), "",
                           radiusOfFormat(cell.preamble, scs, tau), "km"});
    if (cell.cellIdentity && cell.node && cell.cellNumber) {
        const bool lte = small && small->carrier.technology == Technology::lte;
        const int bits = lte ? 8 : 36 - o.ranges.gnbBits;
        w.inputs.push_back({lte ? "eNB" : "gNB", static_cast<double>(*cell.node), "", "range given"});
        w.inputs.push_back({"cell", static_cast<double>(*cell.cellNumber), "", "range given"});
        w.steps.push_back({lte ? "ECI" : "NCI", fmt::format("{} 2^{} + cell", lte ? "eNB" : "gNB", bits),
                           static_cast<double>(*cell.cellIdentity), ""});
    }
    w.source = "TS 36.211 6.11 and 5.7.2, TS 38.211 7.4.2.1 and 6.3.3.1 (tables 6.3.3.1-2, -5 and -7); TS "
               "36.413 9.2.1.38, TS 38.413 "
               "9.3.1.7; Sesia, Toufik, Baker: LTE, The UMTS Long Term Evolution, 2nd ed., 17.4.2.2";
    w.remarks = {
        fmt::format("Preambles of format {}, unrestricted set. Neighbours, distances and weights are "
                    "common practice or own judgement, see the options.",
                    wordFor(cell.preamble)),
        whyPci(plan, cell), whyRoots(plan, cell)};
    return w;
}

} // namespace fw
