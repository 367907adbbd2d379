// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/crash_journal.h"

#include "store/journal_file.h"
#include "store/plan_file.h"
#include "store/session_lock.h"
#include "store/this_process.h"

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <cstdlib>
#include <deque>
#include <fmt/format.h>
#include <mutex>
#include <pwd.h>
#include <thread>
#include <unistd.h>
#include <vector>

namespace fw {

namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::system_clock;

constexpr auto kRetryAfter = std::chrono::seconds(1);

// One thing to write. Edit and counts in one type: the order among them is what counts.
struct Step {
    enum class What { edit, saving, saved } what;
    Clock::time_point when;
    Edit edit = {};
    std::int64_t count = 0;
};

std::string nameFor(const Plan& plan) {
    static std::atomic<int> count{0};
    std::string uid;
    for (const char c : plan.settings->uid.substr(0, 40))
        if ((c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-') uid += c;
    std::string time = utcText(Clock::now());
    std::erase_if(time, [](char c) { return c == '-' || c == ':'; });
    return fmt::format("{}-{}-{}-{}.journal", uid.empty() ? "plan" : uid, time, ::getpid(), ++count);
}

Error unprotected(const Error& e) {
    return {ErrorCode::cannotWrite,
            "What you do is not kept in the crash journal just now; save often. " + e.text, e.context};
}

void removeFiles(const fs::path& file) {
    std::error_code failed;
    for (const char* tail : {"", "-journal"}) fs::remove(fs::path(file) += tail, failed);
}

} // namespace

class CrashJournal::Writer {
public:
    Writer(SessionLock lock, fs::path file, JournalHead head, Plan base, OnState onState)
        : m_lock(std::move(lock)), m_file(std::move(file)), m_head(std::move(head)), m_base(std::move(base)),
          m_onState(std::move(onState)), m_thread([this] { run(); }) {}
    ~Writer() { stop(); }
    Writer(const Writer&) = delete;
    Writer& operator=(const Writer&) = delete;

    void queue(Step step) {
        {
            const std::lock_guard guard(m_mutex);
            m_queue.push_back(std::move(step));
            ++m_queued;
        }
        m_wake.notify_one();
    }

    Status flush() {
        std::unique_lock lock(m_mutex);
        const std::uint64_t target = m_queued, started = m_started;
        m_poked = true;
        m_wake.notify_one();
        m_tried.wait(lock, [&] { return m_written >= target || m_ended > started || m_gone; });
        return m_state;
    }
    Status state() const {
        const std::lock_guard guard(m_mutex);
        return m_state;
    }
    [[nodiscard]] const fs::path& file() const { return m_file; }

    void stop() {
        {
            const std::lock_guard guard(m_mutex);
            m_stop = true;
        }
        m_wake.notify_one();
        if (m_thread.joinable()) m_thread.join();
    }
    // After stop(). The journal goes first: a base alone is nobody's work.
    Status remove() {
        m_out.reset();
        removeFiles(m_file);
        removeFiles(baseFileOf(m_file));
        std::error_code failed;
        if (!fs::exists(m_file, failed)) return Done{};
        return Error{ErrorCode::cannotWrite,
                     "The crash journal of a plan that was closed cannot be removed; it will be offered for "
                     "recovery although nothing is lost.",
                     m_file.string()};
    }

private:
    void run() {
        std::unique_lock lock(m_mutex);
        bool last = false;
        while (!last) {
            const auto due = [&] { return m_stop || m_poked || (m_state.ok() && m_written < m_queued); };
            if (m_state.ok())
                m_wake.wait(lock, due);
            else
                m_wake.wait_for(lock, kRetryAfter, due);
            last = m_stop;
            m_poked = false;
            std::move(m_queue.begin(), m_queue.end(), std::back_inserter(m_batch));
            m_queue.clear();
            const std::uint64_t upTo = m_queued;
            ++m_started;
            lock.unlock();
            Status s = write();
            lock.lock();
            if (s.ok()) {
                m_written = upTo;
                m_batch.clear();
            }
            const bool turned = s.ok() != m_state.ok();
            m_state = std::move(s);
            ++m_ended;
            m_gone = last;
            m_tried.notify_all();
            if (turned && m_onState) {
                const Status now = m_state;
                lock.unlock();
                m_onState(now);
                lock.lock();
            }
        }
    }

    Status write() try {
        if (m_out) lookWhetherGone();
        Status s = m_out ? Status(Done{}) : create();
        if (!s.ok()) return unprotected(s.error());
        if (m_batch.empty()) return Done{};
        s = m_out->begin();
        for (const Step& step : m_batch)
            if (s.ok()) s = write(step);
        if (s.ok()) s = m_out->commit();
        if (s.ok()) return s;
        m_out->rollBack();
        return unprotected(s.error());
    } catch (const std::exception& e) {
        if (m_out) m_out->rollBack();
        return unprotected({ErrorCode::internal, e.what(), m_file.string()});
    }

    Status write(const Step& step) {
        switch (step.what) {
        case Step::What::edit:
            return m_out->edit(step.edit, utcText(step.when));
        case Step::What::saving:
            return m_out->saving(step.count, utcText(step.when));
        case Step::What::saved:
            return m_out->saved(step.count);
        }
        return Done{};
    }

    // Somebody cleared the folder: what was written is gone. The next save makes a new beginning.
    void lookWhetherGone() {
        std::error_code failed;
        if (fs::exists(m_file, failed) || failed) return;
        m_out.reset();
        m_lost = true;
    }

    Status create() {
        if (m_lost && !dropSaved())
            return Error{ErrorCode::notFound, "Its file was removed; the next save begins a new one.",
                         m_file.string()};
        m_lost = false;
        std::error_code failed;
        fs::create_directories(m_file.parent_path(), failed);
        removeFiles(m_file); // left by a try that failed
        if (m_head.planFile.empty()) {
            removeFiles(baseFileOf(m_file));
            if (Status s = savePlan(m_base, baseFileOf(m_file)); !s.ok()) return s;
        }
        auto out = JournalWriter::create(m_file, m_head);
        if (!out) return out.error();
        m_out = std::make_unique<JournalWriter>(std::move(*out));
        m_base = {};
        return Done{};
    }

    // Takes out of the batch what a save has taken in, and that save is the base then. False when there was
    // no save from its beginning to its end.
    bool dropSaved() {
        const auto saved = std::find_if(m_batch.rbegin(), m_batch.rend(),
                                        [](const Step& s) { return s.what == Step::What::saved; });
        if (saved == m_batch.rend()) return false;
        const std::int64_t count = saved->count;
        const auto saving = std::find_if(saved, m_batch.rend(), [&](const Step& s) {
            return s.what == Step::What::saving && s.count == count;
        });
        if (saving == m_batch.rend()) return false;
        m_batch.erase(m_batch.begin(), saving.base());
        std::erase_if(m_batch, [](const Step& s) { return s.what == Step::What::saved; });
        m_head.saveCount = count;
        return true;
    }

    SessionLock m_lock;
    const fs::path m_file;
    JournalHead m_head; ///< this and what follows up to the mutex belong to the thread
    Plan m_base;
    std::unique_ptr<JournalWriter> m_out;
    std::vector<Step> m_batch; ///< taken from the queue and not yet on disk
    bool m_lost = false;
    const OnState m_onState;

    mutable std::mutex m_mutex;
    std::condition_variable m_wake, m_tried;
    std::deque<Step> m_queue;
    std::uint64_t m_queued = 1; ///< the first thing to do is to make the file
    std::uint64_t m_written = 0, m_started = 0, m_ended = 0;
    bool m_stop = false, m_poked = false, m_gone = false;
    Status m_state = Done{};
    std::jthread m_thread; ///< last: it uses all the others
};

fs::path stateFolder() {
    // The specification: what is not absolute is to be ignored.
    const char* state = std::getenv("XDG_STATE_HOME");
    if (state && fs::path(state).is_absolute()) return fs::path(state) / "fringewright" / "journals";
    const char* home = std::getenv("HOME");
    if (!home || !*home) {
        const passwd* entry = ::getpwuid(::geteuid());
        home = entry ? entry->pw_dir : "/";
    }
    return fs::path(home) / ".local" / "state" / "fringewright" / "journals";
}

Result<std::unique_ptr<CrashJournal>> CrashJournal::begin(const fs::path& folder, const Plan& plan,
                                                          JournalBase base, OnState onState) try {
    std::error_code failed;
    const bool made = fs::create_directories(folder, failed);
    if (failed)
        return Error{
            ErrorCode::cannotWrite,
            fmt::format("No folder for crash journals can be made ({}). Nothing protects your work but "
                        "saving it.",
                        failed.message()),
            folder.string()};
    if (made) fs::permissions(folder, fs::perms::owner_all, failed); // plans are nobody else's business
    const fs::path file = fs::absolute(folder) / nameFor(plan);
    auto lock = SessionLock::take(file);
    if (!lock) return lock.error();
    auto* taken = std::get_if<SessionLock>(&*lock);
    if (!taken)
        return Error{ErrorCode::cannotWrite,
                     "No crash journal can be made here. Nothing protects your work but saving it.",
                     file.string()};
    const bool hasFile = !base.planFile.empty();
    JournalHead head{plan.settings->uid,
                     plan.settings->name,
                     hasFile ? fs::weakly_canonical(fs::absolute(base.planFile)) : fs::path(),
                     base.saveCount,
                     std::move(base.origin),
                     base.unsaved,
                     userName(),
                     utcText(Clock::now()),
                     std::move(base.version)};
    return std::unique_ptr<CrashJournal>(new CrashJournal(std::make_unique<Writer>(
        std::move(*taken), file, std::move(head), hasFile ? Plan{} : plan, std::move(onState))));
} catch (const std::exception& e) {
    return Error{ErrorCode::cannotWrite, fmt::format("No crash journal can be begun: {}.", e.what()),
                 folder.string()};
}

CrashJournal::CrashJournal(std::unique_ptr<Writer> writer) : m_writer(std::move(writer)) {}
CrashJournal::~CrashJournal() = default;

void CrashJournal::append(Edit edit) { m_writer->queue({Step::What::edit, Clock::now(), std::move(edit)}); }
void CrashJournal::saving(std::int64_t toCount) {
    m_writer->queue({Step::What::saving, Clock::now(), {}, toCount});
}
void CrashJournal::saved(std::int64_t toCount) {
    m_writer->queue({Step::What::saved, Clock::now(), {}, toCount});
}
Status CrashJournal::flush() { return m_writer->flush(); }
Status CrashJournal::state() const { return m_writer->state(); }
const fs::path& CrashJournal::file() const { return m_writer->file(); }
Status CrashJournal::end() {
    m_writer->stop();
    return m_writer->remove();
}

} // namespace fw
