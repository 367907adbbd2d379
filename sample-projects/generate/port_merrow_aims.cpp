// SPDX-License-Identifier: GPL-3.0-or-later
#include "port_merrow_parts.h"

namespace fw::town {

const std::vector<Aim>& portMerrowAims() {
    static const std::vector<Aim> aims = {
#include "port_merrow_aims.inc"
    };
    return aims;
}

} // namespace fw::town
