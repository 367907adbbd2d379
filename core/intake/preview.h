// SPDX-License-Identifier: GPL-3.0-or-later
// What taking a file in would do, before anything is done: read to the end, counted, and ready as one edit.
#pragma once

#include "calibration/measured_point.h"
#include "geo/frame.h"
#include "intake/counters.h"
#include "intake/mapping.h"
#include "intake/row_reader.h"
#include "plan/edit.h"

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace fw {

struct IntakeRequest {
    IntakeKind kind = IntakeKind::buildings;
    SourceOptions source;
    MapWords map;        ///< what the user says
    MapWords remembered; ///< what they said of such a file before
    int epsg = 0;        ///< of the file; needed where it names none, over what it names otherwise
    bool swapAxes = false;
    double defaultHeightM = 6;     ///< of buildings without height and storeys; 4 m for obstructions
    double storeyM = 3.2;          ///< [own]; between 2.7 m homes and 4 m offices, common practice
    std::optional<char> dateOrder; ///< 'd' or 'm' first, where a column leaves it open
    bool networkHour = false;      ///< counters: one busy hour for all cells
};

/// One way to settle a question.
struct IntakeChoice {
    std::string words;       ///< "feet"
    std::string field, unit; ///< a field's unit, where that is the question
    int epsg = 0;            ///< the file's system, where that is
    bool swapAxes = false;   ///< or that its two coordinates are exchanged
    char dateOrder = '\0';   ///< or which of day and month comes first: 'd', 'm'
    char decimal = '\0';     ///< or the decimal sign of a text file: '.', ','
};
void choose(IntakeRequest& request, const IntakeChoice& choice);

/// Something the user should know, or has to settle before the rows can be used.
struct IntakeRemark {
    enum class Weight : std::uint8_t { note, look, question } weight = Weight::note;
    std::string text;        ///< a sentence
    std::string answer = {}; ///< what to give to `add` ("--map azimuth_deg=:rad")
    std::vector<IntakeChoice> choices = {};
};

struct IntakeCount {
    Kind kind;
    std::size_t added = 0, changed = 0;
};

struct IntakePreview {
    IntakeKind kind = IntakeKind::buildings;
    SourceHead head;
    Mapping mapping;
    std::string crs;         ///< the file's system in words; empty: it has no places
    std::size_t rows = 0;    ///< = good + refused
    std::size_t good = 0;    ///< rows that would be used
    std::size_t refused = 0; ///< duplicates among them
    std::size_t duplicates = 0;
    std::vector<RefusedRow> refusals; ///< in the order of the file; the first kMostListed of them
    std::vector<IntakeRemark> remarks;
    std::vector<IntakeCount> counts;       ///< items of the plan, by kind
    Box extent;                            ///< of the good rows, plane metres; empty: they have no places
    std::vector<MeasuredPoint> measured;   ///< of measurements: the good rows, for calibrate()
    std::vector<CounterCell> counted;      ///< of counters: the cells of the good rows, day by day
    std::vector<std::string> unknownCells; ///< of counters and histograms: names that are no cell of the plan
    Edit edit;                             ///< all of it as one step; no changes where nothing is good
    /// False while a question is open or no row is good.
    [[nodiscard]] bool usable() const;

    static constexpr std::size_t kMostListed = 10000;
};

/// Opens and reads the whole file; the plan is only looked at. Fails where the file cannot be read at all, or
/// the request names fields or columns that do not exist; with ErrorCode::cancelled when stopped. What is
/// wrong with single rows is in the preview.
Result<IntakePreview> previewIntake(const Plan& plan, const std::filesystem::path& file,
                                    const IntakeRequest& request, const Job& job = {});
/// The same of a file that is open already: it is read and not opened again.
Result<IntakePreview> previewIntake(const Plan& plan, Source& source, const IntakeRequest& request,
                                    const Job& job = {});
/// The same with what is remembered of files with just these headers in the place of request.remembered.
Result<IntakePreview> previewIntake(const Plan& plan, const std::filesystem::path& file,
                                    IntakeRequest request, const MappingMemory& memory, const Job& job = {});

/// The refused rows as a CSV file: row number, reason, then the columns of the file, so that it can be mended
/// and taken in again.
std::string refusedAsCsv(const IntakePreview& preview);

/// "row 17, \"HOEHE\": \"12,5x\" is not a number"
std::string sentenceOf(const RefusedRow& refused, const SourceHead& head);

} // namespace fw
