// SPDX-License-Identifier: GPL-3.0-or-later
// Aiming the chosen radio by key: the best lobe, and the next one.
#include "main_window.h"

#include "document/workspace.h"

#include <QAction>

namespace fw {

QList<QAction*> MainWindow::makeAimActions() {
    QAction* best = add("aimBest", tr("Aim at the &best lobe"), {QKeySequence(Qt::Key_B)});
    QAction* next = add("aimNext", tr("Aim at the next best &lobe"), {QKeySequence(Qt::SHIFT | Qt::Key_B)});
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

} // namespace fw
