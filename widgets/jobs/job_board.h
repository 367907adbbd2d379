// SPDX-License-Identifier: GPL-3.0-or-later
// Long work off the window's thread: one queue of named jobs, with progress and cancel.
#pragma once

#include "base/job.h"

#include <QObject>
#include <QString>

#include <functional>
#include <memory>
#include <vector>

namespace fw {

/// What runs, for the status line.
struct JobState {
    QString name;     ///< "Computing", "Settling the loads"
    QString what;     ///< the step it is at; may be empty
    double share = 0; ///< 0..1
    bool canCancel = true;
};

/// Runs jobs on threads of its own, each key one at a time, and hands results back on the thread that owns
/// the board. Destroying the board stops everything and waits.
class JobBoard : public QObject {
    Q_OBJECT
public:
    using Work = std::function<void(const Job&)>; ///< on a worker
    using Then = std::function<void(Outcome)>;    ///< on the board's thread

    explicit JobBoard(QObject* parent = nullptr);
    ~JobBoard() override;

    /// shown: in the status line, rests during a drag. quiet: never shown (map tiles, aim rose), rests too.
    /// steady: shown, and does not rest: what a drag itself waits for. aside: never shown and does not rest,
    /// but keeps out of the way of frames and gets the smaller share of a busy processor (where the system
    /// lets a thread give way): what follows a drag a little behind.
    enum class Manner { shown, quiet, steady, aside };

    /// Starts work under a key. What runs or waits under the same key is cancelled first and its `then` is
    /// called with Outcome::cancelled before the new one starts.
    void start(const QString& key, const QString& name, Work work, Then then, Manner manner = Manner::shown);
    void cancel(const QString& key);
    void cancelAll();
    [[nodiscard]] bool runs(const QString& key) const;
    /// Jobs that are not quiet, oldest first.
    [[nodiscard]] std::vector<JobState> states() const;

    /// While a button is down nothing may compete with the frame: jobs that can be repeated rest until
    /// resumed. Work sees it as waiting inside its progress callback.
    void setResting(bool resting);
    [[nodiscard]] bool resting() const;
    /// A frame of a drag is being made: what goes aside waits at its next step till it is on the screen,
    /// since even on a processor of its own it would take memory and clock from the frame; 20 ms at most.
    void setInFrame(bool inFrame);

    /// Waits until nothing runs (tests, closing); false after the time is over.
    bool waitForDone(int msecs);

signals:
    void changed(); ///< at most ten times a second while something runs

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace fw
