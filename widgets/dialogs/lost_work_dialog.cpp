// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/lost_work_dialog.h"

#include "dialogs/dialog_parts.h"

#include <QDialogButtonBox>
#include <QLabel>
#include <QScrollArea>
#include <QVBoxLayout>

namespace fw {

LostWorkDialog::LostWorkDialog(QWidget* parent)
    : QDialog(parent), m_list(new LostWorkList), m_none(new QLabel(tr("Nothing was lost."))) {
    setWindowTitle(tr("Lost work"));
    auto* inside = new QWidget;
    auto* pieces = new QVBoxLayout(inside);
    pieces->setContentsMargins(16, 16, 16, 16);
    auto* about =
        new QLabel(tr("Every edit is kept on disk until the plan is saved. What a session that ended badly "
                      "left is listed here, the latest first."));
    about->setWordWrap(true);
    pieces->addWidget(about);
    pieces->addSpacing(8);
    pieces->addWidget(m_none);
    pieces->addWidget(m_list);
    pieces->addStretch(1);
    auto* scroll = new QScrollArea;
    scroll->setWidgetResizable(true);
    scroll->setFrameShape(QFrame::NoFrame);
    scroll->setAccessibleName(windowTitle());
    scroll->setWidget(inside);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    auto* column = new QVBoxLayout(this);
    column->addWidget(scroll, 1);
    column->addWidget(buttons);
    const int em = fontMetrics().height();
    openAtSize(*this, {em * 36, em * 24});
}

void LostWorkDialog::setWork(const std::vector<LostWork>& work) {
    m_list->setWork(work);
    m_none->setVisible(work.empty());
}

} // namespace fw
