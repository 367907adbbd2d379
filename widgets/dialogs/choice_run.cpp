// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/choice_run.h"

#include "text/figures.h"

#include <QThread>

#include <algorithm>
#include <chrono>
#include <mutex>

namespace fw {

/// What the worker and the window both touch.
struct ChoiceRun::Live {
    std::mutex lock;
    std::vector<ChoicePoint> curve; ///< of the present search
    int search = 0;
    double share = 0;
    std::string step;
    // Of the worker alone, until it is done.
    std::optional<Result<PlannedChoice>> planned;
    std::shared_ptr<const Study> study;
    double seconds = 0;
};

const QString& ChoiceRun::jobKey() {
    static const QString key = QStringLiteral("choose");
    return key;
}

ChoiceRun::ChoiceRun(Workspace& space, QObject* parent) : QObject(parent), m_space(space) {
    connect(&space.jobs, &JobBoard::changed, this, &ChoiceRun::takePoints);
    connect(&space.document, &PlanDocument::planReplaced, this, [this] {
        drop();
        emit changed();
    });
    connect(&space.document, &PlanDocument::planChanged, this, [this](const PlanDiff&) { planChanged(); });
}

ChoiceRun::~ChoiceRun() { m_space.jobs.cancel(jobKey()); }

void ChoiceRun::drop() {
    m_live.reset();
    m_running = m_current = false;
    m_space.jobs.cancel(jobKey());
    m_trouble.clear();
    m_putIn.clear();
    m_curve.clear();
    m_search = 0;
    m_share = 0;
    emit curveChanged();
    if (!m_result) return;
    m_result.reset();
    emit resultChanged();
}

void ChoiceRun::start(const ChoiceAsk& ask, const CostTable& costs) {
    drop();
    const auto study = m_space.live.study();
    if (!m_space.document.isOpen()) {
        m_trouble = tr("Open or make a plan first.");
    } else if (!study || m_space.live.stale() || m_space.live.dragging()) {
        m_trouble = tr("The plan is not computed yet. Start again when the status line says it is done.");
    }
    if (!m_trouble.isEmpty()) {
        emit changed();
        return;
    }
    m_ask = ask;
    m_ask.keepStopped = true;
    m_ask.threads = static_cast<unsigned>(std::max(2, QThread::idealThreadCount() - 1));
    m_costs = costs;
    m_running = true;
    m_step.clear();
    auto live = std::make_shared<Live>();
    live->study = study;
    m_live = live;
    const auto onPoint = [live](const ChoicePoint& at) {
        const std::scoped_lock hold(live->lock);
        if (at.iteration == 0) {
            live->curve.clear();
            ++live->search;
        }
        live->curve.push_back(at);
    };
    m_space.jobs.start(
        jobKey(), tr("Choosing a set"),
        [live, onPoint, ask = m_ask, costs, terrain = m_space.document.terrain()](const Job& job) {
            const auto began = std::chrono::steady_clock::now();
            Job told = job;
            told.progress = [live, report = job.progress](double share, std::string_view what) {
                {
                    const std::scoped_lock hold(live->lock);
                    live->share = share;
                    live->step = what;
                }
                if (report) report(share, what);
            };
            live->planned.emplace(planChoice(live->study, terrain, ask, costs, onPoint, told));
            live->seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
        },
        [this, live](Outcome outcome) { done(outcome, live); });
    emit changed();
}

void ChoiceRun::stop() { m_space.jobs.cancel(jobKey()); }

void ChoiceRun::takePoints() {
    if (!m_running || !m_live) return;
    bool more = false;
    {
        const std::scoped_lock hold(m_live->lock);
        more = m_live->search != m_search || m_live->curve.size() != m_curve.size();
        if (more) m_curve = m_live->curve;
        m_search = m_live->search;
        m_share = m_live->share;
        m_step = QString::fromStdString(m_live->step);
    }
    if (more) emit curveChanged();
    emit changed();
}

void ChoiceRun::done(Outcome outcome, const std::shared_ptr<Live>& live) {
    if (live != m_live) return; // started anew meanwhile
    takePoints();
    m_running = false;
    m_live.reset();
    if (outcome == Outcome::failed || !live->planned) {
        m_trouble = outcome == Outcome::failed
                        ? tr("The search failed; there may be too little memory for it. Nothing is changed.")
                        : tr("Stopped before anything was chosen. Nothing is changed.");
    } else if (!*live->planned) {
        const Error& e = live->planned->error();
        m_trouble = e.code == ErrorCode::cancelled
                        ? tr("Stopped before anything was chosen. Nothing is changed.")
                        : coreText(e.sentence());
    } else {
        m_result = std::make_shared<const ChoiceResult>(
            ChoiceResult{live->study, m_ask, m_costs, std::move(**live->planned), live->seconds});
        m_curve = m_result->planned.choice.curve;
        m_current = diff(m_result->study->plan(), m_space.document.plan()).empty();
    }
    emit curveChanged();
    emit resultChanged();
    emit changed();
}

void ChoiceRun::planChanged() {
    if (!m_result) return;
    m_current = diff(m_result->study->plan(), m_space.document.plan()).empty();
    if (m_current) m_putIn.clear(); // undone
    emit resultChanged();
    emit changed();
}

Ghosts ChoiceRun::ghosts() const {
    Ghosts out;
    if (!m_result || !m_current) return out;
    const PlannedChoice& p = m_result->planned;
    for (const ChosenOption& o : p.choice.chosen) {
        const ChoiceFeed::Spot& spot = p.feed.spots[o.option.mount];
        if (spot.kept) continue;
        Radio r = spot.radio;
        r.mount = spot.mount;
        r.azimuth = azimuthOf(o.option.step);
        out.push_back({std::move(r), std::nullopt});
    }
    return out;
}

Status ChoiceRun::mayPutIn() const {
    if (m_result && m_current) return Done{};
    return Error{ErrorCode::badInput,
                 tr("The plan has changed since it was chosen; start again.").toStdString(), ""};
}

Status ChoiceRun::apply() {
    if (Status s = mayPutIn(); !s.ok()) return s;
    const auto edit = choiceEdit(m_space.document.plan(), m_result->planned.feed, m_result->planned.choice,
                                 m_result->ask.keep);
    if (!edit) return edit.error();
    if (Status s = m_space.document.perform(*edit); !s.ok()) return s;
    m_putIn = QStringLiteral("applied");
    emit changed();
    return Done{};
}

Status ChoiceRun::asVariant(const QString& name) {
    if (Status s = mayPutIn(); !s.ok()) return s;
    const auto made = choiceVariant(m_space.document.plan(), m_result->planned.feed, m_result->planned.choice,
                                    name.trimmed().toStdString());
    if (!made) return made.error();
    if (Status s = m_space.document.perform(made->edit); !s.ok()) return s;
    m_putIn = QString::fromStdString(m_space.document.plan().label(made->variant));
    emit changed();
    return Done{};
}

} // namespace fw
