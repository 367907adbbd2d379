// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/choice_goal.h"

#include "bench/panel_looks.h"
#include "dialogs/cost_table.h"
#include "dialogs/dialog_parts.h"
#include "review/limits.h"
#include "text/figures.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLineEdit>
#include <QListWidget>
#include <QLocale>
#include <QSignalBlocker>
#include <QVBoxLayout>

#include <algorithm>

namespace fw {

namespace {

constexpr int kMostCells = 6; // rows of the list seen at once

Error refused(const QString& text) { return {ErrorCode::badInput, text.toStdString(), {}}; }

} // namespace

ChoiceGoalForm::ChoiceGoalForm(Workspace& space, std::filesystem::path installed, QWidget* parent)
    : QWidget(parent), m_space(space), m_installed(std::move(installed)),
      m_own(ownCostTable().toStdString()) {
    makeParts();
    connect(&space.live, &LiveStudy::shownChanged, this, &ChoiceGoalForm::fillCells);
    connect(&space.document, &PlanDocument::planReplaced, this, [this] {
        m_ticked.clear();
        m_unticked.clear();
        fillCells();
    });
    connect(m_goal, &QComboBox::currentIndexChanged, this, &ChoiceGoalForm::goalChanged);
    connect(m_counted, &QComboBox::currentIndexChanged, this, &ChoiceGoalForm::goalChanged);
    connect(m_budget, &QSpinBox::valueChanged, this, [this](int v) {
        m_budgets[static_cast<std::size_t>(std::max(0, m_counted->currentIndex()))] = v;
    });
    connect(m_cells, &QListWidget::itemChanged, this, &ChoiceGoalForm::cellTicked);
    showTable();
    goalChanged();
    fillCells();
}

template <class Box>
Box* ChoiceGoalForm::spin(const QString& name, const QString& suffix, double low, double high, double value) {
    auto* box = new Box(this);
    using V = decltype(box->value());
    box->setRange(static_cast<V>(low), static_cast<V>(high));
    box->setValue(static_cast<V>(value));
    box->setSuffix(suffix);
    box->setGroupSeparatorShown(true);
    box->setAccessibleName(name);
    return box;
}

void ChoiceGoalForm::makeParts() {
    auto* form = new QFormLayout(this);
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    form->setRowWrapPolicy(QFormLayout::WrapLongRows);
    m_goal = new QComboBox(this);
    m_goal->addItems({tr("Most relief for a budget"), tr("Every target at least cost")});
    m_goal->setAccessibleName(tr("Goal"));
    m_counted = new QComboBox(this);
    m_counted->addItems({tr("New radios"), tr("Money")});
    m_counted->setAccessibleName(tr("Cost counted in"));
    m_budget = spin<QSpinBox>(tr("Budget"), {}, 0, 2'000'000'000, m_budgets[0]);
    m_chance = spin<QSpinBox>(tr("Chance to reach each target"), tr(" %"), 0, 99, 0);
    m_chance->setSpecialValueText(tr("not asked"));
    m_chance->setToolTip(
        tr("Shadowing, demand, azimuths and tilts are drawn as they may really be; each target is reached in "
           "that share of the draws, with as many more radios as that takes."));
    m_cells = new QListWidget(this);
    m_cells->setAccessibleName(tr("Cells to relieve"));
    m_cells->setFixedHeight(fontMetrics().height() * 3 / 2 * kMostCells);
    m_cellsSay = sentenceLabel(this);
    m_spacing = spin<QDoubleSpinBox>(tr("Spacing of mounts"), tr(" m"), 0, 2000, ChoiceAsk{}.spacingM);
    m_spacing->setDecimals(0);
    m_perMount = spin<QSpinBox>(tr("Radios on a mount"), {}, 1, 4, 1);
    m_perStreet = spin<QSpinBox>(tr("Radios in a street"), {}, 0, 1000, 0);
    m_perStreet->setSpecialValueText(tr("no limit"));
    m_consent = new QCheckBox(tr("Only mounts whose owner ag&reed"), this);
    m_keep = new QCheckBox(tr("Small cells chosen so far sta&y, and cost nothing"), this);
    m_keep->setChecked(true);
    m_facing = sentenceLabel(this);
    m_seed = spin<QSpinBox>(tr("Seed"), {}, 0, 2'000'000'000, 1);
    m_iterations =
        spin<QSpinBox>(tr("Iterations of the search"), {}, 0, 1'000'000, ChooseOptions{}.iterations);
    form->addRow(tr("&Goal"), m_goal);
    form->addRow(tr("Counted i&n"), m_counted);
    form->addRow(tr("&Budget"), m_budget);
    m_budgetName = qobject_cast<QLabel*>(form->labelForField(m_budget));
    form->addRow(tr("At a c&hance of"), m_chance);
    m_chanceName = qobject_cast<QLabel*>(form->labelForField(m_chance));
    form->addRow(tr("Costs"), makeTable());
    form->addRow(tr("C&ells"), m_cells);
    form->addRow({}, m_cellsSay);
    form->addRow(tr("M&ust be in"), mountsRow(m_must, tr("Mounts that must be in")));
    form->addRow(tr("Must n&ot"), mountsRow(m_mustNot, tr("Mounts that must not be in")));
    form->addRow({}, m_consent);
    form->addRow({}, m_keep);
    form->addRow(tr("S&pacing at least"), m_spacing);
    form->addRow(tr("On a &mount at most"), m_perMount);
    form->addRow(tr("&In a street at most"), m_perStreet);
    form->addRow({}, m_facing);
    form->addRow(tr("See&d"), m_seed);
    form->addRow(tr("Iteration&s"), m_iterations);
    for (QLabel* label : {m_cellsSay, m_facing}) lookSoft(*label);
    lookLikePanel(*m_cells);
}

QWidget* ChoiceGoalForm::mountsRow(QLineEdit*& names, const QString& accessible) {
    auto* box = new QWidget(this);
    auto* row = new QHBoxLayout(box);
    row->setContentsMargins(0, 0, 0, 0);
    names = new QLineEdit(box);
    names->setAccessibleName(accessible);
    names->setPlaceholderText(tr("Names, parted by commas"));
    box->setFocusProxy(names);
    QPushButton* add = plainButton(tr("Add chosen"), box);
    add->setToolTip(tr("Adds the mounts that are chosen on the map or in a table"));
    add->setAccessibleName(tr("%1: add the chosen ones").arg(accessible));
    row->addWidget(names, 1);
    row->addWidget(add);
    connect(add, &QPushButton::clicked, this, [this, names] {
        const Plan& plan = m_space.document.plan();
        QStringList all = names->text().split(QLatin1Char(','), Qt::SkipEmptyParts);
        for (QString& name : all) name = name.trimmed();
        for (const ItemId item : m_space.selection.items())
            if (const Mount* m = plan.mounts.find(chainOf(plan, item).mount)) {
                const QString name = QString::fromStdString(m->name);
                if (!all.contains(name)) all << name;
            }
        names->setText(all.join(QStringLiteral(", ")));
    });
    return box;
}

QWidget* ChoiceGoalForm::makeTable() {
    auto* box = new QWidget(this);
    auto* column = new QVBoxLayout(box);
    column->setContentsMargins(0, 0, 0, 0);
    m_tableSays = sentenceLabel(box);
    m_tableSays->setAccessibleName(tr("The table of costs"));
    QPushButton* choose = plainButton(tr("Choose a table ..."), box);
    m_back = plainButton(tr("The one installed"), box);
    auto* row = new QHBoxLayout;
    row->addWidget(choose);
    row->addWidget(m_back);
    row->addStretch(1);
    column->addWidget(m_tableSays);
    column->addLayout(row);
    connect(choose, &QPushButton::clicked, this, [this] {
        const QString file =
            QFileDialog::getOpenFileName(this, tr("Table of costs"), {}, tr("Tables of costs (*.toml)"));
        if (!file.isEmpty()) setTable(file);
    });
    connect(m_back, &QPushButton::clicked, this, [this] { setTable({}); });
    return box;
}

void ChoiceGoalForm::setTable(const QString& file) {
    m_own = file.toStdString();
    setOwnCostTable(file);
    showTable();
    emit changed();
}

Result<CostTable> ChoiceGoalForm::costs() const { return costsInUse(m_installed); }

void ChoiceGoalForm::showTable() {
    const auto table = costs();
    QString text;
    if (!table)
        text = coreText(table.error().sentence());
    else if (*table == CostTable{})
        text =
            tr("Every figure of this table is invented: replace it with yours. Costs that come of it are no "
               "quotation.");
    else
        text = tr("%1, in %2. Figures it leaves out are the program's own, which are invented: replace them "
                  "with yours.")
                   .arg(QString::fromStdString(m_own.filename().string()),
                        QString::fromStdString(table->currency));
    m_tableSays->setText(text);
    m_back->setEnabled(!m_own.empty());
    m_counted->setItemText(
        1, tr("Money (%1)").arg(QString::fromStdString(table ? table->currency : CostTable{}.currency)));
}

QString ChoiceGoalForm::tableText() const { return m_tableSays->text(); }

void ChoiceGoalForm::goalChanged() {
    const bool relief = m_goal->currentIndex() == 0;
    const QSignalBlocker quiet(m_budget);
    m_budget->setSingleStep(m_counted->currentIndex() == 0 ? 1 : 1000);
    m_budget->setValue(m_budgets[static_cast<std::size_t>(std::max(0, m_counted->currentIndex()))]);
    m_budget->setEnabled(relief);
    m_budgetName->setEnabled(relief);
    m_chance->setEnabled(!relief);
    m_chanceName->setEnabled(!relief);
    emit changed();
}

void ChoiceGoalForm::showFacing() {
    const Limits limits(m_space.document.plan().settings->profile);
    m_facing->setText(
        tr("No two look at each other within %1, none at a macro of its carrier within %2, none into a wall: "
           "by the limits of the review. Owners who refused are left out.")
            .arg(distance(limits["mutual-facing.block-within"]),
                 distance(limits["faces-macro.block-within"])));
}

// Fullest first.
void ChoiceGoalForm::fillCells() {
    if (m_space.live.dragging()) return;
    const Ledger* ledger = m_space.document.isOpen() ? m_space.live.ledger() : nullptr;
    std::vector<Line> lines;
    if (ledger)
        for (const LedgerLine& l : ledger->cells)
            if (l.before > 0) lines.push_back({l.cell, l.before, l.target, l.congested});
    std::stable_sort(lines.begin(), lines.end(), [](const Line& a, const Line& b) {
        return a.congested != b.congested ? a.congested : a.before > b.before;
    });
    if (m_space.document.isOpen()) showFacing();
    if (lines == m_lines && m_cells->count() > 0) return;
    m_lines = std::move(lines);
    const ItemId at =
        m_cells->currentItem() ? ItemId{m_cells->currentItem()->data(Qt::UserRole).toUInt()} : ItemId{};
    m_filling = true;
    m_cells->clear();
    for (const Line& l : m_lines) {
        //: a cell: its use before, and its target
        auto* row =
            new QListWidgetItem(tr("%1: %2, target %3")
                                    .arg(QString::fromStdString(m_space.document.plan().label(l.cell)),
                                         percent(l.before), percent(l.target)),
                                m_cells);
        row->setData(Qt::UserRole, l.cell.v);
        row->setData(Qt::UserRole + 1, l.congested);
        row->setFlags(row->flags() | Qt::ItemIsUserCheckable);
        const bool in = l.congested ? m_unticked.count(l.cell) == 0 : m_ticked.count(l.cell) > 0;
        row->setCheckState(in ? Qt::Checked : Qt::Unchecked);
        if (l.cell == at) m_cells->setCurrentItem(row);
    }
    m_filling = false;
    cellTicked();
}

void ChoiceGoalForm::cellTicked() {
    if (m_filling) return;
    int in = 0, congested = 0;
    for (int k = 0; k < m_cells->count(); ++k) {
        const QListWidgetItem* row = m_cells->item(k);
        const ItemId cell{row->data(Qt::UserRole).toUInt()};
        const bool ticked = row->checkState() == Qt::Checked, full = row->data(Qt::UserRole + 1).toBool();
        in += ticked;
        congested += full;
        if (ticked && !full) m_ticked.insert(cell);
        if (!ticked && full) m_unticked.insert(cell);
        if (ticked) m_unticked.erase(cell);
        if (!ticked) m_ticked.erase(cell);
    }
    m_cellsSay->setText(
        m_cells->count() == 0 ? tr("No cell has a measured load. Take in counters first, or enter a load.")
        : congested == 0 && in == 0
            ? tr("No cell is congested. Tick those to relieve all the same.")
            : tr("%1 of %2 ticked; %3 are congested.").arg(in).arg(m_cells->count()).arg(congested));
    emit changed();
}

Result<std::vector<ItemId>> ChoiceGoalForm::mountsIn(const QLineEdit& names) const {
    std::vector<ItemId> out;
    for (const QString& part : names.text().split(QLatin1Char(','), Qt::SkipEmptyParts)) {
        const QString name = part.trimmed();
        if (name.isEmpty()) continue;
        const auto& mounts = m_space.document.plan().mounts;
        std::vector<ItemId> found;
        for (const Mount& m : mounts)
            if (QString::fromStdString(m.name).compare(name, Qt::CaseInsensitive) == 0) found.push_back(m.id);
        if (found.empty())
            return refused(tr("“%1” is no mount of the plan. Correct the name under “%2”, or take it out.")
                               .arg(name, names.accessibleName()));
        out.insert(out.end(), found.begin(), found.end());
    }
    return out;
}

Result<ChoiceAsk> ChoiceGoalForm::ask() const {
    ChoiceAsk ask;
    for (int k = 0; k < m_cells->count(); ++k)
        if (m_cells->item(k)->checkState() == Qt::Checked)
            ask.cells.push_back(ItemId{m_cells->item(k)->data(Qt::UserRole).toUInt()});
    if (ask.cells.empty())
        return refused(
            tr("There is no cell to relieve. Tick one under “%1”.").arg(m_cells->accessibleName()));
    auto must = mountsIn(*m_must), mustNot = mountsIn(*m_mustNot);
    if (!must) return must.error();
    if (!mustNot) return mustNot.error();
    ask.must = std::move(must).value();
    ask.mustNot = std::move(mustNot).value();
    ask.goal = m_goal->currentIndex() == 0 ? ChoiceGoal::mostRelief : ChoiceGoal::reachTargets;
    ask.inMoney = m_counted->currentIndex() == 1;
    ask.budget = m_budget->value();
    if (ask.goal == ChoiceGoal::reachTargets) ask.chance = m_chance->value() / 100.0;
    ask.keep = m_keep->isChecked();
    ask.consentGiven = m_consent->isChecked();
    ask.spacingM = m_spacing->value();
    ask.radiosPerMount = m_perMount->value();
    ask.perStreet = m_perStreet->value();
    ask.seed = static_cast<std::uint64_t>(m_seed->value());
    ask.iterations = m_iterations->value();
    return ask;
}

} // namespace fw
