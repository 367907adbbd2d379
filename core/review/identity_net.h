// SPDX-License-Identifier: GPL-3.0-or-later
// All cells of a study with their neighbour relations. Private to core/siting's identity files.
#pragma once

#include "radio/root_sequence.h"
#include "siting/identity.h"
#include "siting/root_plan.h"

#include <map>
#include <utility>

namespace fw {

struct NetCell {
    ItemId id, mount; ///< mount: of a small cell
    std::string name;
    Carrier carrier;
    PlanePoint at;
    std::int32_t pci = -1; ///< -1: not known
    CellIdentity identity;
    ZeroCorrelation zone; ///< by how far the cell is reckoned with
    double radiusKm = 0;
    bool small = false;
};

/// A relation of two cells by place, a < b.
struct NetRelation {
    std::size_t a = 0, b = 0;
    double ab = 0, ba = 0; ///< share of a's ground where b is within the margin, and the other way
    [[nodiscard]] double strength() const { return ab > ba ? ab : ba; }
};

using CarrierKey = std::pair<Technology, std::int32_t>;

/// Cells ascending by id: macro cells, and the chosen small cells of the active variant.
struct IdentityNet {
    std::vector<NetCell> cells;
    std::vector<NetRelation> relations;               ///< by a, then b
    std::vector<std::vector<std::size_t>> neighbours; ///< by cell: places in `relations`, strongest first
    std::vector<std::string> remarks;

    [[nodiscard]] std::size_t place(ItemId id) const; ///< of a cell that is there
    [[nodiscard]] bool sameCarrier(std::size_t a, std::size_t b) const {
        return cells[a].carrier.technology == cells[b].carrier.technology &&
               cells[a].carrier.channel == cells[b].carrier.channel;
    }
    [[nodiscard]] std::size_t otherOf(std::size_t relation, std::size_t cell) const {
        return relations[relation].a == cell ? relations[relation].b : relations[relation].a;
    }
    /// Places of its cells by carrier.
    [[nodiscard]] std::map<CarrierKey, std::vector<std::size_t>> carriers() const;
    /// Pairs of one carrier that some cell has both as neighbours (confusion), and that cell; a < b, the
    /// lowest such cell of each pair. Collisions may be among them.
    [[nodiscard]] std::map<std::pair<std::size_t, std::size_t>, std::size_t> secondTier() const;
};

Result<IdentityNet> identityNetOf(const Study& study, const IdentityOptions& options, const Job& job);

/// The cells of one carrier as problems; `places` is ascending.
PciProblem pciProblemOf(const IdentityNet& net, const std::vector<std::size_t>& places,
                        std::vector<std::int32_t> allowed);
RootProblem rootProblemOf(const IdentityNet& net, const std::vector<std::size_t>& places,
                          std::vector<std::int32_t> allowed, double reuseM);

/// Conflicts of the net as it stands in which a small cell has a part: pci-collision, pci-confusion,
/// pci-modulo, root-sequence-overlap.
std::vector<Finding> identityFindings(const IdentityNet& net, const IdentityOptions& options);

/// Tracking area, base station and cell numbers; what cannot be given goes into `remarks`.
void giveNumbers(const Study& study, const Ledger& ledger, const IdentityNet& net,
                 const IdentityOptions& options, std::vector<CellPlan>& cells,
                 std::vector<std::string>& remarks);

} // namespace fw
