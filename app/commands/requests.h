// SPDX-License-Identifier: GPL-3.0-or-later
// What the command line asks for, one value a command.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace fw::cli {

/// Which plan is computed, and how. Shared by the commands that compute.
struct PlanChoice {
    std::string plan;     ///< file
    std::string variant;  ///< name; empty: the plan's active one
    std::string profile;  ///< TOML file of limits; empty: the plan's own
    unsigned threads = 0; ///< 0: one per core
};

struct InfoRequest {
    std::string plan;
    bool json = false;
};
struct CheckRequest {
    std::string plan;
    std::string repair; ///< file to write a repaired copy to; empty: only look
    bool json = false;
};
struct AuditRequest {
    std::string plan;
    std::string apply;                  ///< numbers as printed, parted by commas, or "all"; empty: only look
    std::string measurements, counters; ///< files of evidence; empty: none
    std::vector<std::string> map;       ///< of the measurements: field=column[:unit]
    int crs = 0;                        ///< EPSG code of the measurements
    bool json = false;
};
struct NewRequest {
    std::string plan; ///< file to write
    int epsg = 0;
    std::string name; ///< empty: the file's
    std::string date; ///< YYYY-MM-DD; empty: today
    std::string at;   ///< "latitude, longitude" of the middle; empty: from what is taken in first
    double sideKm = 4;
};
struct AddRequest {
    std::string plan, kind, file;
    std::vector<std::string> map; ///< field=column[:unit]
    int crs = 0;                  ///< EPSG code of the file
    std::string layer, encoding, delimiter, decimal, dates, refusedTo;
    std::optional<double> defaultHeightM, cellM;
    std::vector<std::string> weights; ///< class=weight, of a land cover
    int headerLine = 0;
    bool swap = false, feet = false, networkHour = false, forget = false, dryRun = false, json = false;
    bool leave = false; ///< a raster: the plan does without it from now on; no `file` then
};
struct CalibrateRequest {
    std::string plan, file;
    std::vector<std::string> map; ///< field=column[:unit]
    int crs = 0;                  ///< EPSG code of the file
    std::string layer, residualsTo;
    unsigned threads = 0; ///< 0: one per core
    bool swap = false, slope = false, indoor = false, apply = false, working = false, json = false;
};
struct AfterRequest {
    std::string plan, file, before;
    std::string onAir;            ///< YYYY-MM-DD; empty: as the files tell
    std::vector<std::string> map; ///< field=column[:unit]
    std::string layer, dates;
    unsigned threads = 0; ///< 0: one per core
    bool apply = false, json = false, working = false;
};
struct TemplateRequest {
    std::string kind; ///< empty: the list of kinds
    bool json = false;
};
struct ReviewRequest {
    PlanChoice choice;
    std::string only; ///< mount, radio or small cell; empty: all
    bool remedies = true;
    bool working = false;
    bool json = false;
};
struct FitRequest {
    PlanChoice choice;
    std::string only;
    bool working = false;
    bool json = false;
};
struct LedgerRequest {
    PlanChoice choice;
    bool live = true, settled = true;
    bool all = false; ///< in words: cells too that neither gain nor lose
    bool uplink = false;
    bool working = false;
    bool json = false;
};
struct ChanceRequest {
    PlanChoice choice;
    int draws = 500;
    std::uint64_t seed = 1;
    bool live = false; ///< round the live ledger instead of the settled one
    bool all = false;  ///< in words: cells too that are not congested
    bool working = false;
    bool json = false;
};
struct VariantsRequest {
    PlanChoice choice;
    int draws = 500; ///< 0: without chances
    std::uint64_t seed = 1;
    std::string costs; ///< TOML file; empty: the installed table
    bool json = false, working = false;
};
struct AimRequest {
    PlanChoice choice;
    std::string cell; ///< small cell, radio or mount
    double stepDeg = 1;
    std::vector<double> tiltsDeg; ///< empty: those of the bracket
    bool rose = false;            ///< in words: every azimuth
    int apply = 0;                ///< lobe to aim along; 0: none
    bool working = false;
    bool json = false;
};
struct ProposeRequest {
    PlanChoice choice;
    std::string only;
    int finding = 0;    ///< 0: all
    bool notes = false; ///< for notes too
    int apply = 0;      ///< proposal to take; 0: none
    bool working = false;
    bool json = false;
};
struct ChooseRequest {
    PlanChoice choice;
    std::vector<std::string> cells, must, mustNot; ///< by name; no cells: the congested ones
    std::optional<std::int64_t> budgetCount, budgetMoney;
    bool reach = false, byCount = false; ///< byCount: with reach, fewest radios instead of least money
    bool anew = false, consentGiven = false;
    double spacingM = 40;
    int perMount = 1, perStreet = 0;
    double chance = 0; ///< percent; 0: not asked
    int draws = 300;
    std::uint64_t seed = 1;
    int iterations = 240;
    std::string costs; ///< TOML file; empty: the installed table
    std::string as;    ///< name of a new variant
    bool apply = false, working = false, json = false;
};
struct IdentifyRequest {
    PlanChoice choice;
    /// As a user writes ranges; absent: as the plan has it.
    std::optional<std::string> pciLte, pciNr, rootsLte, rootsNr, enb, gnb, cells;
    std::optional<int> gnbBits;
    /// Absent: as the plan's profile has it; leastShare in percent.
    std::optional<double> marginDb, leastShare, rootReuseM;
    std::optional<int> mostNeighbours;
    std::string preambles; ///< "630000=A2,640000=0"; empty: as usual
    std::string sheet;     ///< .csv or .xlsx file to write; empty: none
    bool anew = false;     ///< what cells have already is not kept
    bool apply = false, working = false, json = false;
};
struct AlternatesRequest {
    PlanChoice choice;
    std::string cell; ///< small cell, radio or mount
    int count = 3;
    double radiusM = 150;
    int apply = 0; ///< alternate to take, the owner's refusal noted; 0: none
    bool working = false;
    bool json = false;
};
struct PackRequest {
    PlanChoice choice;
    std::string folder;
    std::vector<std::string> sites; ///< names of mounts; empty: all chosen
    std::string paper = "A4";       ///< A4, A3 or Letter
    bool working = false;           ///< pages of workings after the sheets
};
struct EvidenceRequest {
    PlanChoice choice;
    std::string file;
    std::string paper = "A4"; ///< A4, A3 or Letter
    int draws = 500;
    std::uint64_t seed = 1;
};
struct CalcRequest {
    bool list = false;
    std::string model;
    std::map<std::string, std::string> inputs;
    bool json = false;
};
/// No command: the window, with a plan or without.
struct WindowRequest {
    std::string plan;
};
/// Help or version: printed as it is, and that is all.
struct Answer {
    std::string text;
};
/// The command line cannot be followed; a sentence that says why and where help is.
struct Misuse {
    std::string text;
};

using Request =
    std::variant<InfoRequest, CheckRequest, AuditRequest, NewRequest, AddRequest, CalibrateRequest,
                 AfterRequest, TemplateRequest, ReviewRequest, FitRequest, LedgerRequest, ChanceRequest,
                 VariantsRequest, AimRequest, ProposeRequest, AlternatesRequest, ChooseRequest,
                 IdentifyRequest, PackRequest, EvidenceRequest, CalcRequest, WindowRequest, Answer, Misuse>;

} // namespace fw::cli
