// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/variants_window.h"

#include "base/parallel.h"
#include "bench/panel_looks.h"
#include "dialogs/cost_table.h"
#include "dialogs/dialog_parts.h"
#include "plan/variant_edits.h"
#include "study/holds.h"
#include "text/figures.h"

#include <QEvent>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QProgressBar>
#include <QTableWidget>
#include <QVBoxLayout>

#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

namespace fw {
namespace {

const QString kVariantsJob = QStringLiteral("variants");
constexpr int kCostRow = 3; // after what there is to build

QString name(const VariantFigures& f) { return QString::fromStdString(f.name); }

// A row: what it says of a variant, and what of it is better when larger (+1) or smaller (-1); 0: neither.
struct Row {
    QString what, unit;
    std::function<QString(const VariantFigures&)> text;
    std::function<double(const VariantFigures&)> value;
    int better = 0;
};

Row counted(const QString& what, int VariantFigures::*member, int better) {
    return {what,
            {},
            [member](const auto& f) { return QString::number(f.*member); },
            [member](const auto& f) { return static_cast<double>(f.*member); },
            better};
}

double costValue(const VariantFigures& f) { return f.cost ? static_cast<double>(f.cost->total) : 0; }

// What each costs, and how much more or less that is than the active one.
std::vector<Row> costRowsOf(const std::vector<VariantFigures>& all) {
    if (all.empty()) return {};
    const auto active = std::find_if(all.begin(), all.end(), [](const auto& f) { return f.active; });
    const double base = costValue(active == all.end() ? all.front() : *active);
    const QString money =
        all.front().cost ? QString::fromStdString(all.front().cost->table.currency) : QString();
    return {{VariantsWindow::tr("cost to build"), money,
             [](const auto& f) { return f.cost ? figure(costValue(f), {}, 0) : unknownFigure(); }, costValue,
             -1},
            {VariantsWindow::tr("cost against the active one"), money,
             [base](const auto& f) {
                 return f.cost ? signedFigure(costValue(f) - base, {}, 0) : unknownFigure();
             },
             costValue, 0}};
}

std::vector<Row> rowsOf(const std::vector<VariantFigures>& all, const Plan& plan) {
    const auto tr = [](const char* text) { return VariantsWindow::tr(text); };
    std::vector<Row> rows;
    rows.push_back(counted(tr("small cells chosen"), &VariantFigures::chosen, -1));
    rows.push_back(counted(tr("candidates beside them"), &VariantFigures::candidates, 0));
    rows.push_back(counted(tr("mounts to build"), &VariantFigures::mounts, -1));
    for (Row& row : costRowsOf(all)) rows.push_back(std::move(row));
    rows.push_back(
        {tr("full cells at their target"),
         {},
         [](const auto& f) { return VariantsWindow::tr("%1 of %2").arg(f.reached).arg(f.congested); },
         [](const auto& f) { return static_cast<double>(f.reached); },
         1});
    rows.push_back(
        {tr("all of them reach it"), tr("of 100 draws"),
         [](const auto& f) { return f.allReach ? QString::number(inHundred(*f.allReach)) : unknownFigure(); },
         [](const auto& f) { return f.allReach.value_or(0); }, 1});
    rows.push_back(
        {tr("first one holds"),
         {},
         [](const auto& f) { return f.holdsMonths ? coreText(monthsText(*f.holdsMonths)) : unknownFigure(); },
         [](const auto& f) { return f.holdsMonths.value_or(-1); },
         1});
    rows.push_back({tr("relief of full cells"), tr("points"),
                    [](const auto& f) { return figure(f.reliefPoints, {}); },
                    [](const auto& f) { return f.reliefPoints; }, 1});
    rows.push_back({tr("change by interference, all cells"), tr("points"),
                    [](const auto& f) { return figure(f.harmPoints, {}); },
                    [](const auto& f) { return f.harmPoints; }, -1});
    rows.push_back(counted(tr("findings that block"), &VariantFigures::blocks, -1));
    rows.push_back(counted(tr("findings that warn"), &VariantFigures::warns, -1));
    if (all.empty()) return rows;
    for (std::size_t k = 0; k < all.front().after.size(); ++k) {
        const auto after = [k](const VariantFigures& f) {
            return k < f.after.size() ? f.after[k].second : 0;
        };
        rows.push_back(
            {tr("use after: %1").arg(QString::fromStdString(plan.label(all.front().after[k].first))),
             QStringLiteral("%"), [after](const auto& f) { return figure(100 * after(f), {}); }, after, -1});
    }
    return rows;
}

// Whether a variant alone, or with others but not all, is best in a row.
bool isBest(const Row& row, const std::vector<VariantFigures>& all, std::size_t k) {
    if (!row.better || all.size() < 2) return false;
    double best = row.value(all.front()), worst = best;
    for (const VariantFigures& f : all) {
        best = row.better > 0 ? std::max(best, row.value(f)) : std::min(best, row.value(f));
        worst = row.better > 0 ? std::min(worst, row.value(f)) : std::max(worst, row.value(f));
    }
    return best != worst && row.value(all[k]) == best;
}

} // namespace

VariantsWindow::VariantsWindow(Workspace& space, std::filesystem::path costs, QWidget* parent)
    : QDialog(parent), m_space(space), m_installed(std::move(costs)) {
    makeWindow();
    connect(&space.live, &LiveStudy::stateChanged, this, &VariantsWindow::follow);
    connect(&space.live, &LiveStudy::shownChanged, this, &VariantsWindow::follow);
    connect(&space.selection, &Selection::changed, this, &VariantsWindow::showState);
    connect(&space.document, &PlanDocument::planReplaced, this, [this] {
        m_figures.clear();
        m_of.reset();
        fill();
    });
    connect(&space.jobs, &JobBoard::changed, this, [this] {
        if (!isVisible() || !m_running) return;
        for (const JobState& s : m_space.jobs.states())
            if (s.name == tr("Comparing variants")) m_bar->setValue(static_cast<int>(1000 * s.share));
    });
    showState();
}

VariantsWindow::~VariantsWindow() { m_space.jobs.cancel(kVariantsJob); }

void VariantsWindow::makeWindow() {
    setWindowTitle(tr("Variants"));
    auto* page = new QVBoxLayout(this);
    m_state = sentenceLabel(this);
    m_state->setAccessibleName(tr("What is compared"));
    m_said = sentenceLabel(this);
    lookRefused(*m_said);
    m_said->hide();
    m_table = new QTableWidget(this);
    m_table->setAccessibleName(tr("Variants side by side"));
    lookLikeTable(*m_table);
    m_table->setSelectionBehavior(QAbstractItemView::SelectColumns);
    m_table->setSelectionMode(QAbstractItemView::SingleSelection);
    m_table->setEditTriggers(QAbstractItemView::NoEditTriggers);
    m_table->verticalHeader()->show();
    m_table->verticalHeader()->setHighlightSections(false);
    m_table->verticalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    connect(m_table, &QTableWidget::itemSelectionChanged, this, &VariantsWindow::showState);
    page->addWidget(m_state);
    page->addWidget(m_table, 1);
    page->addWidget(m_said);
    page->addWidget(makeActions());
    m_steps = plainButton(tr("Ste&ps behind the figures ..."), this);
    connect(m_steps, &QPushButton::clicked, this, &VariantsWindow::openWorking);
    m_costSteps = plainButton(tr("Steps behind the c&ost ..."), this);
    connect(m_costSteps, &QPushButton::clicked, this, &VariantsWindow::openCost);
    connect(m_table, &QTableWidget::activated, this, [this](const QModelIndex& at) {
        if (isCostRow(at.row()))
            openCost();
        else
            openWorking();
    });
    const DialogFoot foot = dialogFoot(*this, {m_steps, m_costSteps});
    m_bar = foot.bar;
    m_stop = foot.stop;
    connect(m_stop, &QPushButton::clicked, this, [this] { m_space.jobs.cancel(kVariantsJob); });
    page->addWidget(foot.box);
    const int em = fontMetrics().averageCharWidth();
    openAtSize(*this, {em * 100, fontMetrics().height() * 32});
}

QWidget* VariantsWindow::makeActions() {
    auto* box = new QWidget(this);
    auto* row = new QHBoxLayout(box);
    row->setContentsMargins(0, 0, 0, 0);
    m_work = plainButton(tr("&Work on it"), box);
    m_work->setToolTip(tr("Makes the chosen variant the one that is computed, drawn and packed"));
    m_copy = plainButton(tr("&Copy it"), box);
    m_copy->setToolTip(tr("A copy of the chosen variant, with radios of its own, to go on with"));
    auto* fresh = plainButton(tr("&New, empty"), box);
    m_cells = plainButton(tr("Copy chosen cells &into it"), box);
    m_cells->setToolTip(
        tr("Copies the small cells that are chosen on the map or in a table into this variant"));
    m_remove = plainButton(tr("&Remove it"), box);
    for (QPushButton* b : {m_work, m_copy, fresh, m_cells}) row->addWidget(b);
    row->addStretch(1);
    row->addWidget(m_remove);
    connect(m_work, &QPushButton::clicked, this, &VariantsWindow::workOn);
    connect(m_copy, &QPushButton::clicked, this, &VariantsWindow::copyChosen);
    connect(fresh, &QPushButton::clicked, this, &VariantsWindow::makeEmpty);
    connect(m_cells, &QPushButton::clicked, this, &VariantsWindow::copyCells);
    connect(m_remove, &QPushButton::clicked, this, &VariantsWindow::removeChosen);
    return box;
}

void VariantsWindow::showEvent(QShowEvent* e) {
    QDialog::showEvent(e);
    follow();
}

// The table of costs may have been replaced in another window meanwhile.
bool VariantsWindow::event(QEvent* e) {
    if (e->type() == QEvent::WindowActivate && reckonCosts()) {
        fill();
        showState();
    }
    return QDialog::event(e);
}

void VariantsWindow::hideEvent(QHideEvent* e) {
    QDialog::hideEvent(e);
    m_space.jobs.cancel(kVariantsJob);
}

// Anew for every computed state of the plan; never in a drag.
void VariantsWindow::follow() {
    if (!isVisible()) return;
    const LiveStudy& live = m_space.live;
    if (live.study() && !live.dragging() && !live.stale() && live.study() != m_of) compare();
    showState();
}

void VariantsWindow::compare() {
    m_of = m_space.live.study();
    m_running = true;
    CompareOptions options;
    options.threads = spareThreads();
    options.costs.reset(); // by the table in use when they are shown
    auto result = std::make_shared<std::vector<VariantFigures>>();
    m_space.jobs.start(
        kVariantsJob, tr("Comparing variants"),
        [result, options, study = m_of, terrain = m_space.document.terrain()](const Job& job) {
            if (auto all = compareVariants(study, terrain, options, job)) *result = std::move(*all);
        },
        [this, result, study = m_of](Outcome outcome) {
            if (study != m_of) return; // a later one is on its way
            m_running = false;
            if (outcome == Outcome::done && !result->empty()) {
                m_figures = std::move(*result);
                reckonCosts();
                fill();
            } else if (outcome != Outcome::done) {
                m_of.reset(); // stopped: what is shown is of no computed state
            }
            showState();
        });
}

// Of the plan that the figures are of, so that a column is of one state.
bool VariantsWindow::reckonCosts() {
    if (!m_of || m_running || m_figures.empty()) return false; // a later state is on its way
    const auto table = costsInUse(m_installed);
    const QString fault = table ? QString() : coreText(table.error().sentence());
    bool differs = fault != std::exchange(m_noCosts, fault);
    for (VariantFigures& f : m_figures) {
        std::optional<VariantCost> cost;
        if (table) cost = variantCost(m_of->plan(), f.variant, *table);
        differs = differs || cost != f.cost;
        f.cost = std::move(cost);
    }
    return differs;
}

bool VariantsWindow::isCostRow(int row) const {
    return !m_figures.empty() && (row == kCostRow || row == kCostRow + 1);
}

void VariantsWindow::fill() {
    const ItemId before = chosen();
    const auto rows = rowsOf(m_figures, m_space.document.plan());
    m_table->clear();
    m_table->setRowCount(m_figures.empty() ? 0 : static_cast<int>(rows.size()));
    m_table->setColumnCount(static_cast<int>(m_figures.size()));
    ItemId active;
    for (std::size_t k = 0; k < m_figures.size(); ++k) {
        const VariantFigures& f = m_figures[k];
        if (f.active) active = f.variant;
        auto* head = new QTableWidgetItem(f.active ? tr("%1 (active)").arg(name(f)) : name(f));
        head->setData(Qt::UserRole, QVariant::fromValue(f.variant.v));
        m_table->setHorizontalHeaderItem(static_cast<int>(k), head);
        for (std::size_t i = 0; i < rows.size(); ++i) {
            auto* cell = new QTableWidgetItem(rows[i].text(f));
            cell->setTextAlignment(Qt::AlignRight | Qt::AlignVCenter);
            QFont font = m_table->font();
            font.setBold(isBest(rows[i], m_figures, k));
            cell->setFont(font);
            m_table->setItem(static_cast<int>(i), static_cast<int>(k), cell);
        }
    }
    for (std::size_t i = 0; i < rows.size() && !m_figures.empty(); ++i)
        m_table->setVerticalHeaderItem(
            static_cast<int>(i),
            new QTableWidgetItem(rows[i].unit.isEmpty() ? rows[i].what
                                                        : tr("%1, %2").arg(rows[i].what, rows[i].unit)));
    m_table->resizeColumnsToContents();
    QHeaderView* side = m_table->verticalHeader();
    side->setFixedWidth(side->sizeHint().width() + 2 * fontMetrics().averageCharWidth());
    choose(before ? before : active);
}

ItemId VariantsWindow::chosen() const {
    const auto columns =
        m_table->selectionModel() ? m_table->selectionModel()->selectedColumns() : QModelIndexList{};
    if (columns.isEmpty()) return {};
    const auto k = static_cast<std::size_t>(columns.front().column());
    return k < m_figures.size() ? m_figures[k].variant : ItemId{};
}

void VariantsWindow::choose(ItemId variant) {
    for (std::size_t k = 0; k < m_figures.size(); ++k)
        if (m_figures[k].variant == variant) m_table->selectColumn(static_cast<int>(k));
}

QString VariantsWindow::stateText() const {
    if (!m_space.document.isOpen()) return tr("No plan is open.");
    if (m_running && m_figures.empty()) return tr("Computing every variant \u2026");
    if (m_figures.empty()) return tr("The figures come with the computation.");
    if (m_running || m_space.live.stale() || m_of != m_space.live.study())
        return tr("The figures are of an earlier state; computing anew \u2026");
    QString text =
        tr("Loads are settled; findings are those about chosen small cells. The best of a row is in bold.");
    const auto& cost = m_figures.front().cost;
    if (cost && cost->table == CostTable{})
        return tr("%1 Costs are by a table whose figures are invented: replace them with yours in the window "
                  "that chooses a set.")
            .arg(text);
    return text;
}

void VariantsWindow::showState() {
    m_state->setText(stateText());
    m_bar->setVisible(m_running);
    m_stop->setVisible(m_running);
    m_said->setText(m_refused.isEmpty() ? m_noCosts : m_refused);
    m_said->setVisible(!m_said->text().isEmpty());
    const ItemId id = chosen();
    const Plan& plan = m_space.document.plan();
    const bool open = m_space.document.isOpen() && plan.variants.find(id);
    m_steps->setEnabled(open && !m_figures.empty());
    m_costSteps->setEnabled(m_steps->isEnabled() && m_figures.front().cost);
    m_work->setEnabled(open && id != plan.settings->activeVariant);
    m_copy->setEnabled(open);
    m_cells->setEnabled(open && !m_space.selection.items().empty());
    m_remove->setEnabled(open && plan.variants.size() > 1);
}

bool VariantsWindow::perform(Result<Edit> edit) {
    m_refused.clear();
    if (!edit) {
        m_refused = coreText(edit.error().text);
    } else if (const Status done = m_space.document.perform(*edit); !done.ok()) {
        m_refused = coreText(done.error().text);
    }
    showState();
    return m_refused.isEmpty();
}

void VariantsWindow::workOn() { perform(activateVariant(m_space.document.plan(), chosen())); }

void VariantsWindow::copyChosen() {
    const Plan& plan = m_space.document.plan();
    auto made = copyVariant(plan, chosen());
    if (!made) {
        perform(made.error());
        return;
    }
    PlanSettings settings = *plan.settings; // one step: whoever makes a copy goes on with it
    settings.activeVariant = made->variant;
    made->edit.changes.emplace_back(PutSettings{settings});
    perform(std::move(made->edit));
}

void VariantsWindow::makeEmpty() {
    auto made = newVariant(m_space.document.plan());
    if (made)
        perform(std::move(made->edit));
    else
        perform(made.error());
}

void VariantsWindow::copyCells() {
    perform(copyAcross(m_space.document.plan(), m_space.selection.items(), chosen()));
}

void VariantsWindow::openWorking() {
    const ItemId id = chosen();
    for (const VariantFigures& f : m_figures)
        if (f.variant == id) emit workingWanted(workingOf(m_space.document.plan(), f));
}

void VariantsWindow::openCost() {
    const ItemId id = chosen();
    for (const VariantFigures& f : m_figures)
        if (f.variant == id && f.cost)
            emit workingWanted(workingOf(m_space.document.plan(), f.variant, *f.cost));
}

void VariantsWindow::removeChosen() { perform(removeVariant(m_space.document.plan(), chosen())); }

} // namespace fw
