// SPDX-License-Identifier: GPL-3.0-or-later
// From macro antennas to levels: the paths of a city's antennas take more memory than all else together, so
// they are made in portions, and only some stay.
#pragma once

#include "fringe/site_path.h"

#include <map>
#include <memory>

namespace fw {

struct AntennaPart;
struct Baseline;
struct Job;
struct ModelSettings;
struct StudyOptions;
class StudyCore;

/// Entry loss tables by frequency.
using EntryTables = std::map<double, std::shared_ptr<const EntryTable>>;

/// Fills antennas' keys and slices, and the tiles' levels and demand, of a baseline that has the rest up to
/// its receivers. What `old` has under the same digest is shared. Slices stay for as many antennas, in their
/// order, as options.keptPathBytes holds; levels do not depend on which. `entry` has a table for each layer.
/// Returns early when the job is stopped.
void mapMacroLevels(Baseline& b, const Baseline* old, const ModelSettings& settings,
                    const StudyOptions& options, const EntryTables& entry, const Job& job);

/// The slice that holds a macro cell's paths to one tile: the one that stayed, or made now (a sweep, some
/// 20 ms at 3 km) and kept for a while. Null out of reach.
std::shared_ptr<const PathSlice> sliceOf(const StudyCore& core, std::size_t cell, std::size_t tile);

} // namespace fw
