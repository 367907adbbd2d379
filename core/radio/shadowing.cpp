// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/shadowing.h"

#include "base/log_exp.h"

namespace fw {

Shadowing shadowingOf(UrbanScenario scenario, UrbanState state) {
    if (state == UrbanState::indoors) return {7, 7};
    const bool sight = state == UrbanState::sight;
    if (scenario == UrbanScenario::macro) return sight ? Shadowing{4, 37} : Shadowing{6, 50};
    return sight ? Shadowing{4, 10} : Shadowing{7.82, 13};
}

double shadowingCorrelation(const Shadowing& shadowing, double distanceM) {
    return expFixed(-distanceM / shadowing.correlationM);
}

} // namespace fw
