// SPDX-License-Identifier: GPL-3.0-or-later
// The comparisons of bench_ratios. Each adds its rows; false when the two sides did not do the same job.
#pragma once

#include "bench/measure.h"
#include "study/study.h"

#include <memory>
#include <vector>

namespace fw::bench {

/// Line of sight round street mounts, 300 m: against the viewshed and against rays on the true walls.
bool sightRows(const Study& study, std::vector<Row>& rows);
/// Macro levels of 20 sites of three sectors: against the viewsheds of the sites alone.
bool baselineRows(const Study& study, std::vector<Row>& rows);
/// Which buildings meet a beam: against prepared geometries in a tree.
bool wedgeRows(const Study& study, std::vector<Row>& rows);
/// A plan read from its file: against a plain loop over the features of its buildings.
bool openRows(const Plan& plan, std::vector<Row>& rows);
/// A move and a turn of one small cell: against what a frame may take.
bool dragRows(const std::shared_ptr<const Study>& study, std::size_t moves, std::vector<Row>& rows);

} // namespace fw::bench
