// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/id.h"
#include "geo/point.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace fw {

enum class Severity : std::uint8_t { note, warn, block };
const char* wordFor(Severity s); ///< "note", "warn", "block"

/// open: to be dealt with. stands: kept with a reason. nowWorse: kept, but measured worse than on that day.
/// stale: a reason on file whose finding is gone.
enum class Standing : std::uint8_t { open, stands, nowWorse, stale };
const char* wordFor(Standing s); ///< "open", "stands", "now worse", "stale"

struct Quantity {
    double value = 0;
    std::string unit;
    bool operator==(const Quantity&) const = default;
};

/// The smallest change that clears a finding.
struct Remedy {
    std::string text;                     ///< "Turn to 214 deg true; fit 61 left"
    std::optional<double> azimuthTrueDeg; ///< set where turning helps
    std::optional<double> tiltDeg;
    std::optional<double> fitLeft; ///< 0..100
    ItemId radio = {};             ///< that turns or tilts; none where neither helps
    bool operator==(const Remedy&) const = default;
};

/// One thing a rule found.
struct Finding {
    std::string rule; ///< id, e.g. "faces-macro"
    Severity severity = Severity::warn;
    std::vector<ItemId> subjects; ///< in the rule's order: the small cell, radio or mount first
    Quantity measured, limit;
    PlanePoint where;
    std::string text;   ///< one sentence with names and numbers
    std::string source; ///< of the limit: clause, or "common practice", or "own judgement"
    std::optional<Remedy> remedy;
    Standing standing = Standing::open;
    ItemId waiver; ///< where it stands
    bool operator==(const Finding&) const = default;
};

/// Whether somebody still has to look at it.
inline bool isOpen(const Finding& f) {
    return f.standing == Standing::open || f.standing == Standing::nowWorse;
}

} // namespace fw
