// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_fault.h"

#include <fmt/format.h>

namespace fw {

std::string placeOf(const PlanFault& fault) {
    if (fault.table.empty()) return {};
    if (fault.uid != 0) return fmt::format("table {}, uid {}", fault.table, fault.uid);
    if (fault.row != 0) return fmt::format("table {}, row {}", fault.table, fault.row);
    return fmt::format("table {}", fault.table);
}

Error errorOf(const PlanFault& fault) {
    const std::string where = fault.label.empty() ? placeOf(fault) : fault.label;
    if (fault.code != ErrorCode::damaged) return {fault.code, fault.what + ".", where};
    return {fault.code, fmt::format("The plan is damaged: {}.", fault.what), where};
}

std::string mendText(const PlanFault& fault) {
    switch (fault.mend) {
    case Mend::nothing:
        return {};
    case Mend::byHand:
        return "Only you can mend this.";
    case Mend::rebuild:
        return "Makes a new file of all that can be read; what other programs added is not brought along.";
    case Mend::removeRow:
        return "Leaves the row out.";
    case Mend::clearField:
        return fmt::format("Empties {}.", fault.field);
    case Mend::newNumber:
        return fmt::format("Gives the row the number {}.", fault.number);
    case Mend::writeSystem:
        return "Writes the plan's reference system into the geometry, and leaves the coordinates alone.";
    case Mend::writeSettings:
        return fmt::format("Puts the default in place of {}.", fault.field);
    case Mend::writeCounters:
        return "Sets it right.";
    case Mend::registerTables:
        return "Enters it.";
    case Mend::addTable:
        return "Makes the table, empty.";
    case Mend::addColumn:
        return fmt::format("Makes the column {}, with the default in each row.", fault.field);
    case Mend::drop:
        return fmt::format("Drops {}.", fault.field);
    }
    return {};
}

Status FirstFault::take(PlanFault fault) {
    if (fault.severity == PlanFault::Severity::fault) return errorOf(fault);
    if (fault.severity == PlanFault::Severity::note) notes.push_back(std::move(fault.what));
    return Done{};
}

Status AllFaults::take(PlanFault fault) {
    if (faults.size() < kMost)
        faults.push_back(std::move(fault));
    else
        ++unlisted;
    return Done{};
}

} // namespace fw
