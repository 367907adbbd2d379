// SPDX-License-Identifier: GPL-3.0-or-later
// How far predicted levels are off measured ones, cell by cell, and the offsets that bring them together.
// Nothing is changed until somebody applies the edit.
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "base/working.h"
#include "calibration/measured_point.h"
#include "plan/edit.h"
#include "study/study.h"

#include <array>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fw {

/// Side of a street square: what was measured within one errs together, since shadowing stays alike over some
/// tens of metres (3GPP TR 38.901, table 7.5-6: 37 to 50 m in urban macro cells).
inline constexpr double kStreetSquareM = 50;
/// Below these a cell keeps its offset [own judgement].
inline constexpr std::size_t kLeastPoints = 50, kLeastSquares = 10;
/// One square in so many is held out [own judgement].
inline constexpr int kHoldOutOneIn = 4;

struct StreetSquare {
    std::int64_t x = 0, y = 0; ///< south-west corner in squares, counted in the plan's system
    auto operator<=>(const StreetSquare&) const = default;
};
StreetSquare squareOf(PlanePoint at);
/// Whether a square is kept from fitting, to judge the fit by: by its number alone, so that it is the same
/// square in every run and for every cell.
bool heldOut(StreetSquare square);

struct CalibrationOptions {
    /// Fit a slope over distance beside the offset. It is told, not applied: a plan has no slope a cell.
    bool slope = false;
    /// Fit the entry loss on points inside buildings.
    bool indoor = false;
};

/// Measured less predicted levels.
struct ErrorFigures {
    std::size_t points = 0;
    double meanDb = 0, sigmaDb = 0, rmseDb = 0; ///< sigma about the mean, over n; all 0 without points
};
struct BeforeAfter {
    ErrorFigures before, after;
};

struct CellCalibration {
    ItemId cell;
    std::size_t points = 0, squares = 0; ///< outdoors, fitted on and held out
    bool fitted = false;
    std::string whyNot;                           ///< a sentence where it is not fitted
    double offsetBeforeDb = 0, offsetAfterDb = 0; ///< Cell::offsetDb; after: to 0.1 dB
    double fitDb = 0;                             ///< what the fit adds, not rounded
    double errorDb = 0;                           ///< standard error of it
    double scaleDb = 0;                           ///< spread of what is left of the points fitted on
    std::size_t leftOut = 0;                      ///< of the points fitted on, those without any weight
    std::optional<double> slopeDb, slopeErrorDb;  ///< measured less predicted, per tenfold distance
    std::optional<double> slopeHeldOutRmseDb;     ///< on held-out squares, were the slope applied too
    BeforeAfter fittedOn, heldOut;
};

/// One matched point, for a map.
struct PointResidual {
    std::size_t point = 0; ///< index into what was given
    ItemId cell;
    PlanePoint at;
    double beforeDb = 0, afterDb = 0; ///< measured less predicted
    bool heldOut = false, indoor = false;
    double weight = 0; ///< in the fit; 0 held out, indoors and of cells that are not fitted
};

/// Counts by class of kHistogramStepDb; the first and last hold all beyond.
inline constexpr double kHistogramStepDb = 2;
inline constexpr int kHistogramClasses = 41; ///< centred at -40, -38, ... 40
using ErrorHistogram = std::array<std::size_t, kHistogramClasses>;

struct IndoorCalibration {
    std::size_t points = 0, squares = 0;
    double excessDb = 0; ///< measured less predicted, cells' new offsets counted
    double errorDb = 0;
    /// Share of efficient buildings (ModelSettings) that brings it to nothing, 0 to 1 in hundredths; absent
    /// where no share does, or some of the buildings are known.
    std::optional<double> efficientShare;
    bool fitted = false; ///< false: under kLeastPoints in kLeastSquares
};

struct Calibration {
    CalibrationOptions options;
    std::size_t given = 0, notALevel = 0, unknownCell = 0, ambiguous = 0;
    std::size_t notPredicted = 0; ///< matched, but out of reach, outside the area or under a roof unsaid
    std::size_t matched = 0, squares = 0; ///< what is left
    bool usable = false;                  ///< at least one cell is fitted
    std::string verdict;                  ///< one or two sentences: what came of it, or why nothing
    std::vector<CellCalibration> cells;   ///< with matched points, ascending by id
    BeforeAfter fittedOn, heldOut;        ///< of fitted cells, outdoors
    std::vector<PointResidual> residuals; ///< ascending by point
    ErrorHistogram histogramBefore{}, histogramAfter{}; ///< held-out points of fitted cells
    std::optional<IndoorCalibration> indoor;
};

/// Compares and fits; pure, and the same whatever the number of threads.
/// Error cancelled when stopped; badInput when nothing was given.
Result<Calibration> calibrate(const Study& study, std::span<const MeasuredPoint> points,
                              const CalibrationOptions& options = {}, const Job& job = {});

/// "Calibrate cells against drive test": the offsets, the note that states it on the pack, and the share of
/// efficient buildings where that was asked for. Refused where nothing is fitted.
/// @param from  what the points came from, for the note: a file's name.
Result<Edit> calibrationEdit(const Plan& plan, const Calibration& calibration, const std::string& from,
                             Date day);

struct ErrorHistograms {
    ErrorHistogram before{}, after{};
};
/// As Calibration::histogramBefore and histogramAfter, of one cell's held-out outdoor points; of a cell that
/// is not fitted both are the same.
ErrorHistograms histogramsOf(const Calibration& calibration, ItemId cell);

/// The steps to one cell's new offset.
Working workingOf(const Plan& plan, const Calibration& calibration, ItemId cell);
/// To its slope over distance; without steps where none was fitted.
Working workingOfSlope(const Plan& plan, const Calibration& calibration, ItemId cell);
enum class ErrorsOn : std::uint8_t { fitted, heldOut };
/// To the RMSE after, by way of mean, sigma and RMSE before: of one cell, or of all fitted ones ({}); without
/// steps where there are no such points.
Working workingOfErrors(const Plan& plan, const Calibration& calibration, ItemId cell, ErrorsOn on);
/// To what points indoors measured over what is predicted; without steps where that was not fitted.
Working workingOfIndoor(const Calibration& calibration);

} // namespace fw
