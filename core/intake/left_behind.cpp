// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/left_behind.h"

#include <condition_variable>
#include <exception>
#include <list>
#include <mutex>
#include <system_error>
#include <thread>

namespace fw {
namespace {

struct Task {
    std::function<void()> work;
    std::mutex lock;
    std::condition_variable_any changed;
    bool done = false;
    std::exception_ptr thrown;

    void run() {
        std::exception_ptr caught;
        try {
            work();
        } catch (...) {
            caught = std::current_exception();
        }
        work = nullptr; // what came too late goes here, not where the list is tidied
        const std::scoped_lock hold(lock);
        thrown = caught;
        done = true;
        changed.notify_all();
    }
    bool isDone() {
        const std::scoped_lock hold(lock);
        return done;
    }
};

/// Threads that nobody waits for, until the program ends.
class LeftBehind {
public:
    void take(std::shared_ptr<Task> task, std::jthread thread) {
        const std::scoped_lock hold(m_lock);
        m_all.remove_if([](Entry& e) { return e.task->isDone(); });
        m_all.push_back({std::move(task), std::move(thread)});
    }

private:
    struct Entry {
        std::shared_ptr<Task> task;
        std::jthread thread; ///< joins when it goes
    };
    std::mutex m_lock;
    std::list<Entry> m_all;
};

LeftBehind& leftBehind() {
    static LeftBehind all;
    return all;
}

} // namespace

void leaveBehind(std::function<void()> work) {
    leftBehind();
    const auto task = std::make_shared<Task>();
    task->work = std::move(work);
    try {
        leftBehind().take(task, std::jthread([task] { task->run(); }));
    } catch (const std::system_error&) {
        task->run();
    }
}

bool doneUnlessStopped(const Job& job, std::function<void()> work) {
    if (job.stopped()) return false;
    if (!job.stop.stop_possible()) {
        work();
        return true;
    }
    leftBehind(); // there before the thread, so that it goes after whatever the work makes
    const auto task = std::make_shared<Task>();
    task->work = std::move(work);
    std::jthread thread([task] { task->run(); });
    std::unique_lock hold(task->lock);
    if (!task->changed.wait(hold, job.stop, [&] { return task->done; })) {
        hold.unlock();
        leftBehind().take(task, std::move(thread));
        return false;
    }
    hold.unlock();
    thread.join();
    if (task->thrown) std::rethrow_exception(task->thrown);
    return true;
}

} // namespace fw
