// SPDX-License-Identifier: GPL-3.0-or-later
// How the window of choosing looks.
#include "bench/panel_looks.h"
#include "charts/choice_curve.h"
#include "dialogs/choice_goal.h"
#include "dialogs/choice_window.h"
#include "dialogs/dialog_parts.h"

#include <QHBoxLayout>
#include <QHeaderView>
#include <QProgressBar>
#include <QSplitter>
#include <QTabWidget>
#include <QTableWidget>
#include <QVBoxLayout>

namespace fw {

void ChoiceWindow::makeWindow() {
    setWindowTitle(tr("Choose a set"));
    setWindowFlag(Qt::Window);
    auto* page = new QVBoxLayout(this);
    auto* parts = new QSplitter(Qt::Horizontal, this);
    parts->setChildrenCollapsible(false);
    auto* left = new QWidget(parts);
    auto* column = new QVBoxLayout(left);
    column->setContentsMargins(0, 0, 0, 0);
    auto* scroll = new TallPage(left);
    scroll->setWidget(m_goal);
    m_start = plainButton(tr("Start the searc&h"), left);
    column->addWidget(scroll, 1);
    column->addWidget(m_start);
    parts->addWidget(left);
    parts->addWidget(makeResult());
    parts->setStretchFactor(0, 0);
    parts->setStretchFactor(1, 1);
    page->addWidget(parts, 1);
    m_variant = plainButton(tr("As a new &variant ..."), this);
    m_apply = plainButton(tr("&Apply"), this);
    m_apply->setToolTip(tr("Puts the set into the active variant, as one step"));
    const DialogFoot foot = dialogFoot(*this, {m_variant, m_apply});
    m_bar = foot.bar;
    m_stop = foot.stop;
    m_stop->setToolTip(tr("Ends the search and keeps the best found so far"));
    page->addWidget(foot.box);
    const int em = fontMetrics().averageCharWidth();
    openAtSize(*this, {em * 190, fontMetrics().height() * 46});
    parts->setSizes({em * 62, em * 124});
}

QTableWidget* ChoiceWindow::makeTable(const QString& name, const QStringList& heads) {
    auto* t = new QTableWidget(0, static_cast<int>(heads.size()), m_tabs);
    t->setAccessibleName(name);
    t->setHorizontalHeaderLabels(heads);
    lookLikeTable(*t);
    t->setSelectionMode(QAbstractItemView::SingleSelection);
    t->setEditTriggers(QAbstractItemView::NoEditTriggers);
    t->setTabKeyNavigation(false);
    t->horizontalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    return t;
}

QWidget* ChoiceWindow::makeResult() {
    auto* box = new QWidget(this);
    auto* column = new QVBoxLayout(box);
    column->setContentsMargins(0, 0, 0, 0);
    m_state = sentenceLabel(box);
    m_state->setAccessibleName(tr("How it goes"));
    m_curve = new ChoiceCurve(box);
    m_verdict = verdictLabel(box);
    m_verdict->setAccessibleName(tr("What came of it"));
    m_remarks = sentenceLabel(box);
    m_remarks->setAccessibleName(tr("Remarks"));
    lookSoft(*m_remarks);
    m_tabs = new QTabWidget(box);
    m_figures = makeTable(tr("Figures of the choice"), {tr("What"), tr("Figure"), tr("What it is")});
    m_chosen = makeTable(tr("Chosen mounts"), {tr("Mount"), tr("Looks, true"), tr("In for, points"),
                                               tr("Alone, points"), tr("Cost"), tr("Why")});
    m_targets = makeTable(tr("Loads expected"),
                          {tr("Cell"), tr("Before"), tr("After, settled"), tr("Target"),
                           tr("Relief settled, points"), tr("Relief of round 0, points"), tr("Comes out")});
    m_tabs->addTab(m_figures, tr("&Figures"));
    m_tabs->addTab(m_chosen, tr("&Chosen"));
    m_tabs->addTab(m_targets, tr("Loads e&xpected"));
    m_working = plainButton(tr("&Working ..."), box);
    m_working->setToolTip(tr("The steps behind the chosen row"));
    m_tabs->setCornerWidget(m_working);
    column->addWidget(m_state);
    column->addWidget(m_curve, 2);
    column->addWidget(m_verdict);
    column->addWidget(m_tabs, 3);
    column->addWidget(m_remarks);
    return box;
}

void ChoiceWindow::connectParts() {
    connect(&m_run, &ChoiceRun::changed, this, &ChoiceWindow::runChanged);
    connect(&m_run, &ChoiceRun::curveChanged, this, &ChoiceWindow::curveChanged);
    connect(&m_run, &ChoiceRun::resultChanged, this, &ChoiceWindow::resultChanged);
    connect(&m_space.live, &LiveStudy::stateChanged, this, &ChoiceWindow::runChanged);
    connect(m_goal, &ChoiceGoalForm::changed, this, [this] {
        m_said.clear();
        runChanged();
    });
    connect(m_start, &QPushButton::clicked, this, &ChoiceWindow::start);
    connect(m_stop, &QPushButton::clicked, &m_run, &ChoiceRun::stop);
    connect(m_apply, &QPushButton::clicked, this, &ChoiceWindow::apply);
    connect(m_variant, &QPushButton::clicked, this, &ChoiceWindow::askForVariant);
    connect(m_working, &QPushButton::clicked, this, &ChoiceWindow::openWorking);
    connect(m_tabs, &QTabWidget::currentChanged, this, &ChoiceWindow::runChanged);
    connect(m_chosen, &QTableWidget::itemSelectionChanged, this, &ChoiceWindow::rowChosen);
    connect(m_targets, &QTableWidget::itemSelectionChanged, this, &ChoiceWindow::rowChosen);
    for (QTableWidget* t : {m_figures, m_chosen, m_targets})
        connect(t, &QTableWidget::itemActivated, this, &ChoiceWindow::openWorking);
}

} // namespace fw
