// SPDX-License-Identifier: GPL-3.0-or-later
// What the window wires of choosing a set: its ghosts on the map, its rows as the selection.
#include "main_window.h"

#include "bench/findings_panel.h"
#include "dialogs/choice_window.h"
#include "document/place_of.h"

#include <QAction>

namespace fw {

QAction* MainWindow::makeChooseAction() {
    QAction* a = add("choose", tr("C&hoose a set ..."), {QKeySequence(Qt::Key_C)});
    connect(a, &QAction::triggered, this, &MainWindow::openChoice);
    return a;
}

void MainWindow::openChoice() {
    if (!m_choice) {
        m_choice = new ChoiceWindow(m_space, m_data.costs, this);
        const auto show = [this] { m_map->setGhosts(m_choice->ghosts()); };
        connect(m_choice, &ChoiceWindow::ghostsChanged, this, show);
        // Another selection takes proposals off the map; what is chosen here stays while the window is open.
        connect(&m_space.selection, &Selection::changed, m_choice, [this, show] {
            if (m_choice->isVisible()) show();
        });
        connect(m_bench->findings(), &FindingsPanel::proposed, m_choice, [this, show](const Ghosts& ghosts) {
            if (ghosts.empty() && m_choice->isVisible()) show();
        });
        connect(m_choice, &ChoiceWindow::itemWanted, this, [this](ItemId item) {
            if (const auto at = placeOf(m_space.document.plan(), item)) m_map->reveal(*at);
        });
        connect(m_choice, &ChoiceWindow::workingWanted, this, &MainWindow::showWorking);
    }
    m_choice->show();
    m_choice->raise();
    m_choice->activateWindow();
}

} // namespace fw
