// SPDX-License-Identifier: GPL-3.0-or-later
// Steps of the identity plan. Private to core/siting's identity files.
#pragma once

#include "review/identity_net.h"
#include "siting/identity.h"
#include "siting/root_plan.h"

namespace fw {

/// The cells of one carrier as problems; `places` is ascending, `kept` says of each cell of the net whether
/// it keeps its number though it is a small one.
PciProblem pciProblemOf(const IdentityNet& net, const std::vector<std::size_t>& places,
                        std::vector<std::int32_t> allowed, const std::vector<bool>& kept);
RootProblem rootProblemOf(const IdentityNet& net, const std::vector<std::size_t>& places,
                          std::vector<std::int32_t> allowed, double reuseM, const std::vector<bool>& kept);

/// Gives PCI and root sequences carrier by carrier, into `out` and into the net, for the findings after.
/// `out` has its cells and what the review finds before.
void giveByCarrier(IdentityNet& net, const IdentityOptions& options, IdentityPlan& out, const Job& job);

/// Tracking area, base station and cell numbers; what cannot be given goes into `remarks`.
void giveNumbers(const Study& study, const Ledger& ledger, const IdentityNet& net,
                 const IdentityOptions& options, std::vector<CellPlan>& cells,
                 std::vector<std::string>& remarks);

} // namespace fw
