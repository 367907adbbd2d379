// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/blocked_bearings.h"

#include "review/turned.h"

#include <cmath>

namespace fw {

const std::optional<Finding>& BlockedBearings::at(TrueAzimuth azimuth) const {
    const auto k = static_cast<int>(std::lround(wrap360(azimuth.deg) / kBinDeg)) % kBins;
    return why[static_cast<std::size_t>(k)];
}

BlockedBearings blockedBearings(const Study& study, ItemId radio, const Job& job) {
    BlockedBearings out;
    const Radio* as = study.plan().radios.find(radio);
    if (!as) return out;
    const TurnedRadio asked(study, radio);
    for (int k = 0; k < BlockedBearings::kBins && !job.stopped(); ++k) {
        job.report(static_cast<double>(k) / BlockedBearings::kBins, "blocked bearings");
        Radio turned = *as;
        turned.azimuth = TrueAzimuth{k * BlockedBearings::kBinDeg};
        auto found = asked.blocking(turned, nullptr, true);
        if (found.empty()) continue;
        found.front().standing = Standing::open;
        out.why[static_cast<std::size_t>(k)] = std::move(found.front());
    }
    return out;
}

} // namespace fw
