// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace fw::town {

/// Invented names of streets in shuffled order, none twice.
std::vector<std::string> streetNames(std::uint64_t seed);

} // namespace fw::town
