// SPDX-License-Identifier: GPL-3.0-or-later
// What keeps the open plan safe: its file, the right to write it, and the journal that outlives a crash.
#pragma once

#include "plan/edit.h"
#include "store/crash_journal.h"
#include "store/plan_file.h"
#include "store/session_lock.h"

#include <QObject>

#include <filesystem>
#include <functional>
#include <memory>
#include <stop_token>
#include <vector>

namespace fw {

/// A plan's file as one session holds it. Without `file` the plan has none of its own yet.
struct HeldFile {
    std::shared_ptr<PlanFile> file;
    std::shared_ptr<SessionLock> lock; ///< none: the plan can only be read
};

class PlanKeeping : public QObject {
    Q_OBJECT
public:
    explicit PlanKeeping(QObject* parent = nullptr);
    ~PlanKeeping() override; ///< as letGo(): only what ends without it leaves a journal

    /// Looks after another plan from here on. `origin` is the file whose folder holds its terrain.
    void take(HeldFile held, std::filesystem::path origin);
    /// The plan is given up, or all of it is saved: journal and lock go.
    void letGo();

    /// Where save() writes; empty: nowhere yet.
    [[nodiscard]] std::filesystem::path path() const;
    [[nodiscard]] const HeldFile& held() const { return m_held; }
    /// The file whose folder holds the terrain.
    [[nodiscard]] const std::filesystem::path& origin() const { return m_origin; }

    /// Notes what was applied to the plan that was `before`; never waits. The first edit begins the journal,
    /// and has the file as it was opened copied, on another thread.
    void edited(const Plan& before, const Edit& made);
    /// As if the edits that brought back lost work were made now, and waits until they are on disk. `plan` is
    /// what they made of what is in the file; without a file of its own all of it counts as unsaved.
    Status recovered(const Plan& plan, const std::vector<Edit>& edits);

    /// Does a piece of work that may take long, on any thread, and returns with its answer; the token stops
    /// it. The plan may be given up before it returns.
    using Writing = std::function<Status(const std::stop_token&)>;
    using Writer = std::function<Status(const Writing&)>;
    /// Who writes files from here on; until then they are written where save() is called.
    void setWriter(Writer writer) { m_writer = std::move(writer); }

    [[nodiscard]] bool writing() const { return m_writing; }

    /// Refused by a sentence while another save is at work.
    Status save(const Plan& plan);
    /// @param terrains  that undo and redo may name again: they go along into another folder where they can.
    Status saveAs(const Plan& plan, const std::filesystem::path& file,
                  const std::vector<GroundFiles>& grounds = {});

signals:
    /// The journal, or the file as opened, cannot be written, or can be again: a sentence.
    void warned(const QString& sentence);

private:
    bool beginJournal(const Plan& before, bool unsaved);
    void endJournal();
    Status write(const Writing& what);

    HeldFile m_held;
    std::filesystem::path m_origin;
    std::unique_ptr<CrashJournal> m_journal;
    Writer m_writer;
    bool m_writing = false;
    int m_taken = 0;             ///< how many plans were taken so far
    bool m_tried = false;        ///< the journal of this plan was begun, or could not be
    bool m_toldOfBackup = false; ///< that the file as opened could not be kept
};

} // namespace fw
