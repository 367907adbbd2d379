// SPDX-License-Identifier: GPL-3.0-or-later
// What was done to a plan since it was last saved, on disk within moments, so that a crash takes nothing
// along. Reading it back is the matter of store/recovery.h.
#pragma once

#include "plan/edit.h"

#include <filesystem>
#include <functional>
#include <memory>
#include <string>

namespace fw {

/// Where journals lie: fringewright/journals in $XDG_STATE_HOME, or in ~/.local/state where that is not set
/// (XDG Base Directory Specification 0.8). Not made here.
std::filesystem::path stateFolder();

/// What the edits of a journal follow on.
struct JournalBase {
    std::filesystem::path planFile; ///< empty: the plan has no file of its own (new, or opened as a copy)
    std::int64_t saveCount = 0;     ///< of that file, as it was opened
    std::filesystem::path origin;   ///< where the terrain of a plan without a file is found
    bool unsaved = false;           ///< a plan without a file that is already work (recovered, or imported)
    std::string version;            ///< of the program
};

/// The journal of one open plan. All work is done on a thread of its own; calls come from any one thread at a
/// time, but flush() and state() from any. Nothing but flush() and end() ever waits for the disk.
///
/// A save: saving(n + 1), flush(), the save itself, saved(count of the file then). Call saving() when the
/// snapshot is taken that is to be saved: edits appended later are not in it. After a save that failed call
/// nothing. A save under another name: begin() a new journal on the new file, then end() this one.
class CrashJournal {
public:
    /// Called on the journal's thread when the journal can no longer be written, and when it can again.
    using OnState = std::function<void(const Status&)>;

    /// Begins in `folder`, which is made where it is not there. A plan without a file is written beside the
    /// journal. Fails only where nothing can be begun; a disk that is full shows in state().
    static Result<std::unique_ptr<CrashJournal>> begin(const std::filesystem::path& folder, const Plan& plan,
                                                       JournalBase base, OnState onState = {});
    /// Without end() this is a crash: what is queued is written if it can be, and the journal stays.
    ~CrashJournal();
    CrashJournal(const CrashJournal&) = delete;
    CrashJournal& operator=(const CrashJournal&) = delete;

    /// Queues what was applied to the plan: an edit, or for undo and redo the inverse that was applied.
    void append(Edit edit);
    void saving(std::int64_t toCount);
    void saved(std::int64_t toCount);

    /// Waits until all that was queued before is on disk, or a try to write it has failed; says which.
    Status flush();
    /// Whether the last try to write was good. After a bad one there is a new one every second.
    [[nodiscard]] Status state() const;
    [[nodiscard]] const std::filesystem::path& file() const;

    /// Closes a plan that needs no journal any more (saved, or given up): its files are removed.
    Status end();

private:
    class Writer;
    explicit CrashJournal(std::unique_ptr<Writer> writer);
    std::unique_ptr<Writer> m_writer;
};

} // namespace fw
