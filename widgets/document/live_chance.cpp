// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/live_chance.h"

#include <algorithm>

namespace fw {
namespace {

const QString kChanceKey = QStringLiteral("chance");
constexpr int kCalmMs = 400; // edits that follow one another draw once

} // namespace

LiveChance::LiveChance(LiveStudy& live, JobBoard& jobs, QObject* parent)
    : QObject(parent), m_live(live), m_jobs(jobs) {
    m_calm.setSingleShot(true);
    m_calm.setInterval(kCalmMs);
    connect(&m_calm, &QTimer::timeout, this, &LiveChance::draw);
    connect(&live, &LiveStudy::settledChanged, this, &LiveChance::follow);
    connect(&live, &LiveStudy::stateChanged, this, &LiveChance::follow);
    connect(&live, &LiveStudy::shownChanged, this, [this] {
        if (!m_live.dragging())
            follow(); // a drag that was left brings the plan's own study back, settled as it was
        else if (m_study)
            drop();
    });
}

const CellChance* LiveChance::of(ItemId cell) const {
    if (!m_chance) return nullptr;
    const auto it = std::lower_bound(m_chance->cells.begin(), m_chance->cells.end(), cell,
                                     [](const CellChance& c, ItemId id) { return c.cell < id; });
    return it != m_chance->cells.end() && it->cell == cell ? &*it : nullptr;
}

void LiveChance::setWanted(const QObject* who, bool wanted) {
    const auto it = std::find(m_wanted.begin(), m_wanted.end(), who);
    if (wanted && it == m_wanted.end()) {
        m_wanted.push_back(who);
        if (m_wanted.size() == 1 && !m_chance) follow();
    }
    if (!wanted && it != m_wanted.end()) m_wanted.erase(it);
}

void LiveChance::follow() {
    const bool still = m_live.settled() && !m_live.settling() && !m_live.stale() && !m_live.dragging();
    if (still && m_study && m_study == m_live.study()) return; // there, or on its way
    drop();
    if (!still || m_wanted.empty()) return;
    m_study = m_live.study();
    m_calm.start();
}

void LiveChance::drop() {
    m_calm.stop();
    if (m_drawing) m_jobs.cancel(kChanceKey);
    const bool had = m_chance || m_drawing;
    m_chance.reset();
    m_study.reset();
    m_drawing = false;
    if (had) emit changed();
}

void LiveChance::draw() {
    if (!m_live.settled() || m_live.stale() || m_live.dragging() || m_study != m_live.study()) return;
    m_drawing = true;
    emit changed();
    ChanceOptions options;
    // On every core: it comes when all else has settled, so that nothing else is waited for, and it rests at
    // the next few draws when a button goes down.
    options.threads = 0;
    auto result = std::make_shared<std::optional<Chance>>();
    m_jobs.start(
        kChanceKey, tr("Drawing chances"),
        [result, options, study = m_study, ledger = *m_live.settled()](const Job& job) {
            if (auto chance = chanceOf(*study, ledger, options, job)) *result = std::move(*chance);
        },
        [this, result, study = m_study](Outcome outcome) {
            if (!m_drawing || study != m_study) return; // taken away meanwhile
            m_drawing = false;
            if (outcome == Outcome::done && *result) m_chance = std::move(*result);
            emit changed();
        });
}

} // namespace fw
