// SPDX-License-Identifier: GPL-3.0-or-later
// Who has a plan open for writing. A file beside the plan, `.<name>.lock`, says it to people; a lock of the
// kernel on that file says it to programs, and ends with the process however it ends.
#pragma once

#include "base/result.h"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <variant>

namespace fw {

/// A session that has, or had, a plan open, as its lock file says; texts may be empty when it does not.
struct LockHolder {
    std::string user, host;
    std::string since; ///< UTC, ISO 8601
    std::int64_t pid = 0;
    bool sameMachine = false;
    /// The file's word alone counts here, for the drive knows no locks: a session that ended badly on another
    /// machine leaves the plan held until somebody removes the lock file.
    bool byWordAlone = false;
    std::filesystem::path lockFile;

    /// "The plan is open in another window of kim on harbour-3 (since 2026-06-01T09:30:00Z). ..."
    [[nodiscard]] std::string sentence() const;
};

/// No lock file can be made where the plan lies, so the plan can be read, not changed.
struct CannotLock {
    std::string sentence;
};

/// The right to write one plan, for as long as the object lives. Let go of from any one thread.
class SessionLock {
public:
    /// The lock, or who has it, or why nobody can. Held also means: by another object of this process.
    using TakenOrHeld = std::variant<SessionLock, LockHolder, CannotLock>;

    /// A lock file whose owner is gone is taken over (see tookOver()). The plan itself need not exist yet;
    /// its folder must, else an error. Links are followed: all names of a plan have one lock.
    static Result<TakenOrHeld> take(const std::filesystem::path& planFile);
    /// How take() decides on drives without locks: a file of this machine whose process lives, or one of any
    /// other machine, holds the plan. Two that start at the same moment are told apart by who makes the file.
    static Result<TakenOrHeld> takeByWord(const std::filesystem::path& planFile);
    /// Who holds a plan just now, if anybody; takes and changes nothing.
    static std::optional<LockHolder> holderOf(const std::filesystem::path& planFile);

    SessionLock(SessionLock&& from) noexcept;
    SessionLock& operator=(SessionLock&& from) noexcept;
    SessionLock(const SessionLock&) = delete;
    SessionLock& operator=(const SessionLock&) = delete;
    ~SessionLock();

    /// The session whose lock file was still there: it did not end well.
    [[nodiscard]] const std::optional<LockHolder>& tookOver() const { return m_tookOver; }
    [[nodiscard]] const std::filesystem::path& lockFile() const { return m_file; }

private:
    SessionLock() = default;
    void release();

    std::filesystem::path m_file; ///< empty: moved from
    int m_fd = -1;                ///< -1 where the file's word alone counts
    std::string m_word;           ///< what we wrote into it
    std::optional<LockHolder> m_tookOver;
};

} // namespace fw
