// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>

namespace fw {

/// The radio technology of a carrier: LTE (3GPP TS 36 series) or NR (TS 38 series).
enum class Technology : std::uint8_t { lte, nr };

} // namespace fw
