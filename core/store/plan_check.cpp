// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_check.h"

#include "geo/frame.h"
#include "store/meta.h"
#include "store/migrate.h"
#include "store/package_look.h"
#include "store/plan_amend.h"
#include "store/plan_read.h"
#include "store/plan_terrain.h"
#include "store/plan_write.h"
#include "store/settings_rows.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {

namespace {

namespace fs = std::filesystem;

// A plan file looked at: what is wrong with it, and all that is sound in it.
struct Looked {
    CheckReport report;
    Plan plan;
};

Status lookAtTerrain(const Plan& plan, const fs::path& file, FaultSink& sink) {
    const auto terrain = loadTerrain(plan, file);
    if (terrain) return Done{};
    PlanFault fault;
    fault.table = kSettingsTable;
    fault.label = "terrain";
    fault.what = terrain.error().sentence();
    if (fault.what.ends_with('.')) fault.what.pop_back();
    fault.mend = Mend::byHand;
    return sink.take(std::move(fault));
}

Status lookAtSystem(int epsg, FaultSink& sink) {
    if (epsg == 0) return Done{};
    const auto frame = Frame::fromEpsg(epsg);
    if (frame) return Done{};
    PlanFault fault;
    fault.severity = PlanFault::Severity::warning;
    fault.table = kSettingsTable;
    fault.label = "reference system";
    fault.what = "nothing can be computed: " + frame.error().sentence();
    if (fault.what.ends_with('.')) fault.what.pop_back();
    fault.mend = Mend::byHand;
    return sink.take(std::move(fault));
}

// What opening tries, too; whatever hinders it and is no fault above.
Status lookAtWriting(Database& db, AllFaults& sink) {
    const bool known = std::any_of(sink.faults.begin(), sink.faults.end(), [](const PlanFault& f) {
        return f.severity == PlanFault::Severity::fault;
    });
    if (known) return Done{};
    const Status s = mayWriteLayers(db);
    if (s.ok()) return Done{};
    PlanFault fault;
    fault.what = "its layers cannot be written: " + s.error().sentence();
    if (fault.what.ends_with('.')) fault.what.pop_back();
    fault.mend = Mend::rebuild;
    return sink.take(std::move(fault));
}

Result<Looked> look(const fs::path& file) {
    if (Status s = looksLikePlan(file); !s.ok()) return s.error();
    auto db = Database::open(file, Database::Mode::read);
    if (!db) return db.error();
    if (Status s = db->execute("BEGIN"); !s.ok()) return s.error();
    const auto meta = readMeta(*db);
    if (meta && meta->schemaVersion < kPlanSchemaVersion && checkHull(*db).ok()) {
        auto copy = migratedCopy(*db, meta->schemaVersion);
        if (!copy) return copy.error();
        db = std::move(copy);
    }
    AllFaults sink;
    auto open = readPlan(*db, sink);
    if (!open) return open.error();
    if (Status s = lookAtWriting(*db, sink); !s.ok()) return s.error();
    if (Status s = lookAtPackage(*db, open->plan, sink); !s.ok()) return s.error();
    if (Status s = lookAtSystem(open->plan.settings->epsg, sink); !s.ok()) return s.error();
    if (Status s = lookAtTerrain(open->plan, file, sink); !s.ok()) return s.error();
    return Looked{{std::move(sink.faults), sink.unlisted}, std::move(open->plan)};
}

Error inFile(Error e, const fs::path& file) {
    e.context =
        e.context.empty() || e.context == file.string() ? file.string() : file.string() + ", " + e.context;
    return e;
}

// Nothing is left that a repair could mend.
bool isWhole(const CheckReport& report) {
    return std::none_of(report.faults.begin(), report.faults.end(), [](const PlanFault& f) {
        return f.severity == PlanFault::Severity::fault && f.mend != Mend::byHand;
    });
}

bool canBeAmended(const CheckReport& report) {
    return report.unlisted == 0 && std::none_of(report.faults.begin(), report.faults.end(),
                                                [](const PlanFault& f) { return f.mend == Mend::rebuild; });
}

void removeFile(const fs::path& file) {
    std::error_code failed;
    fs::remove(file, failed);
}

Status writeAmended(const fs::path& file, const fs::path& copy, const Looked& looked) {
    auto from = Database::open(file, Database::Mode::read);
    if (!from) return from.error();
    auto to = Database::open(copy, Database::Mode::create);
    if (!to) return to.error();
    if (Status s = from->copyInto(*to); !s.ok()) return s;
    return amend(*to, looked.plan, looked.report.faults);
}

Result<RepairReport> repair(const fs::path& file, const fs::path& copy) {
    auto looked = look(file);
    if (!looked) return inFile(looked.error(), file);
    RepairReport report;
    if (canBeAmended(looked->report) && writeAmended(file, copy, *looked).ok()) {
        auto again = look(copy);
        if (again && isWhole(again->report)) {
            report.before = std::move(looked->report);
            report.after = std::move(again->report);
            return report;
        }
    }
    removeFile(copy);
    report.rebuilt = true;
    if (Status s = savePlan(looked->plan, copy); !s.ok()) return s.error();
    auto again = look(copy);
    if (!again || !isWhole(again->report)) {
        removeFile(copy);
        return Error{ErrorCode::internal,
                     "The copy still had faults and was removed. Please report it with the plan.",
                     file.string()};
    }
    report.before = std::move(looked->report);
    report.after = std::move(again->report);
    return report;
}

} // namespace

bool CheckReport::sound() const { return count(PlanFault::Severity::fault) == 0 && unlisted == 0; }

std::size_t CheckReport::count(PlanFault::Severity severity) const {
    return static_cast<std::size_t>(std::count_if(
        faults.begin(), faults.end(), [&](const PlanFault& f) { return f.severity == severity; }));
}

Result<CheckReport> checkPlanFile(const fs::path& file) try {
    auto looked = look(file);
    if (!looked) return inFile(looked.error(), file);
    return std::move(looked->report);
} catch (const std::exception& e) {
    return Error{ErrorCode::cannotRead, fmt::format("The plan cannot be checked: {}.", e.what()),
                 file.string()};
}

Result<RepairReport> repairPlanFile(const fs::path& file, const fs::path& copy) try {
    std::error_code failed;
    if (fs::exists(fs::symlink_status(copy, failed)))
        return Error{ErrorCode::cannotWrite,
                     "Something of that name is already there. Name another file for the copy.",
                     copy.string()};
    return repair(file, copy);
} catch (const std::exception& e) {
    return Error{ErrorCode::cannotWrite, fmt::format("The plan cannot be repaired: {}.", e.what()),
                 file.string()};
}

} // namespace fw
