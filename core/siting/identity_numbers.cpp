// SPDX-License-Identifier: GPL-3.0-or-later
// Tracking areas, base stations and cell numbers.
#include "siting/identity_parts.h"

#include "plan/id_ranges.h"

#include <algorithm>
#include <fmt/format.h>
#include <set>

namespace fw {

namespace {

// Bits of a cell identity that number the cell within its base station: 8 of an ECI's 28 (TS 36.413,
// 9.2.1.38), what the gNB's number leaves of an NCI's 36 (TS 38.413, 9.3.1.7).
int cellBits(Technology t, const IdentityOptions& o) {
    return t == Technology::lte ? 8 : 36 - o.ranges.gnbBits;
}

// Numbers of a list of ranges, one after another, those that are taken passed over.
class Giver {
public:
    Giver(std::vector<IdRange> ranges, std::set<std::int64_t> taken)
        : m_ranges(std::move(ranges)), m_taken(std::move(taken)) {}

    std::optional<std::int64_t> next() {
        for (; m_at < m_ranges.size(); ++m_at, m_offset = 0) {
            const IdRange& r = m_ranges[m_at];
            while (r.first + m_offset <= r.last) {
                const std::int64_t n = r.first + m_offset++;
                if (m_taken.insert(n).second) return n;
            }
        }
        return std::nullopt;
    }
    [[nodiscard]] bool holds(std::int64_t n) const {
        return std::any_of(m_ranges.begin(), m_ranges.end(),
                           [n](const IdRange& r) { return n >= r.first && n <= r.last; });
    }
    void take(std::int64_t n) { m_taken.insert(n); }
    [[nodiscard]] bool empty() const { return m_ranges.empty(); }
    [[nodiscard]] std::int64_t count() const { return countOf(m_ranges); }

private:
    std::vector<IdRange> m_ranges;
    std::set<std::int64_t> m_taken;
    std::size_t m_at = 0;
    std::int64_t m_offset = 0;
};

// One technology: a base station per mount, its cells numbered.
class NumberGiver {
public:
    NumberGiver(const Plan& plan, const IdentityNet& net, Technology t, const IdentityOptions& o,
                std::vector<CellPlan>& cells)
        : m_net(net), m_technology(t), m_bits(cellBits(t, o)), m_cells(cells),
          m_numbers(upTo(*idRanges(o.ranges.cells, 16383), (std::int64_t{1} << m_bits) - 1)),
          m_nodes(*idRanges(t == Technology::lte ? o.ranges.enb : o.ranges.gnb, std::int64_t{1} << 32),
                  takenNodes(plan)) {}

    void give(std::vector<std::string>& remarks) {
        std::map<ItemId, std::vector<CellPlan*>> byMount;
        for (CellPlan& c : m_cells)
            if (m_net.cells[m_net.place(c.small)].carrier.technology == m_technology)
                byMount[c.mount].push_back(&c);
        if (byMount.empty()) return;
        const char* station = m_technology == Technology::lte ? "eNB" : "gNB";
        if (m_nodes.empty()) {
            remarks.push_back(fmt::format("No range of {0} numbers is given, so no {0} and cell identities "
                                          "are; give one with --{1}-range.",
                                          station, m_technology == Technology::lte ? "enb" : "gnb"));
            return;
        }
        // What a mount has already is kept, and so is out of reach of those that have none.
        std::map<ItemId, std::int64_t> node;
        std::set<std::int64_t> kept;
        for (const auto& [mount, list] : byMount)
            for (const CellPlan* c : list)
                if (const auto n = nodeNow(*c); n && m_nodes.holds(*n) && !node.count(mount))
                    if (kept.insert(*n).second) node[mount] = *n;
        for (const std::int64_t n : kept) m_nodes.take(n);
        std::size_t without = 0;
        for (const auto& [mount, list] : byMount) {
            if (!node.count(mount)) {
                const auto next = m_nodes.next();
                if (!next) {
                    ++without;
                    continue;
                }
                node[mount] = *next;
            }
            number(list, node[mount], remarks);
        }
        if (without)
            remarks.push_back(fmt::format("The range of {} numbers is used up: {} mount{} without one; it "
                                          "holds {}. Give a wider one.",
                                          station, without, without == 1 ? " stays" : "s stay",
                                          m_nodes.count()));
    }

private:
    static std::vector<IdRange> upTo(const std::vector<IdRange>& ranges, std::int64_t highest) {
        std::vector<IdRange> out;
        for (const IdRange& r : ranges)
            if (r.first <= highest) out.push_back({r.first, std::min(r.last, highest)});
        return out;
    }

    [[nodiscard]] std::optional<std::int64_t> nodeNow(const CellPlan& c) const {
        const auto& id = m_net.cells[m_net.place(c.small)].identity.cell;
        return id ? std::optional(*id >> m_bits) : std::nullopt;
    }

    // Of macros and of every small cell that is no part of this: candidates, other variants. A small cell of
    // another variant on the same mount is the same base station.
    [[nodiscard]] std::set<std::int64_t> takenNodes(const Plan& plan) const {
        std::set<std::int64_t> out;
        std::set<ItemId> planned, mounts;
        for (const CellPlan& c : m_cells) {
            planned.insert(c.small);
            mounts.insert(c.mount);
        }
        for (const Cell& c : plan.cells)
            if (c.carrier.technology == m_technology && c.identity.cell)
                out.insert(*c.identity.cell >> m_bits);
        for (const SmallCell& s : plan.smallCells) {
            if (s.carrier.technology != m_technology || !s.identity.cell || planned.count(s.id)) continue;
            const Radio* radio = plan.radios.find(s.radio);
            if (!radio || !mounts.count(radio->mount)) out.insert(*s.identity.cell >> m_bits);
        }
        return out;
    }

    void number(const std::vector<CellPlan*>& list, std::int64_t node, std::vector<std::string>& remarks) {
        const std::int64_t mask = (std::int64_t{1} << m_bits) - 1;
        Giver numbers(m_numbers, {});
        for (CellPlan* c : list) {
            const auto& id = m_net.cells[m_net.place(c->small)].identity.cell;
            if (!id || *id >> m_bits != node || !numbers.holds(*id & mask)) continue;
            c->cellNumber = *id & mask;
            numbers.take(*c->cellNumber);
        }
        for (CellPlan* c : list) {
            c->node = node;
            if (!c->cellNumber) c->cellNumber = numbers.next();
            if (c->cellNumber)
                c->cellIdentity = (node << m_bits) | *c->cellNumber;
            else
                remarks.push_back(
                    fmt::format("{} has no cell number: the range of them is used up within its "
                                "base station. Give a wider one.",
                                m_net.cells[m_net.place(c->small)].name));
        }
    }

    const IdentityNet& m_net;
    Technology m_technology;
    int m_bits;
    std::vector<CellPlan>& m_cells;
    std::vector<IdRange> m_numbers;
    Giver m_nodes;
};

// The macro cell of its technology that a small cell relieves most; where it relieves none, the strongest
// neighbour among them.
void findHost(const Ledger& ledger, const IdentityNet& net, CellPlan& c) {
    const std::size_t at = net.place(c.small);
    const Technology t = net.cells[at].carrier.technology;
    double most = 0;
    for (const LedgerLine& line : ledger.cells) {
        const std::size_t macro = net.place(line.cell);
        if (macro == net.cells.size() || net.cells[macro].carrier.technology != t) continue;
        for (const LedgerLine::Part& p : line.relief)
            if (p.small == c.small && p.use > most) {
                most = p.use;
                c.host = line.cell;
            }
    }
    c.hostPoints = 100 * most;
    if (c.host) return;
    for (const std::size_t r : net.neighbours[at]) {
        const NetCell& other = net.cells[net.otherOf(r, at)];
        if (other.small || other.carrier.technology != t) continue;
        c.host = other.id;
        return;
    }
}

void giveTrackingAreas(const Ledger& ledger, const IdentityNet& net, std::vector<CellPlan>& cells,
                       std::vector<std::string>& remarks) {
    std::set<std::string> unknown;
    std::size_t without = 0;
    for (CellPlan& c : cells) {
        findHost(ledger, net, c);
        if (!c.host) {
            ++without;
            continue;
        }
        const NetCell& host = net.cells[net.place(c.host)];
        c.trackingArea = host.identity.trackingArea;
        if (!c.trackingArea) unknown.insert(host.name);
    }
    const auto lacking = std::count_if(cells.begin(), cells.end(),
                                       [](const CellPlan& c) { return c.host && !c.trackingArea; });
    if (lacking)
        remarks.push_back(
            fmt::format("The tracking area of {} is not known, so {} small cell{} without one; add it to the "
                        "macro cell{}.",
                        unknown.size() == 1 ? *unknown.begin() : fmt::format("{} host cells", unknown.size()),
                        lacking, lacking == 1 ? " stays" : "s stay", unknown.size() == 1 ? "" : "s"));
    if (without)
        remarks.push_back(fmt::format("{} small cell{} no macro cell of the same technology near by, and so "
                                      "no tracking area.",
                                      without, without == 1 ? " has" : "s have"));
}

} // namespace

void giveNumbers(const Study& study, const Ledger& ledger, const IdentityNet& net,
                 const IdentityOptions& options, std::vector<CellPlan>& cells,
                 std::vector<std::string>& remarks) {
    giveTrackingAreas(ledger, net, cells, remarks);
    for (const Technology t : {Technology::lte, Technology::nr})
        NumberGiver(study.plan(), net, t, options, cells).give(remarks);
}

} // namespace fw
