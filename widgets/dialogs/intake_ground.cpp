// SPDX-License-Identifier: GPL-3.0-or-later
// Rasters on their way in: written beside the plan's file on a worker, then one step of the history.
#include "dialogs/intake_files.h"

#include "base/text.h"
#include "store/plan_terrain.h"
#include "text/figures.h"

#include <QFileInfo>

namespace fw {

namespace fs = std::filesystem;

/// What the worker leaves.
struct IntakeFiles::Written {
    QString path;      ///< of the raster handed in
    fs::path planFile; ///< beside which it went
    fs::path out;      ///< the file written; empty: none
    TerrainRef ref;
    std::shared_ptr<const Terrain> terrain;
    std::optional<Error> fault;

    void run(const Plan& plan, const TerrainPreview& preview, const Job& job) {
        const fs::path name = freeTerrainName(planFile);
        Job writing = job; // reading it again is the last tenth
        writing.progress = [&job](double share, std::string_view what) { job.report(share * 0.9, what); };
        if (const Status s = writeTerrainFor(plan, preview, name, writing); !s.ok()) {
            fault = s.error();
            return;
        }
        out = name;
        if (job.stopped()) return;
        job.report(0.92, CORE_TEXT("reading it back"));
        const auto edit = useTerrain(plan, planFile, out);
        if (!edit) {
            fault = edit.error();
            return;
        }
        Plan after = plan;
        if (const auto applied = apply(after, *edit); !applied) {
            fault = applied.error();
            return;
        }
        ref = after.settings->terrain;
        if (job.stopped()) return;
        auto read = loadTerrain(after, planFile);
        if (read)
            terrain = *read;
        else
            fault = read.error();
    }
};

Status IntakeFiles::takeGround(int file) {
    IntakeFile& f = m_files[static_cast<std::size_t>(file)];
    const PlanDocument& document = m_space.document;
    if (document.readOnly())
        return Error{ErrorCode::badInput,
                     CORE_TEXT("This plan is open for reading only. Save it under another "
                               "name to change it.")};
    if (document.path().empty())
        return Error{ErrorCode::badInput,
                     CORE_TEXT("Save the plan first: the ground comes into a file beside it.")};
    if (taking()) return Error{ErrorCode::badInput, CORE_TEXT("Another raster is being taken in.")};
    auto written = std::make_shared<Written>();
    written->path = f.path;
    written->planFile = document.path();
    f.taking = true;
    f.trouble.clear();
    m_taking = f.path;
    m_job = tr("Taking in %1").arg(QFileInfo(f.path).fileName());
    m_space.jobs.start(
        kGroundJob, m_job,
        [written, plan = document.plan(), preview = f.ground](const Job& job) {
            written->run(plan, *preview, job);
        },
        [this, written](Outcome outcome) { groundWritten(outcome, *written); });
    emit changed(file);
    return Done{};
}

void IntakeFiles::groundWritten(Outcome outcome, const Written& written) {
    m_taking.clear();
    Status done =
        outcome == Outcome::cancelled
            ? Status(Error{ErrorCode::cancelled, CORE_TEXT("Taking in was stopped; nothing changed.")})
        : outcome == Outcome::failed || (!written.fault && !written.terrain)
            ? Status(Error{ErrorCode::internal, CORE_TEXT("The ground could not be written.")})
        : written.fault ? Status(*written.fault)
                        : Status(Done{});
    const int at = placeOf(written.path);
    if (at >= 0) m_files[static_cast<std::size_t>(at)].taking = false;
    if (done.ok() && at >= 0) {
        m_files[static_cast<std::size_t>(at)].taken = true; // planChanged() comes while the edit is made
        m_files[static_cast<std::size_t>(at)].takenAt = 0;
    }
    if (done.ok()) done = useGround(written);
    if (!done.ok() && !written.out.empty()) {
        std::error_code fault;
        fs::remove(written.out, fault); // nobody names it
    }
    if (at < 0) return;
    IntakeFile& f = m_files[static_cast<std::size_t>(at)];
    if (done.ok()) {
        f.takenAt = m_space.document.history().index();
        emit changed(at);
        emit taken(at);
    } else {
        f.taken = false;
        f.trouble = coreText(done.error().sentence());
        emit changed(at);
    }
}

// Whatever else was edited meanwhile stays as it is.
Status IntakeFiles::useGround(const Written& written) {
    PlanDocument& document = m_space.document;
    if (!document.isOpen() || document.path() != written.planFile)
        return Error{ErrorCode::badInput,
                     CORE_TEXT("The plan went to another file meanwhile; take the ground in once more.")};
    document.takeTerrain(written.ref, written.terrain);
    PlanSettings settings = *document.plan().settings;
    settings.terrain.file = written.ref.file;
    settings.terrain.digest = written.ref.digest;
    const std::string name = QFileInfo(written.path).fileName().toStdString();
    return document.perform({"Take in ground heights from " + name, {PutSettings{std::move(settings)}}});
}

} // namespace fw
