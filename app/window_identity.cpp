// SPDX-License-Identifier: GPL-3.0-or-later
// The window of the identity plan, from its action to what it opens.
#include "main_window.h"

#include "dialogs/identity_window.h"

#include <QAction>

namespace fw {

QAction* MainWindow::makeIdentityAction() {
    QAction* a = add("identities", tr("&Identity plan ..."));
    connect(a, &QAction::triggered, this, &MainWindow::openIdentities);
    return a;
}

void MainWindow::openIdentities() {
    if (!m_identities) {
        m_identities = new IdentityWindow(m_space, this);
        connect(m_identities, &IdentityWindow::workingWanted, this, &MainWindow::showWorking);
        connect(m_identities, &IdentityWindow::itemWanted, this,
                [this](ItemId item) { m_space.selection.setOne(item); });
        connect(m_identities, &IdentityWindow::said, this,
                [this](const QString& sentence) { m_notice->say(sentence, NoticeLine::Tone::plain); });
    }
    m_identities->show();
    m_identities->raise();
    m_identities->activateWindow();
}

} // namespace fw
