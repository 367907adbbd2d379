// SPDX-License-Identifier: GPL-3.0-or-later
// PCI and root sequences carrier by carrier: who keeps his, who gets others, and why.
#include "siting/identity_parts.h"

#include "plan/id_ranges.h"

#include <algorithm>
#include <fmt/format.h>

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

// The first conflict of each small cell: of PCIs one that blocks, of root sequences any.
void noteConflicts(IdentityPlan& out) {
    for (const Finding& f : out.before) {
        const bool roots = f.rule == "root-sequence-overlap";
        if ((!roots && f.severity != Severity::block) || f.subjects.size() < 2) continue;
        for (const std::size_t k : {0, 1}) {
            const auto c = std::find_if(out.cells.begin(), out.cells.end(),
                                        [&](const CellPlan& p) { return p.small == f.subjects[k]; });
            if (c == out.cells.end()) continue;
            NumberWhy& why = roots ? c->rootWhy : c->pciWhy;
            if (why.cause == NumberCause::inOrder) why = {NumberCause::conflict, f.subjects[1 - k]};
        }
    }
}

class CarrierGiver {
public:
    CarrierGiver(IdentityNet& net, const IdentityOptions& options, IdentityPlan& out,
                 const std::vector<std::size_t>& places, const Job& job)
        : m_net(net), m_options(options), m_out(out), m_places(places), m_job(job) {}

    void give() {
        const NetCell& any = m_net.cells[m_places.front()];
        const bool lte = any.carrier.technology == Technology::lte;
        const IdentitySettings& r = m_options.ranges;
        m_pcis = numbersOf(lte ? r.pciLte : r.pciNr, pciCount(any.carrier.technology));
        m_roots = numbersOf(lte ? r.rootsLte : r.rootsNr, kLogicalRoots);
        for (const std::size_t p : m_places) // as rootProblemOf
            std::erase_if(m_roots, [&](std::int32_t n) { return n >= m_net.cells[p].zone.rootCount(); });
        givePcis();
        giveRoots();
    }

private:
    CellPlan& plan(std::size_t place) { return planOf(m_out.cells, m_net.cells[place].id); }

    // Numbers that were not given, or lie outside the ranges, come before a conflict: the reason that holds
    // whatever the others have.
    template <class Given, class Within>
    std::vector<bool> judge(NumberWhy CellPlan::*member, Given&& given, Within&& within) {
        std::vector<bool> kept(m_net.cells.size());
        for (const std::size_t p : m_places) {
            if (!m_net.cells[p].small) continue;
            NumberWhy& why = plan(p).*member;
            if (!given(p))
                why = {NumberCause::notGiven, {}};
            else if (!m_options.keep)
                why = {NumberCause::anew, {}};
            else if (!within(p))
                why = {NumberCause::outOfRange, {}};
            kept[p] = why.cause == NumberCause::inOrder;
        }
        return kept;
    }

    static bool any(const std::vector<bool>& v) { return std::find(v.begin(), v.end(), true) != v.end(); }

    void loosen(NumberWhy CellPlan::*member, const std::vector<bool>& kept) {
        for (const std::size_t p : m_places)
            if (kept[p]) plan(p).*member = {NumberCause::noRoom, {}};
    }

    void givePcis() {
        const auto kept = judge(
            &CellPlan::pciWhy, [&](std::size_t p) { return plan(p).pciBefore >= 0; },
            [&](std::size_t p) {
                return std::binary_search(m_pcis.begin(), m_pcis.end(), m_net.cells[p].pci);
            });
        const PciProblem problem = pciProblemOf(m_net, m_places, m_pcis, kept);
        PciPlan given = planPcis(problem, m_options.steps, m_job);
        if (given.cost.conflicts > 0 && any(kept)) {
            const std::vector<bool> none(kept.size());
            const PciPlan free =
                planPcis(pciProblemOf(m_net, m_places, m_pcis, none), m_options.steps, m_job);
            if (free.cost.conflicts < given.cost.conflicts) {
                given = free;
                loosen(&CellPlan::pciWhy, kept);
            }
        }
        m_out.proven = m_out.proven && given.proven;
        for (std::size_t k = 0; k < m_places.size(); ++k) {
            NetCell& cell = m_net.cells[m_places[k]];
            if (!cell.small) continue;
            CellPlan& c = plan(m_places[k]);
            c.pci = cell.pci = given.pcis[k];
            c.reuseM = nearestWithPci(problem, given.pcis, k);
        }
    }

    // How many pairs share roots that must not, with those that got none.
    std::size_t put(const std::vector<std::int32_t>& firsts) {
        std::size_t worse = 0;
        for (std::size_t k = 0; k < m_places.size(); ++k) {
            NetCell& cell = m_net.cells[m_places[k]];
            if (!cell.small) continue;
            cell.identity.rootSequence.reset();
            if (firsts[k] >= 0) cell.identity.rootSequence = firsts[k];
            worse += firsts[k] < 0;
        }
        for (std::size_t i = 0; i < m_places.size(); ++i)
            for (std::size_t k = i + 1; k < m_places.size(); ++k)
                worse += m_net.concerns(m_places[i], m_places[k]) &&
                         m_net.shareRoots(m_places[i], m_places[k], m_options.rootReuseM);
        return worse;
    }

    void giveRoots() {
        const NetCell& any0 = m_net.cells[m_places.front()];
        const auto within = [&](std::size_t p) {
            const NetCell& c = m_net.cells[p];
            return rootsWithin(m_roots, static_cast<std::int32_t>(*c.identity.rootSequence), c.zone.roots,
                               c.zone.rootCount());
        };
        const auto kept = judge(
            &CellPlan::rootWhy, [&](std::size_t p) { return plan(p).rootBefore.has_value(); }, within);
        const RootProblem tied = rootProblemOf(m_net, m_places, m_roots, m_options.rootReuseM, kept);
        const RootProblem loose =
            rootProblemOf(m_net, m_places, m_roots, m_options.rootReuseM, std::vector<bool>(kept.size()));
        const auto first = planRoots(tied, m_job);
        if (const std::size_t worse = put(first); worse > 0 && any(kept)) {
            if (put(planRoots(loose, m_job)) < worse)
                loosen(&CellPlan::rootWhy, kept);
            else
                put(first);
        }
        std::size_t without = 0;
        for (const std::size_t p : m_places) {
            if (!m_net.cells[p].small) continue;
            plan(p).firstRoot = m_net.cells[p].identity.rootSequence;
            without += !m_net.cells[p].identity.rootSequence;
        }
        if (without)
            m_out.remarks.push_back(fmt::format(
                "{} small cell{} of {} {} without root sequences: their range has no run that is long "
                "enough. "
                "Give a wider one.",
                without, without == 1 ? "" : "s",
                any0.carrier.technology == Technology::lte ? "EARFCN" : "NR-ARFCN", any0.carrier.channel));
    }

    IdentityNet& m_net;
    const IdentityOptions& m_options;
    IdentityPlan& m_out;
    const std::vector<std::size_t>& m_places;
    const Job& m_job;
    std::vector<std::int32_t> m_pcis, m_roots;
};

std::string becauseOf(const Plan& plan, const NumberWhy& why, const std::string& before) {
    switch (why.cause) {
    case NumberCause::notGiven:
        return "none was given";
    case NumberCause::outOfRange:
        return fmt::format("{} lies outside the ranges", before);
    case NumberCause::conflict:
        return fmt::format("{} is in conflict with {}", before, plan.label(why.against));
    case NumberCause::noRoom:
        return fmt::format("beside {} the others found no room", before);
    case NumberCause::inOrder:
    case NumberCause::anew:
        break;
    }
    return "all are given anew";
}

std::string whySentence(const Plan& plan, const NumberWhy& why, const char* what, std::int64_t before,
                        std::int64_t now) {
    if (now < 0) return fmt::format("No {} could be given.", what);
    if (now != before)
        return fmt::format("{} {} is new: {}.", what, now, becauseOf(plan, why, fmt::format("{}", before)));
    if (why.cause == NumberCause::inOrder) return fmt::format("{} {} is kept.", what, now);
    return fmt::format("{} {} stays: nothing is better.", what, now);
}

} // namespace

void giveByCarrier(IdentityNet& net, const IdentityOptions& options, IdentityPlan& out, const Job& job) {
    out.proven = true;
    if (options.keep) noteConflicts(out);
    for (const auto& [carrier, places] : net.carriers())
        if (std::any_of(places.begin(), places.end(), [&](std::size_t p) { return net.cells[p].small; }))
            CarrierGiver(net, options, out, places, job).give();
}

std::string whyPci(const Plan& plan, const CellPlan& cell) {
    return whySentence(plan, cell.pciWhy, "PCI", cell.pciBefore, cell.pci);
}

std::string whyRoots(const Plan& plan, const CellPlan& cell) {
    return whySentence(plan, cell.rootWhy, "Root sequence", cell.rootBefore.value_or(-1),
                       cell.firstRoot.value_or(-1));
}

std::string keptSentence(const IdentityPlan& identities) {
    std::size_t pci = 0, roots = 0;
    for (const CellPlan& c : identities.cells) {
        pci += c.pci == c.pciBefore;
        roots += c.firstRoot && c.firstRoot == c.rootBefore;
    }
    return fmt::format("Of {} small cell{}, {} keep{} the PCI and {} the root sequences.",
                       identities.cells.size(), identities.cells.size() == 1 ? "" : "s", pci,
                       pci == 1 ? "s" : "", roots);
}

Result<std::map<std::int32_t, PreambleFormat>> preamblesOf(std::string_view text) {
    std::map<std::int32_t, PreambleFormat> out;
    while (!text.empty()) {
        const std::size_t comma = text.find(',');
        std::string_view part = text.substr(0, comma);
        text = comma == std::string_view::npos ? std::string_view{} : text.substr(comma + 1);
        while (part.starts_with(' ')) part.remove_prefix(1);
        while (part.ends_with(' ')) part.remove_suffix(1);
        if (part.empty()) continue;
        const std::size_t equals = part.find('=');
        const auto format =
            equals == std::string_view::npos ? std::nullopt : preambleFormat(part.substr(equals + 1));
        std::int32_t channel = -1;
        if (format)
            for (channel = 0; const char c : part.substr(0, equals)) {
                channel = c < '0' || c > '9' || channel > 3279165 ? -1 : 10 * channel + (c - '0');
                if (channel < 0) break;
            }
        if (!format || equals == 0 || channel < 0 || channel > 3279165)
            return Error{ErrorCode::badInput,
                         fmt::format("\"{}\" is no preamble of a carrier; write NR-ARFCN=FORMAT, like "
                                     "630000=A2. Formats: 0, A1, A2, A3, B1, B2, B3, B4, C0, C2.",
                                     part),
                         ""};
        out[channel] = *format;
    }
    return out;
}

} // namespace fw
