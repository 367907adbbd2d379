// SPDX-License-Identifier: GPL-3.0-or-later
// What the window of choosing does; how it looks stands in choice_window_parts.cpp.
#include "dialogs/choice_window.h"

#include "charts/choice_curve.h"
#include "dialogs/choice_goal.h"
#include "text/figures.h"

#include <QHeaderView>
#include <QInputDialog>
#include <QLabel>
#include <QLocale>
#include <QProgressBar>
#include <QPushButton>
#include <QTabWidget>
#include <QTableWidget>

#include <algorithm>

namespace fw {

namespace {

double points(std::int64_t worth) { return static_cast<double>(worth) / kWorthUnit; }

QString pointsText(std::int64_t worth) { return figure(points(worth), {}, 2); }

// A row of texts; figures to the right.
void addRow(QTableWidget& t, const QStringList& texts, std::initializer_list<int> right) {
    const int row = t.rowCount();
    t.insertRow(row);
    for (int c = 0; c < texts.size(); ++c) {
        auto* item = new QTableWidgetItem(texts[c]);
        item->setToolTip(texts[c]);
        if (std::find(right.begin(), right.end(), c) != right.end())
            item->setTextAlignment(Qt::AlignRight | Qt::AlignVCenter);
        t.setItem(row, c, item);
    }
}

void fit(QTableWidget& t) {
    for (int c = 0; c + 1 < t.columnCount(); ++c) t.resizeColumnToContents(c);
}

} // namespace

ChoiceWindow::ChoiceWindow(Workspace& space, std::filesystem::path costs, QWidget* parent)
    : QDialog(parent), m_space(space), m_run(space, this),
      m_goal(new ChoiceGoalForm(space, std::move(costs), this)) {
    makeWindow();
    connectParts();
    resultChanged();
    runChanged();
}

ChoiceWindow::~ChoiceWindow() = default;

void ChoiceWindow::start() {
    m_said.clear();
    const auto ask = m_goal->ask();
    const auto costs = m_goal->costs();
    if (!ask)
        m_said = QString::fromStdString(ask.error().sentence());
    else if (!costs)
        m_said = coreText(costs.error().sentence());
    if (m_said.isEmpty()) m_run.start(*ask, *costs);
    runChanged();
}

void ChoiceWindow::say(const Status& done) {
    m_said = done ? QString() : coreText(done.error().sentence());
    runChanged();
}

void ChoiceWindow::apply() { say(m_run.apply()); }

void ChoiceWindow::askForVariant() {
    auto* box = new QInputDialog(this);
    box->setAttribute(Qt::WA_DeleteOnClose);
    box->setWindowTitle(tr("As a new variant"));
    box->setLabelText(tr("Name of the variant; empty for the next free one"));
    connect(box, &QInputDialog::textValueSelected, this,
            [this](const QString& name) { say(m_run.asVariant(name)); });
    box->open();
}

QString ChoiceWindow::stateText() const {
    if (!m_space.document.isOpen()) return tr("Open or make a plan first.");
    if (!m_said.isEmpty()) return m_said;
    if (m_run.running()) {
        QString text = m_run.search() == 0 ? tr("Looking at what every mount would serve ...")
                       : m_run.search() == 1
                           ? tr("Searching ...")
                           : tr("Searching once more, without what the full model had against it ...");
        if (!m_run.step().isEmpty())
            text += QLatin1Char(' ') + tr("(%1)").arg(coreText(m_run.step().toStdString()));
        return text;
    }
    if (!m_run.trouble().isEmpty()) return m_run.trouble();
    if (!m_run.result())
        return tr("Say what is wanted and start the search. Nothing changes before you apply it.");
    if (m_run.putIn() == QStringLiteral("applied"))
        return tr("Applied to the active variant. Undo takes it out again.");
    if (!m_run.putIn().isEmpty())
        return tr("It is in the plan as variant %1. Undo takes it out again.").arg(m_run.putIn());
    if (!m_run.current()) return tr("The plan has changed since it was chosen; start again to use it.");
    return tr("The map shows the new ones as broken lines. Nothing has changed yet.");
}

QString ChoiceWindow::verdictText() const {
    const auto& result = m_run.result();
    if (!result) return {};
    const PlannedChoice& p = result->planned;
    QString text = coreText(p.choice.says);
    int stand = 0;
    for (const ChosenOption& o : p.choice.chosen) stand += bool(p.feed.spots[o.option.mount].kept);
    if (stand > 0)
        text += QLatin1Char(' ') + tr("Of them %1 stand already and %2 are new.")
                                       .arg(stand)
                                       .arg(p.choice.chosen.size() - static_cast<std::size_t>(stand));
    if (!p.settled) {
        text += QLatin1Char(' ') +
                tr("It was stopped: this is the best found so far, and the full model was not asked.");
        return text;
    }
    text += QLatin1Char(' ') +
            tr("By the full model it relieves %1.").arg(figure(p.reliefPoints, tr("points"), 2));
    if (!p.converged)
        text += QLatin1Char(' ') + tr("The full model did not settle; take its figures as rough.");
    if (p.blocks == 1)
        text +=
            QLatin1Char(' ') + tr("One of the new has a finding that blocks however it looks; the findings "
                                  "will say which.");
    else if (p.blocks > 1)
        text +=
            QLatin1Char(' ') + tr("%1 of the new have a finding that blocks however they look; the findings "
                                  "will say which.")
                                   .arg(p.blocks);
    return text;
}

Ghosts ChoiceWindow::ghosts() const { return isVisible() ? m_run.ghosts() : Ghosts{}; }

void ChoiceWindow::runChanged() {
    const bool running = m_run.running(), have = m_run.result() && !running;
    const QString state = stateText();
    if (m_state->text() != state) m_state->setText(state);
    m_bar->setVisible(running);
    m_stop->setVisible(running);
    m_bar->setValue(static_cast<int>(1000 * m_run.share()));
    m_start->setEnabled(!running && m_space.document.isOpen());
    const bool usable = have && m_run.current() && m_run.putIn().isEmpty() && !m_space.document.readOnly() &&
                        !m_run.result()->planned.choice.chosen.empty();
    m_apply->setEnabled(usable);
    m_variant->setEnabled(usable);
    const auto* table = qobject_cast<QTableWidget*>(m_tabs->currentWidget());
    m_working->setEnabled(have && table && table->rowCount() > 0);
}

QString ChoiceWindow::amount(std::int64_t value) const {
    return m_run.ask().goal == ChoiceGoal::mostRelief ? figure(points(value), tr("points"), 2)
                                                      : costText(value);
}

QString ChoiceWindow::costText(std::int64_t cost) const {
    const QString number = QLocale().toString(static_cast<qlonglong>(cost));
    if (m_run.ask().inMoney)
        return tr("%1 %2", "an amount of money and its unit")
            .arg(number, QString::fromStdString(m_run.costs().currency));
    return cost == 1 ? tr("1 radio") : tr("%1 radios").arg(number);
}

void ChoiceWindow::curveChanged() {
    const ChoiceAsk& ask = m_run.ask();
    const bool relief = ask.goal == ChoiceGoal::mostRelief;
    const double scale = relief ? kWorthUnit : 1;
    std::vector<ChoiceCurve::Point> curve;
    for (const ChoicePoint& p : m_run.curve()) {
        ChoiceCurve::Point at{p.iteration, static_cast<double>(p.value) / scale, std::nullopt,
                              p.missing == 0};
        if (p.bound) at.bound = static_cast<double>(*p.bound) / scale;
        curve.push_back(at);
    }
    ChoiceCurve::Words words;
    const QString money = QString::fromStdString(m_run.costs().currency);
    words.value = relief ? tr("best found") : tr("cheapest found");
    words.bound = relief ? tr("proven: none over") : tr("proven: none under");
    words.unit = relief ? tr("points") : ask.inMoney ? money : tr("radios");
    words.axis = relief ? tr("Relief of round 0 (points)") : tr("Cost (%1)").arg(words.unit);
    words.decimals = relief ? 2 : 0;
    m_curve->setCurve(std::move(curve), words, ask.iterations,
                      m_run.search() > 1 ? tr("search %1").arg(m_run.search()) : QString());
}

void ChoiceWindow::resultChanged() {
    const QString verdict = verdictText();
    m_verdict->setText(verdict);
    m_verdict->setVisible(!verdict.isEmpty());
    if (m_filled != m_run.result() || !m_filled) {
        m_filled = m_run.result();
        fillFigures();
        fillChosen();
        fillTargets();
        QStringList remarks;
        if (m_filled)
            for (const std::string& r : m_filled->planned.feed.remarks) remarks << coreText(r);
        m_remarks->setText(remarks.join(QLatin1Char(' ')));
        m_remarks->setVisible(!remarks.isEmpty());
    }
    emit ghostsChanged();
}

void ChoiceWindow::fillFigures() {
    m_figures->setRowCount(0);
    if (!m_filled) return;
    const PlannedChoice& p = m_filled->planned;
    const Choice& c = p.choice;
    const bool relief = c.goal == ChoiceGoal::mostRelief;
    const auto row = [&](const QString& what, const QString& figure, const QString& is) {
        addRow(*m_figures, {what, figure, is}, {1});
    };
    row(tr("Relief of round 0"), figure(points(c.relief), tr("points"), 2),
        tr("What the search counts: each place taken whole where one of the set is stronger than its macro"));
    row(tr("Cost"), costText(c.cost), tr("What the search counts as cost"));
    row(relief ? tr("None relieves more than") : tr("None costs less than"),
        c.bound ? amount(*c.bound) : unknownFigure(),
        tr("The bound: proven for every set, by the relief of round 0 alone, with overlaps forgiven. It does "
           "not bound the full model."));
    row(tr("Gap to that bound"), c.gap ? percent(*c.gap, 2) : unknownFigure(),
        c.gap ? tr("What a better set could gain at most, as a share of the bound")
              : tr("None, where a target is missed or nothing is proven"));
    row(tr("Relief by the full model"), p.settled ? figure(p.reliefPoints, tr("points"), 2) : unknownFigure(),
        p.settled
            ? tr("Settled ledger of the plan with the set in it: shares by shadowing, interference, caps")
            : tr("Not asked: the search was stopped"));
    row(tr("Money for what is new"),
        tr("%1 %2", "an amount of money and its unit")
            .arg(QLocale().toString(p.money, 'f', 0), QString::fromStdString(m_filled->costs.currency)),
        m_filled->costs == CostTable{} ? tr("By the table of costs, whose figures are invented: replace them "
                                            "with yours")
                                       : tr("By the table of costs"));
    row(tr("Search"), figure(m_filled->seconds, tr("s"), 1),
        tr("Seed %1, %2 iterations, searches: %3; the same seed gives the same set")
            .arg(QString::number(c.seed), QLocale().toString(c.iterations), QLocale().toString(p.rounds)));
    fit(*m_figures);
}

QString ChoiceWindow::whyText(const ChosenOption& o, bool out) const {
    const PlannedChoice& p = m_filled->planned;
    if (out) {
        QString text = tr("Left out: would add %1 points").arg(pointsText(o.marginal));
        if (m_filled->ask.goal == ChoiceGoal::reachTargets)
            return p.choice.allReached ? text + tr(", but every target is reached without it") : text;
        const std::int64_t left = m_filled->ask.budget - p.choice.cost;
        return o.cost > left
                   ? text + tr(", but costs %1 where %2 are left").arg(costText(o.cost), costText(left))
                   : text;
    }
    const double share = o.alone > 0 ? static_cast<double>(o.marginal) / static_cast<double>(o.alone) : 0;
    QString why = tr("%1 of what it serves no other one does").arg(percent(share));
    if (p.feed.spots[o.option.mount].kept) return tr("Stands already; %1").arg(why);
    if (p.feed.problem.mounts[o.option.mount].must) return tr("Must-have; %1").arg(why);
    return why;
}

void ChoiceWindow::fillChosen() {
    m_chosen->setRowCount(0);
    m_rows.clear();
    const int at = m_tabs->indexOf(m_chosen);
    m_tabs->setTabText(at, m_filled ? tr("&Chosen (%1)").arg(m_filled->planned.choice.chosen.size())
                                    : tr("&Chosen"));
    if (!m_filled) return;
    const PlannedChoice& p = m_filled->planned;
    const auto kept = [&](const ChosenOption& o) { return bool(p.feed.spots[o.option.mount].kept); };
    for (const ChosenOption& o : p.choice.chosen)
        if (!kept(o)) m_rows.push_back(o);
    std::stable_sort(m_rows.begin(), m_rows.end(),
                     [](const ChosenOption& a, const ChosenOption& b) { return a.marginal > b.marginal; });
    const std::size_t fresh = m_rows.size();
    if (p.choice.leftOut) m_rows.push_back(*p.choice.leftOut);
    for (const ChosenOption& o : p.choice.chosen)
        if (kept(o)) m_rows.push_back(o);
    QFont italic = m_chosen->font();
    italic.setItalic(true);
    for (std::size_t k = 0; k < m_rows.size(); ++k) {
        const ChosenOption& o = m_rows[k];
        const ChoiceFeed::Spot& spot = p.feed.spots[o.option.mount];
        const double looks = spot.kept ? spot.radio.azimuth.deg : azimuthOf(o.option.step).deg;
        const bool out = p.choice.leftOut && k == fresh;
        addRow(*m_chosen,
               {QString::fromStdString(m_filled->study->plan().label(spot.mount)), bearing(looks),
                pointsText(o.marginal), pointsText(o.alone), costText(o.cost), whyText(o, out)},
               {1, 2, 3, 4});
        for (int c = 0; out && c < m_chosen->columnCount(); ++c)
            m_chosen->item(static_cast<int>(k), c)->setFont(italic);
    }
    fit(*m_chosen);
}

void ChoiceWindow::fillTargets() {
    m_targets->setRowCount(0);
    if (!m_filled) return;
    for (const SettledTarget& t : m_filled->planned.targets)
        addRow(*m_targets,
               {QString::fromStdString(m_filled->study->plan().label(t.cell)), percent(t.before, 1),
                percent(t.after, 1), percent(t.target, 1), figure(100 * t.relief, {}, 2),
                figure(100 * t.round0, {}, 2),
                (t.reached() ? tr("target reached") : tr("not reached")) +
                    (t.chance ? tr(", in %1 of 100 draws").arg(figure(100 * *t.chance, {}, 0)) : QString())},
               {1, 2, 3, 4, 5});
    fit(*m_targets);
}

void ChoiceWindow::rowChosen() {
    const Plan& plan = m_space.document.plan();
    const auto* table = sender() == m_chosen ? m_chosen : m_targets;
    const int row = table->currentRow();
    if (!m_filled || row < 0 || table->selectedItems().isEmpty()) return;
    const auto at = static_cast<std::size_t>(row);
    const PlannedChoice& p = m_filled->planned;
    const ItemId item = table == m_targets ? p.targets[at].cell : p.feed.spots[m_rows[at].option.mount].mount;
    if (!plan.mounts.find(item) && !plan.cells.find(item)) return; // gone meanwhile
    m_space.selection.setOne(item);
    emit itemWanted(item);
}

void ChoiceWindow::openWorking() {
    if (!m_filled) return;
    const Plan& plan = m_filled->study->plan();
    const PlannedChoice& p = m_filled->planned;
    if (m_tabs->currentWidget() == m_chosen) {
        const auto row = static_cast<std::size_t>(std::max(0, m_chosen->currentRow()));
        if (row < m_rows.size())
            emit workingWanted(workingOf(plan, p, m_filled->ask, m_filled->costs, m_rows[row]));
    } else if (m_tabs->currentWidget() == m_targets) {
        const auto row = static_cast<std::size_t>(std::max(0, m_targets->currentRow()));
        if (row < p.targets.size()) emit workingWanted(workingOf(plan, p.targets[row]));
    } else {
        emit workingWanted(workingOf(p, m_filled->ask));
    }
}

void ChoiceWindow::showEvent(QShowEvent* e) {
    QDialog::showEvent(e);
    runChanged();
    emit ghostsChanged();
}

void ChoiceWindow::hideEvent(QHideEvent* e) {
    QDialog::hideEvent(e);
    emit ghostsChanged();
}

} // namespace fw
