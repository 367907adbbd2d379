// SPDX-License-Identifier: GPL-3.0-or-later
// Physical cell identities for the cells of one carrier, apart from any study: a colouring with fixed and
// free vertices, what equal colours cost, and a search for the cheapest.
#pragma once

#include "base/job.h"
#include "base/technology.h"
#include "geo/point.h"
#include "radio/pci.h"

#include <compare>
#include <cstdint>
#include <optional>
#include <vector>

namespace fw {

struct PciVertex {
    PlanePoint at;
    std::int32_t pci = -1; ///< as the plan has it; -1: not known
    bool free = false;     ///< may be given another
};

/// Two cells that phones can mix up, or that disturb each other.
struct PciLink {
    std::size_t a = 0, b = 0;
    bool apart = false; ///< must differ: neighbours (collision) or neighbours of one cell (confusion)
    /// How much each hears of the other, thousandths of ground; 0: nothing. Weighs equal remainders.
    std::int64_t overlap = 0;
};

struct PciProblem {
    Technology technology = Technology::lte;
    std::vector<PciVertex> vertices;
    std::vector<PciLink> links;        ///< a pair at most once
    std::vector<std::int32_t> allowed; ///< ascending, for free vertices; never empty
};

/// Compared from the first to the last: no identity is shared where it must not be, then remainders are
/// spread, then what is shared is shared far apart.
struct PciCost {
    std::int64_t conflicts = 0; ///< links that must differ and do not
    /// Sum over links of overlap times 4 where modulo 3 is equal (synchronisation and reference signals,
    /// TS 36.211 6.10.1.2 and 6.11.1; TS 38.211 7.4.2.2), 2 where modulo 30 is (uplink reference signals,
    /// TS 36.211 5.5.1.3, TS 38.211 6.4.1.3) and, in NR, 1 where modulo 4 is (reference signals of the
    /// broadcast channel, TS 38.211 7.4.1.4.1). The weights are our own judgement.
    std::int64_t spread = 0;
    /// Sum over pairs that share an identity of 1e9 / (1 + (d / 100 m)^2).
    std::int64_t reuse = 0;
    auto operator<=>(const PciCost&) const = default;
    PciCost& operator+=(const PciCost& o) {
        conflicts += o.conflicts;
        spread += o.spread;
        reuse += o.reuse;
        return *this;
    }
};

/// What a whole assignment costs; -1 costs nothing.
PciCost pciCostOf(const PciProblem& problem, const std::vector<std::int32_t>& pcis);

struct PciPlan {
    std::vector<std::int32_t> pcis; ///< by vertex; those that are not free as they were
    PciCost cost;
    bool proven = false; ///< nothing is cheaper: the search went through everything
};

/// Builds from the hardest vertex on, moves and exchanges until nothing gets cheaper, and then goes through
/// what is left where there are few cells. What the plan has is kept where nothing is cheaper. Ends by
/// counted steps, never by a clock; the same problem gives the same plan. Stopped: as far as it came.
/// @param steps  of the search through everything.
PciPlan planPcis(const PciProblem& problem, std::int64_t steps = 20000, const Job& job = {});

/// Least distance (m) between two vertices with one identity; empty when none is shared.
std::optional<double> leastReuseM(const PciProblem& problem, const std::vector<std::int32_t>& pcis);

} // namespace fw
