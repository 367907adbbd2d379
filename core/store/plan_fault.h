// SPDX-License-Identifier: GPL-3.0-or-later
// What can be wrong in a plan file, and who is told. Opening and checking read a plan by the same code: one
// ends with the first fault, the other keeps them all.
#pragma once

#include "base/result.h"

#include <cstdint>
#include <string>
#include <vector>

namespace fw {

/// What a repair does about a fault.
enum class Mend {
    nothing,        ///< nothing needs to be done
    byHand,         ///< only the planner can: put a file back, choose a reference system
    rebuild,        ///< a new file is made from all that can be read
    removeRow,      ///< the row is left out
    clearField,     ///< the reference is emptied
    newNumber,      ///< the row gets a number of its own
    writeSystem,    ///< the geometry is marked with the plan's reference system
    writeSettings,  ///< the default takes the value's place
    writeCounters,  ///< format and highest number are set right
    registerTables, ///< the file's table of contents is written anew
    addTable,       ///< the table is made, empty
    addColumn,      ///< the column is made, with the default in each row
    drop,           ///< the trigger or index is dropped
};

struct PlanFault {
    enum class Severity {
        note,    ///< mended or passed over while opening
        warning, ///< the plan opens, but somebody should look
        fault,   ///< the plan does not open
    };
    Severity severity = Severity::fault;
    std::string table;         ///< empty: the file as a whole
    std::int64_t uid = 0;      ///< number of the item; 0: none, or not known
    std::int64_t row = 0;      ///< number of the row within its table; 0: not about one row
    std::string label;         ///< what people call the item; may be empty
    std::string what;          ///< a clause without full stop; a whole sentence in a note
    Mend mend = Mend::nothing; ///< what repair would do
    std::string field;         ///< column, setting, trigger, index or layer that the mend is about
    std::uint32_t number = 0;  ///< the new number, with Mend::newNumber
    ErrorCode code = ErrorCode::damaged;
};

/// "table mounts, uid 17", "table trees, row 3", "table trees", or empty.
std::string placeOf(const PlanFault& fault);
/// The fault as the error that opening ends with.
Error errorOf(const PlanFault& fault);
/// What repair does about it, as a sentence; empty for Mend::nothing.
std::string mendText(const PlanFault& fault);

/// Is told of each fault as it is found.
class FaultSink {
public:
    FaultSink() = default;
    FaultSink(const FaultSink&) = delete;
    FaultSink& operator=(const FaultSink&) = delete;
    virtual ~FaultSink() = default;
    /// An error ends the reading with it.
    virtual Status take(PlanFault fault) = 0;
    /// True when reading goes on past faults, and looks closer than opening needs.
    [[nodiscard]] virtual bool goesOn() const = 0;
};

/// For opening: the first fault ends it; notes are kept as sentences.
class FirstFault : public FaultSink {
public:
    Status take(PlanFault fault) override;
    [[nodiscard]] bool goesOn() const override { return false; }
    std::vector<std::string> notes;
};

/// For checking: keeps all, up to a number that fits into memory.
class AllFaults : public FaultSink {
public:
    static constexpr std::size_t kMost = 100000;
    Status take(PlanFault fault) override;
    [[nodiscard]] bool goesOn() const override { return true; }
    std::vector<PlanFault> faults;
    std::size_t unlisted = 0; ///< found beyond those
};

} // namespace fw
