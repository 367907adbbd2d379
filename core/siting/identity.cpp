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

std::vector<std::int32_t> numbersOf(const std::string& ranges, std::int32_t count) {
    std::vector<std::int32_t> out;
    const auto read = idRanges(ranges, count - 1); // looked at before
    const std::vector<IdRange> all = read->empty() ? std::vector<IdRange>{{0, count - 1}} : *read;
    for (const IdRange& r : all)
        for (std::int64_t n = r.first; n <= r.last; ++n) out.push_back(static_cast<std::int32_t>(n));
    return out;
}

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

CellPlan& planOf(std::vector<CellPlan>& cells, ItemId small) {
    return *std::lower_bound(cells.begin(), cells.end(), small,
                             [](const CellPlan& c, ItemId id) { return c.small < id; });
}

std::optional<double> nearestWithPci(const PciProblem& problem, const std::vector<std::int32_t>& pcis,
                                     std::size_t v) {
    std::optional<double> least;
    for (std::size_t u = 0; u < pcis.size(); ++u) {
        if (u == v || pcis[u] != pcis[v]) continue;
        const double d = planeDistance(problem.vertices[u].at, problem.vertices[v].at);
        if (!least || d < *least) least = d;
    }
    return least;
}

// PCI and root sequences, carrier by carrier: what is given goes into the net too, for the findings after.
void giveByCarrier(IdentityNet& net, const IdentityOptions& options, IdentityPlan& out, const Job& job) {
    const IdentitySettings& r = options.ranges;
    out.proven = true;
    const auto carriers = net.carriers();
    for (const auto& [carrier, places] : carriers) {
        const bool lte = carrier.first == Technology::lte;
        if (std::none_of(places.begin(), places.end(), [&](std::size_t p) { return net.cells[p].small; }))
            continue;
        const PciProblem pci =
            pciProblemOf(net, places, numbersOf(lte ? r.pciLte : r.pciNr, pciCount(carrier.first)));
        const PciPlan given = planPcis(pci, options.steps, job);
        out.proven = out.proven && given.proven;
        const RootProblem root = rootProblemOf(
            net, places, numbersOf(lte ? r.rootsLte : r.rootsNr, kLogicalRoots), options.rootReuseM);
        const auto firsts = planRoots(root, job);
        std::size_t without = 0;
        for (std::size_t k = 0; k < places.size(); ++k) {
            NetCell& cell = net.cells[places[k]];
            if (!cell.small) continue;
            CellPlan& c = planOf(out.cells, cell.id);
            c.pci = cell.pci = given.pcis[k];
            c.reuseM = nearestWithPci(pci, given.pcis, k);
            cell.identity.rootSequence.reset();
            if (firsts[k] >= 0) cell.identity.rootSequence = firsts[k];
            c.firstRoot = cell.identity.rootSequence;
            without += firsts[k] < 0;
        }
        if (without)
            out.remarks.push_back(fmt::format("{} small cell{} of {} {} without root sequences: their range "
                                              "has no run that is long enough. Give a wider one.",
                                              without, without == 1 ? "" : "s", lte ? "EARFCN" : "NR-ARFCN",
                                              carrier.second));
    }
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
    const NeighbourSpec spec{options.marginDb, options.leastShare, options.mostNeighbours, options.spreadUs,
                             options.threads};
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
    w.inputs = {{"margin", o.marginDb, "dB", "option"},
                {"r", cell.radiusKm, "km", "plan: reach of small cells"},
                {"tau", o.spreadUs, "us", "option"},
                {"bias", cell.biasDb, "dB", "settled ledger"},
                {"power down", cell.powerDownDb, "dB", "settled ledger"}};
    const double need = (20.0 / 3 * cell.radiusKm + o.spreadUs) * 839 / 800 + 2;
    w.steps = {{"neighbours, at the margin or nearer", "", static_cast<double>(neighbours), ""},
               {"of them on its carrier", "", static_cast<double>(carrier), ""},
               {"PCI", "N = 3 N1 + N2", static_cast<double>(cell.pci), ""},
               {"N1", "floor(N / 3)", static_cast<double>(cell.pci / 3), ""},
               {"N2, also the shift of reference signals", "N mod 3", static_cast<double>(cell.pci % 3), ""},
               {"samples that a cyclic shift needs", "(20/3 r + tau) 839 / 800 + 2", need, ""},
               {"N_CS, the next in the table", "", static_cast<double>(cell.shift), ""},
               {"root sequences for 64 preambles", "ceil(64 / floor(839 / N_CS))",
                static_cast<double>(cell.roots), ""}};
    if (cell.cellIdentity && cell.node && cell.cellNumber) {
        const bool lte = small && small->carrier.technology == Technology::lte;
        const int bits = lte ? 8 : 36 - o.ranges.gnbBits;
        w.inputs.push_back({lte ? "eNB" : "gNB", static_cast<double>(*cell.node), "", "range given"});
        w.inputs.push_back({"cell", static_cast<double>(*cell.cellNumber), "", "range given"});
        w.steps.push_back({lte ? "ECI" : "NCI", fmt::format("{} 2^{} + cell", lte ? "eNB" : "gNB", bits),
                           static_cast<double>(*cell.cellIdentity), ""});
    }
    w.source = "TS 36.211 6.11 and 5.7.2, TS 38.211 7.4.2.1 and 6.3.3.1; TS 36.413 9.2.1.38, TS 38.413 "
               "9.3.1.7; Sesia, Toufik, Baker: LTE, The UMTS Long Term Evolution, 2nd ed., 17.4.2.2";
    w.remarks = {"Long preambles of format 0, unrestricted set. Neighbours, distances and weights are common "
                 "practice or own judgement, see the options."};
    return w;
}

} // namespace fw
