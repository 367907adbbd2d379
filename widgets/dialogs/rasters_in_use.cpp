// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/rasters_in_use.h"

#include "dialogs/dialog_parts.h"
#include "store/plan_terrain.h"

#include <QGridLayout>
#include <QLabel>

namespace fw {

namespace {

constexpr RasterUse kUsesInOrder[] = {RasterUse::height, RasterUse::demand, RasterUse::landCover};

QString fileOf(const GroundFiles& files, RasterUse use) {
    return QString::fromStdString(use == RasterUse::height   ? files.terrain.file
                                  : use == RasterUse::demand ? files.demandRaster.file
                                                             : files.landCover.file);
}

QString nameOf(RasterUse use) {
    return use == RasterUse::height   ? RastersInUse::tr("Ground heights")
           : use == RasterUse::demand ? RastersInUse::tr("Demand")
                                      : RastersInUse::tr("Land cover");
}

QString meaningOf(RasterUse use) {
    return use == RasterUse::height ? RastersInUse::tr("Stands on flat ground from then on; the file stays")
           : use == RasterUse::demand
               ? RastersInUse::tr("Demand follows floor area and open ground from then on; the file stays")
               : RastersInUse::tr("Open ground is weighed as street, yard or water from "
                                  "then on; the file stays");
}

} // namespace

RastersInUse::RastersInUse(Workspace& space, QWidget* parent)
    : QWidget(parent), m_space(space), m_lines(new QGridLayout(this)) {
    setAccessibleName(tr("Rasters in use"));
    m_lines->setContentsMargins(0, 4, 0, 0);
    m_lines->setColumnStretch(0, 1);
    m_lines->addWidget(new QLabel(tr("Rasters in use"), this), 0, 0, 1, 2);
    connect(&space.document, &PlanDocument::planChanged, this, &RastersInUse::refresh);
    connect(&space.document, &PlanDocument::planReplaced, this, &RastersInUse::refresh);
    refresh();
}

QString RastersInUse::text(RasterUse use) const {
    const QString file = fileOf(m_shown, use);
    //: %1 what a raster is of, %2 its file
    return file.isEmpty() ? QString() : tr("%1: %2").arg(nameOf(use), file);
}

QPushButton* RastersInUse::leaveButton(RasterUse use) const {
    for (const auto& [of, button] : m_buttons)
        if (of == use) return button;
    return nullptr;
}

void RastersInUse::refresh() {
    const bool open = m_space.document.isOpen();
    const GroundFiles now = open ? m_space.document.plan().settings->groundFiles() : GroundFiles{};
    const bool readOnly = open && m_space.document.readOnly();
    if (now == m_shown && readOnly == m_readOnly && !m_buttons.empty()) return;
    m_shown = now;
    m_readOnly = readOnly;
    m_buttons.clear();
    // The button that was pressed is among them: they go once it has been let go.
    while (QLayoutItem* item = m_lines->itemAt(1)) {
        m_lines->removeItem(item);
        if (item->widget()) {
            item->widget()->hide();
            item->widget()->deleteLater();
        }
        delete item;
    }
    int line = 1;
    for (const RasterUse use : kUsesInOrder) {
        if (text(use).isEmpty()) continue;
        QLabel* says = sentenceLabel(this);
        says->setText(text(use));
        QPushButton* button = plainButton(tr("Leave"), this);
        button->setAccessibleName(tr("Leave %1").arg(text(use)));
        button->setToolTip(readOnly ? tr("The plan is open for reading only") : meaningOf(use));
        button->setEnabled(!readOnly);
        connect(button, &QPushButton::clicked, this, [this, use] { leave(use); });
        m_lines->addWidget(says, line, 0);
        m_lines->addWidget(button, line, 1, Qt::AlignTop);
        m_buttons.emplace_back(use, button);
        ++line;
    }
    setVisible(!m_buttons.empty());
}

void RastersInUse::leave(RasterUse use) {
    const Edit edit = leaveRaster(m_space.document.plan(), use);
    if (!edit.changes.empty()) (void)m_space.document.perform(edit);
}

} // namespace fw
