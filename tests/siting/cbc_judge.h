// SPDX-License-Identifier: GPL-3.0-or-later
// The same choice given to a general solver for mixed integer programs (COIN-OR CBC), as rows and columns.
#pragma once

#include "siting/choose.h"

#include <optional>

namespace fwtest {

struct CbcAnswer {
    bool optimal = false; ///< proven
    double value = 0;     ///< relief, or cost
    double bound = 0;     ///< that it has proven
};

/// @param relaxed  without whole numbers: the bound of linear programming.
/// @param seconds  after which it gives up; none: never.
CbcAnswer askCbc(const fw::ChoiceProblem& problem, const fw::ChooseOptions& options, bool relaxed = false,
                 std::optional<double> seconds = {});

} // namespace fwtest
