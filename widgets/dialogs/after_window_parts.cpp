// SPDX-License-Identifier: GPL-3.0-or-later
// How the window of load after building looks.
#include "dialogs/after_window.h"

#include "bench/panel_looks.h"
#include "charts/relief_chart.h"
#include "dialogs/dialog_parts.h"
#include "dialogs/mapping_table.h"
#include "dialogs/remark_list.h"

#include <QFileDialog>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QProgressBar>
#include <QPushButton>
#include <QScrollArea>
#include <QTabWidget>
#include <QVBoxLayout>

namespace fw {

void AfterWindow::makeWindow() {
    setWindowTitle(tr("Load after building"));
    auto* page = new QVBoxLayout(this);
    page->addWidget(makeFiles());
    m_state = verdictLabel(this);
    m_state->setAccessibleName(tr("What came of it"));
    m_stages = sentenceLabel(this);
    m_stages->setAccessibleName(tr("How far the days carry"));
    lookSoft(*m_stages);
    m_questions = new RemarkList(this);
    page->addWidget(m_state);
    page->addWidget(m_stages);
    page->addWidget(m_questions);
    page->addWidget(makeTabs(), 1);
    page->addWidget(makeLesson());
    page->addWidget(makeFoot());
    connect(m_questions, &RemarkList::asked, this, &AfterWindow::asked);
    const int em = fontMetrics().averageCharWidth();
    openAtSize(*this, QSize(em * 118, fontMetrics().height() * 36));
    m_after->setFocus();
}

QLineEdit* AfterWindow::fileRow(QFormLayout& form, const QString& label, const QString& name,
                                const QString& empty) {
    auto* line = new QLineEdit(this);
    line->setPlaceholderText(empty);
    line->setClearButtonEnabled(true);
    line->setAccessibleName(name);
    auto* choose = plainButton(tr("Choose ..."), this);
    choose->setAccessibleName(tr("Choose: %1").arg(name));
    auto* row = new QHBoxLayout;
    row->addWidget(line, 1);
    row->addWidget(choose);
    form.addRow(label, row);
    static_cast<QLabel*>(form.labelForField(row))->setBuddy(line);
    connect(choose, &QPushButton::clicked, this, [this, line, name] {
        const QString file = QFileDialog::getOpenFileName(this, name);
        if (file.isEmpty()) return;
        line->setText(file);
        emit line->editingFinished();
    });
    return line;
}

QWidget* AfterWindow::makeFiles() {
    auto* box = new QWidget(this);
    auto* form = new QFormLayout(box);
    form->setContentsMargins(0, 0, 0, 0);
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    m_after = fileRow(*form, tr("Counters &after"), tr("Counters after"),
                      tr("a table with a row an hour and cell"));
    m_before = fileRow(*form, tr("Counters &before"), tr("Counters before"),
                       tr("in the same file, or as the plan keeps them"));
    m_onAir = new QLineEdit(box);
    m_onAir->setPlaceholderText(tr("YYYY-MM-DD"));
    m_onAir->setAccessibleName(tr("Day on air"));
    m_onAir->setMaximumWidth(fontMetrics().averageCharWidth() * 20);
    m_onAirSays = sentenceLabel(box);
    m_onAirSays->setText(tr("Days before it are before, days behind it after."));
    lookSoft(*m_onAirSays);
    auto* row = new QHBoxLayout;
    row->addWidget(m_onAir);
    row->addWidget(m_onAirSays, 1);
    form->addRow(tr("On air &since"), row);
    static_cast<QLabel*>(form->labelForField(row))->setBuddy(m_onAir);
    connect(m_after, &QLineEdit::editingFinished, this, [this] { setAfter(m_after->text().trimmed()); });
    connect(m_before, &QLineEdit::editingFinished, this, [this] { setBefore(m_before->text().trimmed()); });
    connect(m_onAir, &QLineEdit::editingFinished, this, &AfterWindow::onAirEntered);
    return box;
}

QWidget* AfterWindow::makeTabs() {
    m_tabs = new QTabWidget(this);
    m_chart = new ReliefChart(m_tabs);
    auto* untouched = new QWidget(m_tabs);
    auto* column = new QVBoxLayout(untouched);
    m_controlsSays = sentenceLabel(untouched);
    lookSoft(*m_controlsSays);
    m_controls = new QListWidget(untouched);
    m_controls->setAccessibleName(tr("Untouched cells"));
    m_controls->setFrameShape(QFrame::NoFrame);
    lookLikePanel(*m_controls);
    column->addWidget(m_controlsSays);
    column->addWidget(m_controls, 1);
    auto* scroll = new QScrollArea(m_tabs);
    scroll->setFrameShape(QFrame::NoFrame);
    scroll->setWidgetResizable(true);
    auto* inside = new QWidget(scroll);
    auto* rows = new QVBoxLayout(inside);
    m_remarks = new RemarkList(inside);
    rows->addWidget(m_remarks);
    rows->addStretch(1);
    scroll->setWidget(inside);
    m_mapping = new MappingTable(m_tabs);
    m_tabs->addTab(m_chart, tr("&Relieved cells"));
    m_tabs->addTab(untouched, tr("&Untouched cells"));
    m_tabs->addTab(scroll, tr("R&emarks"));
    m_tabs->addTab(m_mapping, tr("&Columns"));
    connect(m_chart, &ReliefChart::cellChosen, this, [this](ItemId cell) { m_space.selection.setOne(cell); });
    connect(m_chart, &ReliefChart::workingWanted, this, [this](ItemId cell) {
        if (m_acceptance) emit workingWanted(workingOf(m_space.document.plan(), *m_acceptance, cell));
    });
    connect(m_mapping, &MappingTable::asked, this, &AfterWindow::asked);
    return m_tabs;
}

QWidget* AfterWindow::makeLesson() {
    auto* box = new QWidget(this);
    auto* row = new QHBoxLayout(box);
    row->setContentsMargins(0, 0, 0, 0);
    m_lessonSays = sentenceLabel(box);
    m_lessonSays->setAccessibleName(tr("What was learnt"));
    m_take = plainButton(tr("Take the &lesson"), box);
    row->addWidget(m_lessonSays, 1);
    row->addWidget(m_take, 0, Qt::AlignTop);
    connect(m_take, &QPushButton::clicked, this, &AfterWindow::takeLesson);
    return box;
}

QWidget* AfterWindow::makeFoot() {
    m_steps = plainButton(tr("Ste&ps behind a figure ..."), this);
    m_ratioSteps = plainButton(tr("Steps behind the rati&o ..."), this);
    const DialogFoot foot = dialogFoot(*this, {m_steps, m_ratioSteps});
    m_bar = foot.bar;
    m_stop = foot.stop;
    connect(m_stop, &QPushButton::clicked, this, &AfterWindow::stop);
    connect(m_steps, &QPushButton::clicked, this, [this] {
        const auto at = static_cast<std::size_t>(std::max(0, m_chart->currentRow()));
        if (m_acceptance && at < m_chart->rows().size())
            emit m_chart->workingWanted(m_chart->rows()[at].cell);
    });
    connect(m_ratioSteps, &QPushButton::clicked, this, [this] {
        if (m_acceptance) emit workingWanted(workingOfRatio(m_space.document.plan(), *m_acceptance));
    });
    return foot.box;
}

} // namespace fw
