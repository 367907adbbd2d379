// SPDX-License-Identifier: GPL-3.0-or-later
// By key: the chosen radio to its best lobe and the next one; an owner's refusal to the next best mount.
#include "main_window.h"

#include "document/workspace.h"
#include "siting/alternates.h"
#include "text/figures.h"

#include <QAction>

namespace fw {

QList<QAction*> MainWindow::makeAimActions() {
    QAction* best = add("aimBest", tr("Aim at the &best lobe"), {QKeySequence(Qt::Key_B)});
    QAction* next = add("aimNext", tr("Ai&m at the next best lobe"), {QKeySequence(Qt::SHIFT | Qt::Key_B)});
    const auto take = [this](const std::optional<AimPoint>& to) {
        const Aim* aim = m_space.aim.aim();
        if (!aim || !to || m_space.aim.stale()) return;
        if (const auto edit = aimEdit(m_space.document.plan(), aim->radio, *to))
            if (const Status done = m_space.document.perform(*edit); !done)
                m_notice->say(QString::fromStdString(done.error().sentence()), NoticeLine::Tone::trouble);
    };
    connect(best, &QAction::triggered, this, [this, take] {
        const Aim* aim = m_space.aim.aim();
        take(aim && !aim->lobes.empty() ? std::optional(aim->lobes.front()) : std::nullopt);
    });
    connect(next, &QAction::triggered, this, [this, take] { take(m_space.aim.nextLobe()); });
    const auto able = [this, best, next] {
        const Aim* aim = m_space.aim.aim();
        const bool can = aim && !aim->lobes.empty() && !m_space.aim.stale() && !m_space.document.readOnly();
        best->setEnabled(can);
        next->setEnabled(can && aim->lobes.size() > 1);
    };
    connect(&m_space.aim, &LiveAim::changed, this, able);
    connect(&m_space.live, &LiveStudy::stateChanged, this, able);
    able();
    return {best, next};
}

QAction* MainWindow::makeRefusalAction() {
    QAction* refusal = add("refusedNextBest", tr("Refused: ne&xt best"), {QKeySequence(Qt::Key_R)});
    connect(refusal, &QAction::triggered, this, [this] {
        const Chain chain = chainOf(m_space.document.plan(), m_space.selection.primary());
        const auto study = m_space.live.study();
        if (!chain.smallCell || !study || m_space.live.stale() || m_space.document.readOnly()) {
            m_notice->say(tr("Choose the small cell, or its mount, whose owner refused."),
                          NoticeLine::Tone::plain);
            return;
        }
        auto made = std::make_shared<std::optional<Alternates>>();
        m_space.jobs.start(
            QStringLiteral("alternates"), tr("Looking for other mounts"),
            [made, study, small = chain.smallCell](const Job& job) {
                if (auto found = alternatesFor(study, small, {}, job)) *made = std::move(*found);
            },
            [this, made, study](Outcome outcome) {
                if (outcome == Outcome::done && *made && study == m_space.live.study()) answerRefusal(**made);
            });
    });
    return refusal;
}

void MainWindow::answerRefusal(const Alternates& found) {
    const Plan& plan = m_space.document.plan();
    const bool some = !found.list.empty() && !found.list.front().blocked;
    const auto edit =
        some ? refusalEdit(plan, found.mount, found.list.front()) : refusalEdit(plan, found.mount);
    const Status done = edit ? m_space.document.perform(*edit) : Status(edit.error());
    const auto name = [&](ItemId id) { return QString::fromStdString(m_space.document.plan().label(id)); };
    const auto undo = [this] { m_space.document.history().undo(); };
    if (!done) {
        m_notice->say(QString::fromStdString(done.error().sentence()), NoticeLine::Tone::trouble);
    } else if (some) {
        const Alternate& to = found.list.front();
        m_space.selection.setOne(to.mount);
        m_notice->say(tr("%1 is refused. %2 goes to %3, %4 off: fit %5 of %6 kept.")
                          .arg(name(found.mount), name(found.small), name(to.mount), distance(to.metres),
                               figure(to.fit, {}, 0), figure(found.fit, {}, 0)),
                      NoticeLine::Tone::plain, tr("Undo"), undo);
    } else {
        m_notice->say(tr("%1 is refused and no open mount is near: %2 is left out.")
                          .arg(name(found.mount), name(found.small)),
                      NoticeLine::Tone::plain, tr("Undo"), undo);
    }
}

} // namespace fw
