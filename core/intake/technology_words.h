// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/result.h"
#include "base/technology.h"

#include <string_view>

namespace fw {

/// LTE or NR by what people write for it (common practice): "LTE800", "4G", "E-UTRA"; "NR", "5G SA", "sub6",
/// "FR1", "mmWave", "mw". Refused by a clause: words of neither, and of both ("4G/5G").
Result<Technology> technologyFrom(std::string_view text);

} // namespace fw
