// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/live_aim.h"

#include <QCoreApplication>
#include <QPointer>
#include <QVariant>

#include <algorithm>
#include <cmath>
#include <utility>

namespace fw {

namespace {

const QString kJob = QStringLiteral("aim"), kFollow = QStringLiteral("aim of the dragged");
constexpr int kSoonMs = 120; // a key held down asks once

// The second pass asks every tilt at every degree. A program that checks every access leaves it out: there it
// takes minutes.
bool fineToo() { return !QCoreApplication::instance()->property("coarseAim").toBool(); }

} // namespace

LiveAim::LiveAim(PlanDocument& document, Selection& selection, LiveStudy& live, JobBoard& jobs,
                 QObject* parent)
    : QObject(parent), m_document(document), m_selection(selection), m_live(live), m_jobs(jobs) {
    m_soon.setSingleShot(true);
    m_soon.setInterval(kSoonMs);
    connect(&m_soon, &QTimer::timeout, this, [this] { compute(kCoarseDeg); });
    connect(&live, &LiveStudy::shownChanged, this, &LiveAim::look);
    connect(&live, &LiveStudy::stateChanged, this, &LiveAim::look);
    connect(&selection, &Selection::changed, this, &LiveAim::look);
}

bool LiveAim::stale() const {
    if (!m_live.dragging()) return m_followed || m_live.stale() || m_study != m_live.study();
    const Hypothesis* what = m_live.considered();
    const Chain chain = chainOf(m_document.plan(), m_small);
    if (!what) return m_study != m_live.computedStudy();
    if (what->mount) return !m_followed || what->mount->id != chain.mount;
    // Turned: it says what every azimuth of its own radio brings, but of nobody else's.
    return !what->radio || what->radio->id != chain.radio || m_study != m_live.computedStudy();
}

void LiveAim::setWanted(const QObject* who, bool wanted) {
    const auto it = std::find(m_wanted.begin(), m_wanted.end(), who);
    if (wanted == (it != m_wanted.end())) return;
    if (wanted)
        m_wanted.push_back(who);
    else
        m_wanted.erase(it);
    look();
}

void LiveAim::drop() {
    const bool had = m_aim.has_value();
    m_aim.reset();
    m_study.reset();
    m_followed = false;
    m_small = {};
    m_fine = false;
    if (had) emit changed();
}

void LiveAim::look() {
    const Chain chain = chainOf(m_document.plan(), m_selection.primary());
    const auto& study = m_live.study();
    const bool wanted = study && chain.smallCell && !m_wanted.empty();
    if (!wanted || (m_small && m_small != chain.smallCell)) drop();
    if (!wanted) {
        m_soon.stop();
        m_asked.reset();
        m_jobs.cancel(kJob);
        m_jobs.cancel(kFollow);
        return;
    }
    if (m_live.dragging()) {
        follow(chain);
        return;
    }
    m_jobs.cancel(kFollow);
    if (std::exchange(m_followed, false)) m_study.reset();
    if (m_live.stale()) return;
    const bool known = m_study == study && m_small == chain.smallCell;
    const bool coming = m_asked == study && m_askedSmall == chain.smallCell;
    if (!known && !coming) m_soon.start();
}

// One place after another: the newest once the one before is through.
void LiveAim::follow(const Chain& chain) {
    const Hypothesis* what = m_live.considered();
    const auto& base = m_live.computedStudy();
    if (!what || !what->mount || what->mount->id != chain.mount || !base || m_live.stale()) return;
    if (m_jobs.runs(kFollow) || (m_followed && m_followedMount == *what->mount)) return;
    Plan plan = m_document.plan();
    Edit there{"", {Put{*what->mount}}};
    if (what->radio) there.changes.emplace_back(Put{*what->radio});
    for (const Radio& r : what->otherRadios) there.changes.emplace_back(Put{r});
    if (!apply(plan, there)) return;
    m_followedMount = *what->mount;
    auto made = std::make_shared<std::optional<Aim>>();
    m_jobs.start(
        kFollow, tr("Looking round from a radio"),
        [made, base, plan = std::move(plan), small = chain.smallCell](const Job& job) mutable {
            const auto study = Study::advance(base, std::move(plan), base->terrain(), {1}, job);
            const SmallCellPart* part = study ? (*study)->smallCell(small) : nullptr;
            if (!part) return;
            if (auto aim = aimOf(**study, small, {kCoarseDeg, {part->tiltDeg}, 1}, job))
                *made = std::move(*aim);
        },
        [this, made, chain, self = QPointer<LiveAim>(this)](Outcome outcome) {
            if (!self || outcome != Outcome::done || !*made || !m_live.dragging()) return;
            m_aim = std::move(*made);
            m_small = chain.smallCell;
            m_study.reset();
            m_fine = false;
            m_followed = true;
            emit changed();
            look();
        },
        JobBoard::Manner::aside);
}

void LiveAim::compute(double stepDeg) {
    const Chain chain = chainOf(m_document.plan(), m_selection.primary());
    const auto study = m_live.study();
    if (!study || !chain.smallCell || m_live.dragging() || m_live.stale()) return;
    m_asked = study;
    m_askedSmall = chain.smallCell;
    auto made = std::make_shared<std::optional<Aim>>();
    m_jobs.start(
        kJob, tr("Looking round from a radio"),
        [made, study, stepDeg, small = chain.smallCell](const Job& job) {
            AimOptions options{stepDeg, {}, 1};
            // The first answer is of the present tilt: it comes in a blink.
            const SmallCellPart* part = study->smallCell(small);
            if (stepDeg >= kCoarseDeg && part) options.tiltsDeg = {part->tiltDeg};
            if (auto aim = aimOf(*study, small, options, job)) *made = std::move(*aim);
        },
        [this, made, study, stepDeg, chain, self = QPointer<LiveAim>(this)](Outcome outcome) {
            if (!self || m_asked != study || m_askedSmall != chain.smallCell) return;
            m_asked.reset();
            if (outcome != Outcome::done || !*made) return;
            m_aim = std::move(*made);
            m_small = chain.smallCell;
            m_study = study;
            m_fine = stepDeg < kCoarseDeg;
            if (!m_fine && fineToo()) compute(1);
            emit changed();
        },
        JobBoard::Manner::quiet);
}

std::vector<AimPoint> LiveAim::bearings() const {
    std::vector<AimPoint> out;
    if (!m_aim) return out;
    const std::size_t every = m_fine ? static_cast<std::size_t>(kCoarseDeg) : 1;
    for (std::size_t k = 0; k < m_aim->rose.size(); k += every) out.push_back(m_aim->rose[k]);
    return out;
}

std::optional<AimPoint> LiveAim::nextLobe() const {
    if (!m_aim || m_aim->lobes.empty()) return std::nullopt;
    const auto& lobes = m_aim->lobes;
    const Radio* radio = m_document.plan().radios.find(m_aim->radio);
    for (std::size_t k = 0; radio && k < lobes.size(); ++k)
        if (std::fabs(wrap180(lobes[k].azimuth.deg - radio->azimuth.deg)) < 0.5)
            return lobes[(k + 1) % lobes.size()];
    return lobes.front();
}

} // namespace fw
