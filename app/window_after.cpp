// SPDX-License-Identifier: GPL-3.0-or-later
// The window of load after building, from its action to what it opens.
#include "main_window.h"

#include "bench/stage_table.h"
#include "dialogs/after_window.h"

#include <QAction>

namespace fw {

QAction* MainWindow::makeAfterAction() {
    QAction* a = add("afterLoad", tr("&Load after building ..."));
    connect(a, &QAction::triggered, this, &MainWindow::openAfter);
    m_tables[static_cast<std::size_t>(Stage::asBuilt)]->setActions({a});
    return a;
}

void MainWindow::openAfter() {
    if (!m_after) {
        m_after = new AfterWindow(m_space, this);
        connect(m_after, &AfterWindow::workingWanted, this, &MainWindow::showWorking);
    }
    m_after->show();
    m_after->raise();
    m_after->activateWindow();
}

} // namespace fw
