// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/plan_keeping.h"

#include "base/text.h"
#include "plan/snapshot.h"
#include "store/plan_terrain.h"

#include <QCoreApplication>
#include <QPointer>
#include <QThreadPool>

#include <fmt/format.h>

#include <cerrno>
#include <cstring>
#include <fstream>
#include <system_error>
#include <utility>

namespace fw {

namespace fs = std::filesystem;

namespace {

Error copyStopped(const fs::path& target) {
    return {ErrorCode::cancelled, CORE_TEXT("The save was stopped; nothing was written."), target.string()};
}

// A raster may be large: by pieces, beside its place until it is whole.
Status copyFile(const fs::path& source, const fs::path& target, const std::stop_token& stop) {
    const auto cannot = [&](const char* why) {
        return Error{ErrorCode::cannotWrite,
                     fmt::format("A raster of the plan cannot be copied here: {}.", why), target.string()};
    };
    const fs::path part = fs::path(target) += ".part";
    std::error_code fault;
    Status done = Done{};
    {
        std::ifstream in(source, std::ios::binary);
        std::ofstream out(part, std::ios::binary | std::ios::trunc);
        if (!in || !out) done = cannot(std::strerror(errno));
        std::vector<char> piece(std::size_t{1} << 20);
        while (done.ok() && in) {
            in.read(piece.data(), static_cast<std::streamsize>(piece.size()));
            out.write(piece.data(), in.gcount());
            if (in.bad() || !out) done = cannot(std::strerror(errno));
            if (stop.stop_requested()) done = copyStopped(target);
        }
        out.close();
        if (done.ok() && !out) done = cannot(std::strerror(errno));
    }
    if (done.ok()) {
        fs::rename(part, target, fault);
        if (fault) done = cannot(fault.message().c_str());
    }
    if (!done.ok()) fs::remove(part, fault);
    return done;
}

// The plan names its rasters by a path beside it: in another folder the files have to go along.
Status takeAlong(const RasterRef& ref, const fs::path& from, const fs::path& to,
                 const std::stop_token& stop) {
    if (ref.file.empty() || from.empty()) return Done{};
    const fs::path source = from.parent_path() / ref.file, target = to.parent_path() / ref.file;
    std::error_code fault;
    if (fs::equivalent(source, target, fault)) return Done{};
    if (fs::exists(target, fault)) {
        const auto digest = digestOfFile(target);
        if (digest && *digest == ref.digest) return Done{};
        return Error{ErrorCode::cannotWrite,
                     CORE_TEXT("Another raster with this name is there already. Save the plan to another "
                               "folder."),
                     target.string()};
    }
    fs::create_directories(target.parent_path(), fault);
    return copyFile(source, target, stop);
}

Status takeAlong(const GroundFiles& ground, const fs::path& from, const fs::path& to,
                 const std::stop_token& stop) {
    for (const RasterRef& ref :
         {RasterRef{ground.terrain.file, ground.terrain.digest}, ground.demandRaster, ground.landCover})
        if (Status s = takeAlong(ref, from, to, stop); !s.ok()) return s;
    return Done{};
}

bool sameFile(const fs::path& a, const fs::path& b) {
    std::error_code fault;
    return fs::equivalent(a, b, fault);
}

bool nothingToSave(const PlanFile& file, const Plan& plan) {
    return diff(file.saved(), plan).empty() && file.saved().lastId == plan.lastId;
}

// Neither file nor journal may be looked at while another thread is at them.
Error savingAlready() {
    return {ErrorCode::cannotWrite, CORE_TEXT("The plan is being saved already. Wait for that."), ""};
}

// The right to write where a plan is to go; a sentence when another session has it.
Result<std::shared_ptr<SessionLock>> lockFor(const fs::path& file) {
    auto taken = SessionLock::take(file);
    if (!taken) return taken.error();
    if (const auto* held = std::get_if<LockHolder>(&*taken))
        return Error{ErrorCode::cannotWrite, held->sentence(), file.string()};
    if (const auto* cannot = std::get_if<CannotLock>(&*taken))
        return Error{ErrorCode::cannotWrite, cannot->sentence, file.string()};
    return std::make_shared<SessionLock>(std::move(std::get<SessionLock>(*taken)));
}

} // namespace

PlanKeeping::PlanKeeping(QObject* parent) : QObject(parent) {}
PlanKeeping::~PlanKeeping() { letGo(); }

void PlanKeeping::take(HeldFile held, fs::path origin) {
    endJournal();
    ++m_taken;
    m_toldOfBackup = false;
    m_held = std::move(held);
    m_origin = std::move(origin);
}

void PlanKeeping::letGo() { take({}, {}); }

fs::path PlanKeeping::path() const { return m_held.file ? m_held.file->path() : fs::path(); }

bool PlanKeeping::beginJournal(const Plan& before, bool unsaved) {
    m_tried = true;
    JournalBase base;
    base.planFile = path();
    base.saveCount = m_held.file ? m_held.file->saveCount() : 0;
    base.origin = m_origin;
    base.unsaved = unsaved;
    base.version = QCoreApplication::applicationVersion().toStdString();
    // Told on the journal's thread, said on ours.
    const auto onState = [me = QPointer<PlanKeeping>(this)](const Status& state) {
        const QString why = state.ok() ? tr("Edits are kept safe against a crash again.")
                                       : tr("Edits are not kept safe against a crash just now. Save soon. %1")
                                             .arg(QString::fromStdString(state.error().sentence()));
        QMetaObject::invokeMethod(
            qApp,
            [me, why] {
                if (me) emit me->warned(why);
            },
            Qt::QueuedConnection);
    };
    auto begun = CrashJournal::begin(stateFolder(), before, std::move(base), onState);
    if (!begun) {
        emit warned(tr("Edits cannot be kept safe against a crash. Save often. %1")
                        .arg(QString::fromStdString(begun.error().sentence())));
        return false;
    }
    m_journal = std::move(*begun);
    return true;
}

void PlanKeeping::endJournal() {
    if (m_journal) static_cast<void>(m_journal->end()); // what cannot be deleted is found and shown next time
    m_journal.reset();
    m_tried = false;
}

void PlanKeeping::edited(const Plan& before, const Edit& made) {
    if (!m_tried) {
        beginJournal(before, false);
        // A save waits for it, and does it itself if it failed here.
        if (m_held.file && m_held.lock)
            QThreadPool::globalInstance()->start(
                [file = m_held.file] { static_cast<void>(file->backUpOnce()); });
    }
    if (m_journal) m_journal->append(made);
}

Status PlanKeeping::recovered(const Plan& plan, const std::vector<Edit>& edits) {
    endJournal();
    if (!beginJournal(plan, !m_held.file))
        return Error{ErrorCode::cannotWrite, CORE_TEXT("The journal of edits cannot be written.")};
    if (m_held.file)
        for (const Edit& edit : edits) m_journal->append(edit);
    return m_journal->flush();
}

Status PlanKeeping::write(const Writing& what) {
    m_writing = true;
    Status done = m_writer ? m_writer(what) : what({});
    m_writing = false;
    return done;
}

Status PlanKeeping::save(const Plan& plan) {
    if (m_writing) return savingAlready();
    if (!m_held.file)
        return Error{ErrorCode::badInput, CORE_TEXT("This plan has no file yet. Save it under a name.")};
    const std::shared_ptr<PlanFile> file = m_held.file;
    if (nothingToSave(*file, plan)) return Done{};
    const std::int64_t next = file->saveCount() + 1;
    if (m_journal) {
        m_journal->saving(next);
        static_cast<void>(m_journal->flush()); // a journal that cannot be written keeps nobody from saving
    }
    // Usually long kept. Where it cannot be, that is said once and keeps nobody from saving either.
    Status kept = Done{};
    Status done = write([&](const std::stop_token& stop) {
        kept = file->backUpOnce();
        return file->save(plan, stop);
    });
    if (!kept.ok() && !std::exchange(m_toldOfBackup, true))
        emit warned(
            tr("The file as it was opened could not be kept beside the plan; it is saved all the same. %1")
                .arg(QString::fromStdString(kept.error().sentence())));
    if (done.ok() && m_journal && m_held.file == file) m_journal->saved(file->saveCount());
    return done;
}

Status PlanKeeping::saveAs(const Plan& plan, const fs::path& file, const std::vector<GroundFiles>& grounds) {
    if (m_writing) return savingAlready();
    if (m_held.file && m_held.lock && sameFile(path(), file)) return save(plan);
    auto lock = lockFor(file);
    if (!lock) return lock.error();
    std::shared_ptr<PlanFile> made;
    const int of = m_taken;
    Status done = write([&, origin = m_origin](const std::stop_token& stop) -> Status {
        if (auto along = takeAlong(plan.settings->groundFiles(), origin, file, stop); !along) return along;
        // The plan does without these; who undoes that far is told what is missing.
        for (const GroundFiles& ground : grounds) static_cast<void>(takeAlong(ground, origin, file, stop));
        auto created = PlanFile::create(plan, file, stop);
        if (!created) return created.error();
        made = std::move(*created);
        return Done{};
    });
    if (done.ok() && of == m_taken) take({std::move(made), std::move(*lock)}, file);
    return done;
}

} // namespace fw
