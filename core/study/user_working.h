// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "study/study.h"

#include <string>

namespace fw {

/// Why a cell's load is not spread as its timing-advance histogram says, as a sentence; empty where it is.
std::string whyNotRaked(const Study& study, ItemId cell, const Study::UserDistances& users);

/// The steps to the shares of one step of timing advance, in %: measured, modelled and as spread.
/// @param step  below the number of steps.
Working workingOfDistance(const Study& study, ItemId cell, const Study::UserDistances& users,
                          std::size_t step);

/// The steps to the shares of one CQI, 0 to 15, in %: the SINR that it takes, measured and computed.
Working workingOfCqi(const Study& study, ItemId cell, const Study::UserCqi& users, std::size_t cqi);

/// Mean of a distribution by CQI.
double meanCqi(const std::vector<double>& shares);

} // namespace fw
