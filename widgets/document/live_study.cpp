// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/live_study.h"

#include "base/one_heap.h"
#include "base/parallel.h"
#include "store/plan_terrain.h"
#include "study/settled.h"

#include <algorithm>
#include <utility>

namespace fw {

namespace {

const QString kCompute = QStringLiteral("study"), kSettle = QStringLiteral("settle"),
              kRemedies = QStringLiteral("remedies");

// One core is left to the window.

ReviewOptions quick() {
    ReviewOptions o;
    o.remedies = false;
    o.threads = spareThreads();
    return o;
}

// Within a frame: what identities are in conflict is looked at when the plan rests.
ReviewOptions inFrame() {
    ReviewOptions o = quick();
    o.identities = false;
    return o;
}

struct Computation {
    GroundFiles ground;
    std::shared_ptr<const Terrain> terrain; ///< read for this one
    std::shared_ptr<const Study> study;
    Review review;
    std::optional<Error> error;
};

} // namespace

LiveStudy::LiveStudy(PlanDocument& document, JobBoard& jobs, QObject* parent)
    : QObject(parent), m_document(document), m_jobs(jobs) {
    connect(&document, &PlanDocument::planReplaced, this, &LiveStudy::planReplaced);
    connect(&document, &PlanDocument::planChanged, this, &LiveStudy::planChanged);
    m_painted.setSingleShot(true);
    connect(&m_painted, &QTimer::timeout, this, [this] { m_jobs.setInFrame(false); });
}

LiveStudy::~LiveStudy() = default;

const Ledger* LiveStudy::ledger() const { return m_shown ? &m_shown->live() : nullptr; }

std::optional<Fit> LiveStudy::fit(ItemId small) const {
    if (!m_shown || !m_shown->smallCell(small)) return std::nullopt;
    const auto known = m_fits.find(small);
    if (known != m_fits.end()) return known->second;
    Fit fit = fitOf(*m_shown, small);
    fit.buildable = !m_review.blocked(small);
    return m_fits.emplace(small, std::move(fit)).first->second;
}

void LiveStudy::show(std::shared_ptr<const Study> study, Review review) {
    m_shown = std::move(study);
    m_review = std::move(review);
    m_fits.clear();
    emit shownChanged();
}

void LiveStudy::setStale(bool stale) {
    if (m_stale == stale) return;
    m_stale = stale;
    emit stateChanged();
}

void LiveStudy::setSettling(bool settling) {
    if (m_settling == settling) return;
    m_settling = settling;
    emit settledChanged();
}

void LiveStudy::planReplaced() {
    m_jobs.cancel(kCompute);
    m_jobs.cancel(kSettle);
    m_jobs.cancel(kRemedies);
    m_wanted = m_dragging = m_unshown = false;
    m_computed.reset();
    m_lastFrame.reset();
    m_considered.reset();
    m_computedReview = {};
    m_settled.reset();
    m_settling = false;
    show(nullptr, {});
    emit settledChanged();
    setStale(m_document.isOpen());
    if (m_document.isOpen()) compute();
}

void LiveStudy::planChanged() {
    m_jobs.cancel(kSettle);
    m_jobs.cancel(kRemedies);
    m_unshown = false;
    setStale(true);
    setSettling(m_settled.has_value() || m_settling);
    // What runs is let finish: the next one shares its parts, and a key held down must not starve the
    // figures.
    m_wanted = m_jobs.runs(kCompute);
    if (!m_wanted) compute();
}

void LiveStudy::compute() {
    m_wanted = false;
    auto result = std::make_shared<Computation>();
    const auto before = m_computed;
    // Nothing is in view before the first one: it may have every core.
    const StudyOptions options{before ? spareThreads() : 0};
    result->ground = m_document.plan().settings->groundFiles();
    m_jobs.start(
        kCompute, tr("Computing"),
        [result, before, options, review = m_computedReview, plan = m_document.plan(),
         terrain = m_document.terrainIsRead() ? m_document.terrain() : nullptr,
         from = m_document.terrainFrom()](const Job& job) mutable {
            if (!terrain) {
                auto read = loadTerrain(plan, from);
                if (!read) {
                    result->error = read.error();
                    return;
                }
                terrain = result->terrain = *read;
            }
            auto study = Study::advance(before, std::move(plan), terrain, options, job);
            if (!study) {
                result->error = study.error();
                return;
            }
            result->study = *study;
            result->review = before ? reviewAfter(**study, std::move(review), *before, quick(), job)
                                    : reviewAll(**study, quick(), job);
        },
        [this, result](Outcome outcome) {
            if (result->terrain && outcome != Outcome::cancelled)
                m_document.takeTerrain(result->ground, result->terrain);
            if (outcome == Outcome::done && result->study)
                computed(result->study, std::move(result->review));
            else if (result->error && result->error->code != ErrorCode::cancelled)
                emit failed(QString::fromStdString(result->error->sentence()));
            else if (outcome == Outcome::failed)
                emit failed(
                    tr("The computation ended by a fault inside the program. Save the plan, and compute "
                       "again."));
            if (m_wanted) compute();
        },
        JobBoard::Manner::steady);
}

void LiveStudy::computed(std::shared_ptr<const Study> study, Review review) {
    m_computed = std::move(study);
    m_computedReview = std::move(review);
    m_lastFrame = m_computed;
    if (m_wanted) return; // the plan has moved on; the next one is shown
    m_unshown = true;
    if (!m_dragging)
        showComputed();
    else if (m_considered)
        consider(Hypothesis(*m_considered));
}

void LiveStudy::showComputed() {
    m_unshown = false;
    setStale(false);
    show(m_computed, m_computedReview);
    findRemedies();
    settleNow();
}

void LiveStudy::settleNow() {
    setSettling(true);
    auto result = std::make_shared<std::optional<Ledger>>();
    m_jobs.start(
        kSettle, tr("Settling the loads"),
        [result, study = m_computed](const Job& job) {
            if (auto ledger = settle(*study, job, spareThreads())) *result = std::move(*ledger);
            if (!job.stopped()) giveBackFreeMemory(); // the state before is gone by now
        },
        [this, result](Outcome outcome) {
            if (outcome != Outcome::done || !*result) return;
            m_settled = std::move(*result);
            m_settling = false;
            emit settledChanged();
        });
}

void LiveStudy::setFocus(ItemId item) {
    if (m_focus == item) return;
    m_focus = item;
    if (!m_stale && !m_dragging) findRemedies();
}

void LiveStudy::findRemedies() {
    m_jobs.cancel(kRemedies);
    const Plan& plan = m_document.plan();
    const bool reviewed =
        plan.mounts.find(m_focus) || plan.radios.find(m_focus) || plan.smallCells.find(m_focus);
    if (!m_computed || !reviewed) return;
    auto result = std::make_shared<Review>();
    m_jobs.start(
        kRemedies, tr("Looking for remedies"),
        [result, study = m_computed, only = m_focus](const Job& job) {
            ReviewOptions options;
            options.only = only;
            *result = reviewAll(*study, options, job);
        },
        [this, result, study = m_computed](Outcome outcome) {
            if (outcome == Outcome::done && study == m_computed && !m_dragging && !m_stale)
                takeRemedies(*result);
        },
        JobBoard::Manner::quiet);
}

void LiveStudy::takeRemedies(const Review& found) {
    bool any = false;
    for (const Finding& f : found.findings) {
        if (!f.remedy) continue;
        for (Finding& mine : m_computedReview.findings)
            if (mine.rule == f.rule && mine.subjects == f.subjects && mine.remedy != f.remedy) {
                mine.remedy = f.remedy;
                any = true;
            }
    }
    if (!any) return;
    m_review = m_computedReview;
    emit shownChanged();
}

void LiveStudy::beginDrag() {
    m_dragging = true;
    m_considered.reset();
    m_lastFrame = m_computed;
    m_jobs.setResting(true);
}

void LiveStudy::computeAhead(const QObject* owner, Ahead make) {
    m_ahead.emplace_back(owner, std::move(make));
    connect(owner, &QObject::destroyed, this,
            [this, owner] { std::erase_if(m_ahead, [&](const auto& a) { return a.first == owner; }); });
}

bool LiveStudy::consider(const Hypothesis& what) {
    m_considered = std::make_unique<Hypothesis>(what);
    if (!m_computed || m_wanted || (m_stale && !m_unshown)) return false;
    m_jobs.setInFrame(true);
    m_painted.start(0); // after painting, which is asked for by posting
    auto over = m_computed->overlay(what, &m_crew);
    std::vector<std::function<void()>> ahead;
    for (const auto& [owner, make] : m_ahead)
        if (auto work = make(over)) ahead.push_back(std::move(work));
    ahead.emplace_back([this] { m_goneFrame.reset(); });
    over->prepare(m_crew, ahead);
    // The frame before is what is in view, unless this is the first since the plan was computed.
    Review before = m_lastFrame == m_computed ? m_computedReview : std::move(m_review);
    Review review = reviewAfter(*over, std::move(before), *m_lastFrame, inFrame());
    m_goneFrame = std::exchange(m_lastFrame, over);
    show(std::move(over), std::move(review));
    return true;
}

void LiveStudy::endDrag(bool kept) {
    if (!m_dragging) return;
    m_dragging = false;
    m_considered.reset();
    m_lastFrame.reset();
    m_goneFrame.reset();
    m_jobs.setResting(false);
    if (kept && m_stale) return; // what was considered stays until the edit is computed
    if (m_unshown) {
        showComputed();
        return;
    }
    if (m_computed && m_shown != m_computed) show(m_computed, m_computedReview);
    if (!m_stale && m_settling && !m_jobs.runs(kSettle)) settleNow();
}

void LiveStudy::cancel() {
    m_wanted = false;
    m_jobs.cancel(kCompute);
    m_jobs.cancel(kSettle);
    // A ledger settled for an earlier plan would pass for this one's; the live one takes its place.
    if (m_settling) m_settled.reset();
    m_settling = false;
    emit settledChanged();
}

void LiveStudy::computeNow() {
    if (!m_document.isOpen() || m_jobs.runs(kCompute)) return;
    compute();
}

} // namespace fw
