// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/technology.h"

#include <cstdint>

namespace fw {

/// How many physical cell identities there are: 3 N1 + N2, TS 36.211 6.11 (504) and TS 38.211 7.4.2.1 (1008).
constexpr std::int32_t pciCount(Technology t) { return t == Technology::lte ? 504 : 1008; }

} // namespace fw
