// SPDX-License-Identifier: GPL-3.0-or-later
#include "jobs/job_board.h"

#include <QEventLoop>
#include <QMetaObject>
#include <QTimer>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <optional>
#include <stop_token>
#include <thread>

#ifdef Q_OS_LINUX
#include <sys/resource.h>
#endif

namespace fw {

namespace {

/// Where workers wait while a button is down.
class RestGate {
public:
    void set(bool resting) {
        {
            const std::scoped_lock hold(m_lock);
            m_resting = resting;
        }
        m_wake.notify_all();
    }
    [[nodiscard]] bool resting() const {
        const std::scoped_lock hold(m_lock);
        return m_resting;
    }
    void wait(const std::stop_token& stop) {
        std::unique_lock hold(m_lock);
        m_wake.wait(hold, stop, [this] { return !m_resting; });
    }
    /// No longer than that.
    void wait(const std::stop_token& stop, std::chrono::milliseconds most) {
        std::unique_lock hold(m_lock);
        m_wake.wait_for(hold, stop, most, [this] { return !m_resting; });
    }

private:
    mutable std::mutex m_lock;
    std::condition_variable_any m_wake;
    bool m_resting = false;
};

/// How long a step of what goes aside waits for the end of a frame at most: where one frame follows the other
/// without a gap it comes on all the same.
constexpr std::chrono::milliseconds kMostOfFrames{20};

/// This thread gets a tenth of what others get, and comes on even where all processors are busy. It ends with
/// its job, so nothing is put back.
void giveWay() {
#ifdef Q_OS_LINUX
    setpriority(PRIO_PROCESS, 0, 10); // on Linux of the calling thread alone
#endif
}

/// What a worker and the board both touch.
struct Shared {
    std::mutex lock;
    double share = 0;
    std::string what;
};

} // namespace

struct JobBoard::Impl {
    struct Order {
        QString name;
        Work work;
        Then then;
        Manner manner = Manner::shown;
    };
    struct Running {
        QString key;
        Order order;
        std::shared_ptr<Shared> shared = std::make_shared<Shared>();
        std::stop_source stop;
        std::optional<Order> next;
        std::thread thread;
    };

    explicit Impl(JobBoard& b) : board(b) {
        ticker.setInterval(100);
        QObject::connect(&ticker, &QTimer::timeout, &board, &JobBoard::changed);
    }

    Running* find(const QString& key) {
        const auto it = std::find_if(jobs.begin(), jobs.end(), [&](const auto& j) { return j->key == key; });
        return it == jobs.end() ? nullptr : it->get();
    }

    void launch(const QString& key, Order order) {
        auto job = std::make_unique<Running>();
        job->key = key;
        job->order = std::move(order);
        Running* r = job.get();
        jobs.push_back(std::move(job));
        r->thread = std::thread([this, r] { work(*r); });
        if (!ticker.isActive()) ticker.start();
        emit board.changed();
    }

    void rest(Manner manner, const std::stop_token& stop) {
        if (manner == Manner::aside)
            frame.wait(stop, kMostOfFrames);
        else if (manner != Manner::steady)
            gate.wait(stop);
    }

    // On the worker.
    void work(Running& r) {
        Job job;
        job.stop = r.stop.get_token();
        const Manner manner = r.order.manner;
        if (manner == Manner::aside) giveWay();
        job.progress = [this, shared = r.shared, stop = job.stop, manner](double share,
                                                                          std::string_view what) {
            rest(manner, stop);
            const std::scoped_lock hold(shared->lock);
            shared->share = share;
            shared->what = what;
        };
        rest(manner, job.stop);
        Outcome outcome = Outcome::done;
        try {
            if (!job.stopped()) r.order.work(job);
        } catch (...) {
            outcome = Outcome::failed;
        }
        if (job.stopped()) outcome = Outcome::cancelled;
        QMetaObject::invokeMethod(
            &board, [this, key = r.key, outcome] { finished(key, outcome); }, Qt::QueuedConnection);
    }

    // On the board's thread.
    void finished(const QString& key, Outcome outcome) {
        const auto it = std::find_if(jobs.begin(), jobs.end(), [&](const auto& j) { return j->key == key; });
        if (it == jobs.end()) return;
        const std::unique_ptr<Running> job = std::move(*it);
        jobs.erase(it);
        job->thread.join();
        if (job->stop.stop_requested()) outcome = Outcome::cancelled; // asked for after the work was through
        if (job->order.then) job->order.then(outcome);
        // Its `then` may have started the key again: that one is newer than what waited.
        if (job->next) {
            if (find(key)) {
                if (job->next->then) job->next->then(Outcome::cancelled);
            } else {
                launch(key, std::move(*job->next));
            }
        }
        if (jobs.empty()) ticker.stop();
        emit board.changed();
    }

    void dropNext(Running& r) {
        if (!r.next) return;
        const Order dropped = std::move(*r.next);
        r.next.reset();
        if (dropped.then) dropped.then(Outcome::cancelled);
    }

    JobBoard& board;
    RestGate gate, frame; ///< shut while a button is down; while a frame of a drag is made
    std::vector<std::unique_ptr<Running>> jobs; ///< oldest first
    QTimer ticker;
};

JobBoard::JobBoard(QObject* parent) : QObject(parent), m_impl(std::make_unique<Impl>(*this)) {}

JobBoard::~JobBoard() {
    for (const auto& job : m_impl->jobs) job->stop.request_stop();
    for (const auto& job : m_impl->jobs) job->thread.join();
}

void JobBoard::start(const QString& key, const QString& name, Work work, Then then, Manner manner) {
    Impl::Order order{name, std::move(work), std::move(then), manner};
    if (Impl::Running* r = m_impl->find(key)) {
        r->stop.request_stop();
        m_impl->dropNext(*r);
        r->next = std::move(order);
    } else {
        m_impl->launch(key, std::move(order));
    }
}

void JobBoard::cancel(const QString& key) {
    if (Impl::Running* r = m_impl->find(key)) {
        r->stop.request_stop();
        m_impl->dropNext(*r);
    }
}

void JobBoard::cancelAll() {
    for (const auto& job : m_impl->jobs) {
        job->stop.request_stop();
        m_impl->dropNext(*job);
    }
}

bool JobBoard::runs(const QString& key) const {
    const Impl::Running* r = m_impl->find(key);
    return r && (!r->stop.stop_requested() || r->next);
}

std::vector<JobState> JobBoard::states() const {
    std::vector<JobState> out;
    for (const auto& job : m_impl->jobs) {
        const Manner manner = job->order.manner;
        if (manner == Manner::quiet || manner == Manner::aside || job->stop.stop_requested()) continue;
        const std::scoped_lock hold(job->shared->lock);
        out.push_back({job->order.name, QString::fromStdString(job->shared->what), job->shared->share, true});
    }
    return out;
}

void JobBoard::setResting(bool resting) { m_impl->gate.set(resting); }
void JobBoard::setInFrame(bool inFrame) { m_impl->frame.set(inFrame); }
bool JobBoard::resting() const { return m_impl->gate.resting(); }

bool JobBoard::waitForDone(int msecs) {
    QEventLoop loop;
    QTimer limit;
    limit.setSingleShot(true);
    connect(&limit, &QTimer::timeout, &loop, [&loop] { loop.exit(1); });
    connect(this, &JobBoard::changed, &loop, [this, &loop] {
        if (m_impl->jobs.empty()) loop.exit(0);
    });
    if (m_impl->jobs.empty()) return true;
    limit.start(msecs);
    return loop.exec() == 0;
}

} // namespace fw
