// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/session_lock.h"

#include "store/lock_word.h"

#include <cerrno>
#include <chrono>
#include <ctime>
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <system_error>
#include <thread>
#include <unistd.h>
#include <utility>

namespace fw {

namespace {

namespace fs = std::filesystem;

constexpr int kTries = 100; // each failed one means that another session let go at that very moment

class File {
public:
    explicit File(int fd) : m_fd(fd) {}
    ~File() {
        if (m_fd >= 0) ::close(m_fd);
    }
    File(const File&) = delete;
    File& operator=(const File&) = delete;
    [[nodiscard]] int get() const { return m_fd; }
    int give() { return std::exchange(m_fd, -1); }

private:
    int m_fd;
};

// Not followed where it is a link: a lock file is never one, and somebody might lay one.
int openFile(const fs::path& file, int flags) {
    int fd = -1;
    do fd = ::open(file.c_str(), flags | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK, 0644);
    while (fd < 0 && errno == EINTR);
    return fd;
}

enum class Kernel { ours, theirs, noLocks };

// An open-file-description lock (fcntl(2), "Open file description locks") on the whole file: unlike POSIX
// locks it also keeps out others of this process, and no stray close() drops it.
Kernel lockWith(int fd, short type) {
    struct flock whole {};
    whole.l_type = type;
    whole.l_whence = SEEK_SET;
    int r = 0;
    do r = ::fcntl(fd, F_OFD_SETLK, &whole);
    while (r != 0 && errno == EINTR);
    if (r == 0) return Kernel::ours;
    return errno == EAGAIN || errno == EACCES ? Kernel::theirs : Kernel::noLocks;
}

bool isAt(int fd, const fs::path& file) {
    struct stat open {
    }, there{};
    return ::fstat(fd, &open) == 0 && ::lstat(file.c_str(), &there) == 0 && open.st_dev == there.st_dev &&
           open.st_ino == there.st_ino;
}

std::string textOf(int fd) {
    std::string text(kLongestWord, '\0');
    const ssize_t n = ::pread(fd, text.data(), text.size(), 0);
    text.resize(n > 0 ? static_cast<std::size_t>(n) : 0);
    return text;
}

// The holder writes its word right after it has the lock: one moment's patience.
LockHolder holderIn(int fd, const fs::path& file) {
    std::optional<LockWord> word;
    for (int k = 0; k < 20 && !word; ++k) {
        if (k > 0) std::this_thread::sleep_for(std::chrono::milliseconds(5));
        word = wordFrom(textOf(fd));
    }
    return holderOfWord(word.value_or(LockWord{}), file);
}

std::optional<LockHolder> leftBehind(int fd, const fs::path& file) {
    const auto word = wordFrom(textOf(fd));
    if (!word) return std::nullopt;
    return holderOfWord(*word, file);
}

bool putWord(int fd, const std::string& word) {
    return ::ftruncate(fd, 0) == 0 &&
           ::pwrite(fd, word.data(), word.size(), 0) == static_cast<ssize_t>(word.size());
}

CannotLock cannotLock(const fs::path& file, int error) {
    return {fmt::format("No lock file can be made in the folder {} ({}). The plan can be read there, but not "
                        "changed: save it "
                        "in a folder where you may write.",
                        file.parent_path().string(), std::generic_category().message(error))};
}

Result<fs::path> lockFileOf(const fs::path& planFile) try {
    const fs::path plan = fs::weakly_canonical(fs::absolute(planFile));
    if (!plan.has_filename())
        return Error{ErrorCode::badInput, "This does not name a file.", planFile.string()};
    const fs::path folder = plan.parent_path();
    if (!fs::is_directory(folder))
        return Error{ErrorCode::notFound, "There is no such folder.", folder.string()};
    return folder / ("." + plan.filename().string() + ".lock");
} catch (const std::exception& e) {
    return Error{ErrorCode::cannotRead,
                 fmt::format("The place of the plan cannot be looked at: {}.", e.what()), planFile.string()};
}

// A lock file of another user's that we may read, not write: held, or left behind and then removed. The read
// lock keeps everybody off the file until it is gone.
enum class Foreign { held, gone, cannot, noLocks };
Foreign lookAtForeign(int fd, const fs::path& file) {
    switch (lockWith(fd, F_RDLCK)) {
    case Kernel::theirs:
        return Foreign::held;
    case Kernel::noLocks:
        return Foreign::noLocks;
    case Kernel::ours:
        break;
    }
    if (!isAt(fd, file)) return Foreign::gone;
    return ::unlink(file.c_str()) == 0 ? Foreign::gone : Foreign::cannot;
}

// By the file's word: its process is gone, or it never came to write one.
bool isLeftBehind(int fd) {
    const std::string text = textOf(fd);
    struct stat there {};
    if (text.empty() && ::fstat(fd, &there) == 0) return ::time(nullptr) - there.st_mtime > 10;
    return isGone(wordFrom(text).value_or(LockWord{}));
}

// The right to take away what somebody left: two that find the same stale file must not both remove "it",
// since the second would hit the successor of the first.
class Clearing {
public:
    explicit Clearing(const fs::path& lockFile) : m_file(fs::path(lockFile) += ".clearing") {
        m_fd = openFile(m_file, O_RDWR | O_CREAT | O_EXCL);
        struct stat there {};
        // Whoever died in the moment it takes is not waited for.
        if (m_fd < 0 && ::lstat(m_file.c_str(), &there) == 0 && ::time(nullptr) - there.st_mtime > 10)
            ::unlink(m_file.c_str());
    }
    ~Clearing() {
        if (m_fd < 0) return;
        ::unlink(m_file.c_str());
        ::close(m_fd);
    }
    Clearing(const Clearing&) = delete;
    Clearing& operator=(const Clearing&) = delete;
    [[nodiscard]] bool ours() const { return m_fd >= 0; }

private:
    fs::path m_file;
    int m_fd = -1;
};

// Removes a lock file that was left behind. Looked at once more under the right to do so: only who has that
// right removes a stale file, so it is still the same. True when it was removed here.
bool clearLeftBehind(const fs::path& file) {
    const Clearing clearing(file);
    if (!clearing.ours()) {
        std::this_thread::sleep_for(std::chrono::milliseconds(2));
        return false;
    }
    const File there(openFile(file, O_RDONLY));
    return there.get() >= 0 && isLeftBehind(there.get()) && ::unlink(file.c_str()) == 0;
}

} // namespace

Result<SessionLock::TakenOrHeld> SessionLock::take(const fs::path& planFile) {
    const auto file = lockFileOf(planFile);
    if (!file) return file.error();
    SessionLock lock;
    for (int k = 0; k < kTries; ++k) {
        File fd(openFile(*file, O_RDWR | O_CREAT));
        if (fd.get() < 0) {
            const int why = errno;
            const File theirs(openFile(*file, O_RDONLY));
            if (theirs.get() < 0) return TakenOrHeld(cannotLock(*file, why));
            lock.m_tookOver = leftBehind(theirs.get(), *file);
            const Foreign found = lookAtForeign(theirs.get(), *file);
            if (found == Foreign::held) return TakenOrHeld(holderIn(theirs.get(), *file));
            if (found == Foreign::noLocks) return takeByWord(planFile);
            if (found == Foreign::cannot) return TakenOrHeld(cannotLock(*file, why));
            continue;
        }
        const Kernel answer = lockWith(fd.get(), F_WRLCK);
        if (answer == Kernel::noLocks) {
            // What was only just made here says nothing and must not stand as somebody's word.
            if (textOf(fd.get()).empty() && isAt(fd.get(), *file)) ::unlink(file->c_str());
            return takeByWord(planFile);
        }
        if (answer == Kernel::theirs) return TakenOrHeld(holderIn(fd.get(), *file));
        if (!isAt(fd.get(), *file)) continue; // let go of and removed between our two steps
        if (auto before = leftBehind(fd.get(), *file)) lock.m_tookOver = std::move(before);
        lock.m_word = textOfWord(ourWord());
        putWord(fd.get(), lock.m_word); // on a full disk the lock holds all the same, without a name
        lock.m_file = *file;
        lock.m_fd = fd.give();
        return TakenOrHeld(std::move(lock));
    }
    return TakenOrHeld(cannotLock(*file, EAGAIN));
}

Result<SessionLock::TakenOrHeld> SessionLock::takeByWord(const fs::path& planFile) {
    const auto file = lockFileOf(planFile);
    if (!file) return file.error();
    SessionLock lock;
    for (int k = 0; k < kTries; ++k) {
        const File ours(openFile(*file, O_RDWR | O_CREAT | O_EXCL));
        if (ours.get() >= 0) {
            lock.m_word = textOfWord(ourWord());
            if (putWord(ours.get(), lock.m_word)) {
                lock.m_file = *file;
                return TakenOrHeld(std::move(lock));
            }
            const int why = errno;
            ::unlink(file->c_str());
            return TakenOrHeld(cannotLock(*file, why));
        }
        if (errno != EEXIST) return TakenOrHeld(cannotLock(*file, errno));
        const File theirs(openFile(*file, O_RDONLY));
        if (theirs.get() < 0 && errno == ENOENT) continue;
        if (theirs.get() < 0) return TakenOrHeld(cannotLock(*file, errno));
        LockHolder holder = holderIn(theirs.get(), *file);
        holder.byWordAlone = true;
        if (!isLeftBehind(theirs.get())) return TakenOrHeld(holder);
        if (clearLeftBehind(*file)) lock.m_tookOver = holder;
    }
    return TakenOrHeld(cannotLock(*file, EAGAIN));
}

std::optional<LockHolder> SessionLock::holderOf(const fs::path& planFile) {
    const auto file = lockFileOf(planFile);
    if (!file) return std::nullopt;
    const File fd(openFile(*file, O_RDONLY));
    if (fd.get() < 0) return std::nullopt;
    struct flock whole {};
    whole.l_type = F_RDLCK;
    whole.l_whence = SEEK_SET;
    if (::fcntl(fd.get(), F_OFD_GETLK, &whole) == 0) {
        if (whole.l_type == F_UNLCK) return std::nullopt;
        return holderIn(fd.get(), *file);
    }
    LockHolder holder = holderIn(fd.get(), *file);
    holder.byWordAlone = true;
    if (isLeftBehind(fd.get())) return std::nullopt;
    return holder;
}

// Removed while we still hold it: whoever opened it before finds that it is no longer there and tries again.
void SessionLock::release() {
    if (m_file.empty()) return;
    if (m_fd >= 0) {
        if (isAt(m_fd, m_file)) ::unlink(m_file.c_str());
        ::close(m_fd);
    } else {
        const File there(openFile(m_file, O_RDONLY));
        if (there.get() >= 0 && textOf(there.get()) == m_word) ::unlink(m_file.c_str());
    }
    m_fd = -1;
    m_file.clear();
}

SessionLock::SessionLock(SessionLock&& from) noexcept
    : m_file(std::move(from.m_file)), m_fd(std::exchange(from.m_fd, -1)), m_word(std::move(from.m_word)),
      m_tookOver(std::move(from.m_tookOver)) {
    from.m_file.clear();
}

SessionLock& SessionLock::operator=(SessionLock&& from) noexcept {
    if (this == &from) return *this;
    release();
    m_file = std::move(from.m_file);
    m_fd = std::exchange(from.m_fd, -1);
    m_word = std::move(from.m_word);
    m_tookOver = std::move(from.m_tookOver);
    from.m_file.clear();
    return *this;
}

SessionLock::~SessionLock() { release(); }

std::string LockHolder::sentence() const {
    const std::string who = user.empty() ? "another user" : user;
    std::string text = fmt::format(
        "The plan is open in a window of {}{}{}. Open it for reading, or a copy of it.", who,
        host.empty() ? "" : " on " + host, since.empty() ? "" : fmt::format(" (since {})", since));
    if (byWordAlone && !sameMachine)
        text += fmt::format(" Should that window be long gone, remove the file {}.", lockFile.string());
    return text;
}

} // namespace fw
