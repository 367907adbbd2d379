// SPDX-License-Identifier: GPL-3.0-or-later
// Acquisition: where else a small cell could go when an owner refuses, and what each metre away from where it
// is wanted costs.
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "base/working.h"
#include "plan/edit.h"
#include "review/review.h"

#include <optional>
#include <string>
#include <vector>

namespace fw {

struct AlternateOptions {
    double radiusM = 150; ///< other mounts are looked for so far off [own]
    int count = 3;        ///< that are kept
    double stepDeg = 10;  ///< between azimuths that are tried on each
};

/// The same need met from another mount.
struct Alternate {
    ItemId mount;
    double metres = 0;       ///< from where the small cell is now
    Radio radio;             ///< on that mount, aimed at its best open lobe; else where it blocks least
    double fit = 0;          ///< there, of the small cell
    double reliefPoints = 0; ///< there
    bool blocked = false;    ///< a finding blocks there whatever the aim
    std::string why;         ///< the first that does
    ConsentState consent = ConsentState::unknown;
    bool operator==(const Alternate&) const = default;
};

struct Alternates {
    ItemId small, mount;              ///< the need, and where it stands now
    double fit = 0, reliefPoints = 0; ///< there
    std::vector<Alternate> list;      ///< open before blocked, then by fit
    int looked = 0;                   ///< mounts that were tried
    std::string nothing;              ///< a sentence where the list is empty
};

/// Free mounts nearby whose owner has not refused, each with the radio aimed anew; what else is chosen stays.
/// Long (about half a second a mount): for a worker. Refused by a sentence: no such small cell. Cancelled:
/// Error cancelled.
Result<Alternates> alternatesFor(const std::shared_ptr<const Study>& study, ItemId small,
                                 const AlternateOptions& options = {}, const Job& job = {});

/// "Harbour Board refuses L-696; S-1a goes to W-414": the mount's owner refused, its radio stands on the
/// alternate, one step of the history. What else hangs on the mount stays. Refused where one of them is gone.
Result<Edit> refusalEdit(const Plan& plan, ItemId mount, const Alternate& alternate);
/// The refusal alone, the radio left out of what is chosen: for where there is no alternate.
Result<Edit> refusalEdit(const Plan& plan, ItemId mount);

/// What a small cell brings were its mount to stand elsewhere, the radio aimed as it is.
struct SearchRing {
    struct Sample {
        PlanePoint at;
        double metres = 0;     ///< from where it stands
        double lostPoints = 0; ///< relief less than there; negative where it brings more
        std::string towards;
    };
    ItemId small;
    double reliefPoints = 0;     ///< where it stands
    std::vector<Sample> samples; ///< ascending by distance; along its wall, on its roof, or about its foot
    /// "40 m along this wall costs 1.2 points": the farthest place in reach, and the nearest that costs over
    /// a point. Empty where it cannot be shifted.
    std::string says;
};
Result<SearchRing> searchRing(const Study& study, ItemId small, double reachM = 60, const Job& job = {});

/// What the ring's figures rest on: every place that was tried.
Working workingOf(const Plan& plan, const SearchRing& ring);
/// What an alternate's figures rest on.
Working workingOf(const Plan& plan, const Alternates& all, const Alternate& one);

} // namespace fw
