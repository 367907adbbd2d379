// SPDX-License-Identifier: GPL-3.0-or-later
// From a file's reference system to the plan's.
#pragma once

#include "base/result.h"
#include "geo/frame.h"

#include <memory>
#include <string>
#include <vector>

namespace fw {

/// A file's reference system as found or as the user named it.
struct SourceSystem {
    int epsg = 0;    ///< 0: known by its WKT alone
    std::string wkt; ///< empty: by its code
    bool known() const { return epsg != 0 || !wkt.empty(); }
};

/// Brings coordinates of a file into plane metres of a plan. Cheap to copy; for one thread at a time.
class PlaceReader {
public:
    /// Refused by a sentence: codes and texts that name no system, vertical or engineering ones, systems
    /// with no way to the plan's.
    static Result<PlaceReader> open(const SourceSystem& from, const Frame& plan);
    /// The file's system is geographic: its coordinates are degrees.
    [[nodiscard]] bool geographic() const;
    [[nodiscard]] const std::string& name() const; ///< of the file's system
    /// Sentences for the preview: what of the file's system is left out.
    [[nodiscard]] const std::vector<std::string>& notes() const;
    /// In place; x east or longitude, y north or latitude. False when one of them has no place in the plan's
    /// system (the points are then as they were). Places are kept to 2^-20 m, as Frame does.
    bool toPlan(std::vector<PlanePoint>& points) const;
    /// The other way, in place; NaN for each that has no place in the file's system.
    void fromPlan(std::vector<PlanePoint>& points) const;

private:
    struct Impl;
    std::shared_ptr<Impl> m_impl;
};

} // namespace fw
