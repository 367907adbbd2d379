// SPDX-License-Identifier: GPL-3.0-or-later
// Files into the plan, each as one step of the history: rows at once, or on a worker where they are many; a
// raster is written beside the plan's file first.
#include "dialogs/intake_files.h"

#include "base/text.h"
#include "store/plan_terrain.h"
#include "text/figures.h"

#include <QFileInfo>

namespace fw {

namespace fs = std::filesystem;

namespace {

// A hundredth of a second, about; beyond, the window's thread is not kept waiting.
constexpr std::size_t kManyItems = 20'000;

std::size_t itemsOf(const IntakePreview& preview) {
    std::size_t n = 0;
    for (const IntakeCount& c : preview.counts) n += c.added + c.changed;
    return n;
}

} // namespace

Status IntakeFiles::takeIn(int file) {
    if (!ready(file)) return Error{ErrorCode::badInput, CORE_TEXT("There is nothing to take in yet.")};
    if (taking()) return Error{ErrorCode::badInput, CORE_TEXT("Another file is being taken in.")};
    const IntakeFile& f = m_files[static_cast<std::size_t>(file)];
    if (f.raster) return takeGround(file);
    if (itemsOf(*f.preview) < kManyItems) return takeRows(file);
    takeManyRows(file);
    return Done{};
}

void IntakeFiles::beginTaking(int file) {
    IntakeFile& f = m_files[static_cast<std::size_t>(file)];
    f.taking = true;
    f.trouble.clear();
    m_taking = f.path;
    m_job = tr("Taking in %1").arg(QFileInfo(f.path).fileName());
}

// A drag that is under way keeps the plan it began with.
void IntakeFiles::whenStill(const std::function<void()>& then) {
    if (!m_space.drag.active())
        then();
    else
        connect(&m_space.drag, &LiveDrag::ended, this, then,
                static_cast<Qt::ConnectionType>(Qt::QueuedConnection | Qt::SingleShotConnection));
}

void IntakeFiles::takenIn(int file) {
    m_files[static_cast<std::size_t>(file)].takenAt = m_space.document.history().index();
    emit changed(file);
    emit taken(file);
}

void IntakeFiles::notTaken(int file, const Error& why) {
    IntakeFile& f = m_files[static_cast<std::size_t>(file)];
    f.taken = false;
    f.trouble = coreText(why.sentence());
    emit changed(file);
}

// What is remembered is a help for next time and never in the way.
void IntakeFiles::rememberMapping(const IntakePreview& preview) {
    static_cast<void>(
        MappingMemory(mappingMemoryFile()).remember(infoOf(preview.kind), preview.head, preview.mapping));
}

Status IntakeFiles::takeRows(int file) {
    IntakeFile& f = m_files[static_cast<std::size_t>(file)];
    const auto preview = f.preview; // planChanged() comes while the edit is made
    f.taken = true;
    f.takenAt = 0;
    if (Status s = m_space.document.perform(preview->edit); !s.ok()) {
        f.taken = false;
        return s;
    }
    rememberMapping(*preview);
    takenIn(file);
    return Done{};
}

void IntakeFiles::takeManyRows(int file) {
    beginTaking(file);
    const IntakeFile& f = m_files[static_cast<std::size_t>(file)];
    auto made = std::make_shared<std::optional<Result<AppliedEdit>>>();
    m_space.jobs.start(
        kTakingJob, m_job,
        [made, plan = m_space.document.plan(), preview = f.preview](const Job& job) {
            job.report(0.1, CORE_TEXT("putting the rows into the plan"));
            *made = AppliedEdit::make(plan, preview->edit);
        },
        [this, made, path = f.path, preview = f.preview](Outcome outcome) {
            whenStill([=, this] { manyRowsApplied(outcome, path, *preview, made); });
        });
    emit changed(file);
}

void IntakeFiles::manyRowsApplied(Outcome outcome, const QString& path, const IntakePreview& preview,
                                  const std::shared_ptr<std::optional<Result<AppliedEdit>>>& made) {
    m_taking.clear();
    const int at = placeOf(path);
    if (at < 0) return;
    m_files[static_cast<std::size_t>(at)].taking = false;
    if (outcome != Outcome::done || !*made)
        return notTaken(at, {ErrorCode::cancelled, CORE_TEXT("Taking in was stopped; nothing changed.")});
    if (!(**made).ok()) return notTaken(at, (**made).error());
    m_files[static_cast<std::size_t>(at)].taken = true; // planChanged() comes while the edit is made
    m_files[static_cast<std::size_t>(at)].takenAt = 0;
    const Status done = m_space.document.perform(std::move(**made).value());
    if (!done.ok()) return notTaken(at, done.error());
    rememberMapping(preview);
    takenIn(at);
}

/// What the worker leaves.
struct IntakeFiles::Written {
    QString path;      ///< of the raster handed in
    fs::path planFile; ///< beside which it went
    fs::path out;      ///< the file written; empty: none
    GroundFiles files;
    PlanSettings settings; ///< with the raster
    RasterUse use = RasterUse::height;
    std::shared_ptr<const Terrain> terrain;
    std::optional<Error> fault;

    void run(const Plan& plan, const RasterPreview& preview, const Job& job) {
        const fs::path name = freeRasterName(planFile, preview.use);
        Job writing = job; // reading it again is the last tenth
        writing.progress = [&job](double share, std::string_view what) { job.report(share * 0.9, what); };
        if (const Status s = writeRasterFor(plan, preview, name, writing); !s.ok()) {
            fault = s.error();
            return;
        }
        out = name;
        if (job.stopped()) return;
        job.report(0.92, CORE_TEXT("reading it back"));
        const auto edit = useRaster(plan, planFile, preview.use, out, preview.classWeights);
        if (!edit) {
            fault = edit.error();
            return;
        }
        Plan after = plan;
        if (const auto applied = apply(after, *edit); !applied) {
            fault = applied.error();
            return;
        }
        use = preview.use;
        settings = *after.settings;
        files = settings.groundFiles();
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
                     CORE_TEXT("Save the plan first: the raster comes into a file beside it.")};
    auto written = std::make_shared<Written>();
    written->path = f.path;
    written->planFile = document.path();
    beginTaking(file);
    m_space.jobs.start(
        kTakingJob, m_job,
        [written, plan = document.plan(), preview = f.ground](const Job& job) {
            written->run(plan, *preview, job);
        },
        [this, written](Outcome outcome) { whenStill([=, this] { groundWritten(outcome, *written); }); });
    emit changed(file);
    return Done{};
}

void IntakeFiles::groundWritten(Outcome outcome, const Written& written) {
    m_taking.clear();
    Status done =
        outcome == Outcome::cancelled
            ? Status(Error{ErrorCode::cancelled, CORE_TEXT("Taking in was stopped; nothing changed.")})
        : outcome == Outcome::failed || (!written.fault && !written.terrain)
            ? Status(Error{ErrorCode::internal, CORE_TEXT("The raster could not be written.")})
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
    if (done.ok())
        takenIn(at);
    else
        notTaken(at, done.error());
}

// Whatever else was edited meanwhile stays as it is.
Status IntakeFiles::useGround(const Written& written) {
    PlanDocument& document = m_space.document;
    if (!document.isOpen() || document.path() != written.planFile)
        return Error{ErrorCode::badInput,
                     CORE_TEXT("The plan went to another file meanwhile; take the raster in once more.")};
    PlanSettings settings = *document.plan().settings;
    const PlanSettings& with = written.settings;
    if (written.use == RasterUse::height) {
        settings.terrain.file = with.terrain.file;
        settings.terrain.digest = with.terrain.digest;
    } else if (written.use == RasterUse::demand) {
        settings.demandRaster = with.demandRaster;
    } else {
        settings.landCover = with.landCover;
        settings.landCoverWeights = with.landCoverWeights;
    }
    if (settings.groundFiles() == written.files) document.takeTerrain(written.files, written.terrain);
    const std::string name = QFileInfo(written.path).fileName().toStdString();
    const std::string what = written.use == RasterUse::height ? "ground heights" : wordFor(written.use);
    return document.perform({"Take in " + what + " from " + name, {PutSettings{std::move(settings)}}});
}

} // namespace fw
