// SPDX-License-Identifier: GPL-3.0-or-later
// What sessions that ended badly left behind: found, shown, brought back or let go. Journals are read as a
// stranger's files: within bounds, nothing in them is run, and faults end in a sentence.
#pragma once

#include "plan/edit.h"
#include "store/session_lock.h"

#include <chrono>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fw {

/// Work that is in a journal and in no plan file.
struct LostWork {
    enum class State {
        ready,       ///< the plan is as the session knew it: all comes back
        fileChanged, ///< the plan was saved by somebody else since: comes back onto a copy, as far as it fits
        fileGone,    ///< the plan is not where it was, or cannot be read: nothing comes back for now
        damaged,     ///< the journal cannot be read, or a newer version of the program wrote it
    };
    State state = State::damaged;
    std::string sentence; ///< what is the matter; empty where the state is ready

    std::filesystem::path journal;
    std::string planName, planUid;
    std::filesystem::path planFile; ///< empty: the plan had no file of its own
    std::filesystem::path origin;   ///< see JournalBase
    std::int64_t saveCount = 0;     ///< of the file that the edits follow on
    std::string user, version;      ///< who worked on it, with which version of the program
    std::string since, lastEdit;    ///< UTC, ISO 8601; lastEdit may be empty
    std::int64_t edits = 0;         ///< that are not in the file
    std::vector<std::string> texts; ///< of the last twenty, oldest first
    std::uintmax_t bytes = 0;       ///< size of the journal
    std::optional<std::string> declinedAt;
    std::shared_ptr<SessionLock> lock; ///< set by recover(): keeps other sessions off the journal
};

/// Journals in a folder that no session holds and that hold lost work, the latest first. Never fails: what
/// cannot be read is listed with a sentence. Reads no plan, only the counter of its saves.
std::vector<LostWork> findLostWork(const std::filesystem::path& folder);

struct Recovered {
    Plan plan;
    std::vector<std::string> notes; ///< sentences: of opening the plan, and where replay stopped
    std::filesystem::path path;     ///< plan file that a save may go to; empty: only a new one
    std::int64_t saveCount = 0;     ///< of that file
    std::filesystem::path origin;   ///< for a plan without a file, or a copy: where its terrain is found
    std::vector<Edit> edits;        ///< that were replayed, in order
    std::int64_t recorded = 0;      ///< how many there were to replay; more than `edits` when replay stopped
};

/// Brings lost work back: the plan file, or the base beside the journal, with the edits replayed. No file is
/// changed. An edit that does not apply any more ends the replay, and a note says which and why.
/// Afterwards begin a new journal (base: path and saveCount; append `edits`; where path is empty the plan
/// itself as an unsaved base), flush() it, and only then forget() the old one.
Result<Recovered> recover(LostWork& work);

/// Marks work as not wanted; it is still found, and cleared after kDeclinedDays.
Status decline(LostWork& work);
/// Deletes a journal and what belongs to it.
Status forget(const LostWork& work);

inline constexpr int kDeclinedDays = 30;
/// Deletes what was declined long ago, and remains in which there is no work. Work that nobody declined
/// stays.
void clearOldWork(const std::filesystem::path& folder, std::chrono::system_clock::time_point now);

} // namespace fw
