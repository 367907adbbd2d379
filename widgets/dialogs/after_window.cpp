// SPDX-License-Identifier: GPL-3.0-or-later
// What the window of load after building does; how it looks stands in after_window_parts.cpp.
#include "dialogs/after_window.h"

#include "bench/panel_looks.h"
#include "charts/relief_chart.h"
#include "dialogs/mapping_table.h"
#include "dialogs/remark_list.h"
#include "text/figures.h"

#include <QFileInfo>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QProgressBar>
#include <QPushButton>
#include <QTabWidget>

#include <utility>

namespace fw {

namespace {

const QString kAfterJob = QStringLiteral("after load");

using Weight = IntakeRemark::Weight;

bool touchesCells(const PlanDiff& diff) {
    return std::any_of(diff.items.begin(), diff.items.end(),
                       [](const Difference& d) { return d.kind == Kind::cell; });
}

} // namespace

/// What one reading gives back.
struct AfterWindow::Read {
    std::uint64_t round = 0;
    std::shared_ptr<const AfterDays> days;
    std::optional<Error> fault;
};

AfterWindow::AfterWindow(Workspace& space, QWidget* parent) : QDialog(parent), m_space(space) {
    makeWindow();
    connect(&space.document, &PlanDocument::planReplaced, this, [this] { read(); });
    connect(&space.document, &PlanDocument::planChanged, this, [this](const PlanDiff& diff) {
        // Names of cells and the days that the plan keeps are part of what was read.
        if (touchesCells(diff))
            read();
        else
            compare();
    });
    connect(&space.document, &PlanDocument::keptChanged, this, &AfterWindow::showAll);
    connect(&space.live, &LiveStudy::settledChanged, this, &AfterWindow::compare);
    connect(&space.live, &LiveStudy::stateChanged, this, &AfterWindow::compare);
    connect(&space.jobs, &JobBoard::changed, this, [this] {
        if (isVisible()) showState();
    });
    showAll();
}

AfterWindow::~AfterWindow() { m_space.jobs.cancel(kAfterJob); }

void AfterWindow::setAfter(const QString& file) {
    m_after->setText(file);
    if (m_files.after == file.toStdString()) return;
    m_files.after = file.toStdString();
    m_files.intake.map.clear(); // columns of another file
    read();
}

void AfterWindow::setBefore(const QString& file) {
    m_before->setText(file);
    if (m_files.before == file.toStdString()) return;
    m_files.before = file.toStdString();
    read();
}

void AfterWindow::setOnAir(const QString& day) {
    m_onAir->setText(day);
    onAirEntered();
}

void AfterWindow::onAirEntered() {
    const QString text = m_onAir->text().trimmed();
    const auto day = dayFrom(text.toStdString());
    m_onAirSays->setText(text.isEmpty() || day ? tr("Days before it are before, days behind it after.")
                                               : tr("Write the day as 2026-05-18: year, month, day."));
    if ((!text.isEmpty() && !day) || m_files.onAir == day) return;
    m_files.onAir = day;
    read();
}

void AfterWindow::asked(const std::function<void(IntakeRequest&)>& how) {
    how(m_files.intake);
    read();
}

void AfterWindow::read() {
    ++m_round;
    m_reading = false;
    m_space.jobs.cancel(kAfterJob);
    m_days.reset();
    m_trouble.clear();
    if (m_files.after.empty() || !m_space.document.isOpen()) {
        compare();
        return;
    }
    m_reading = true;
    auto result = std::make_shared<Read>();
    result->round = m_round;
    const auto work = [result, plan = m_space.document.plan(), files = m_files](const Job& job) mutable {
        const MappingMemory memory(mappingMemoryFile());
        files.memory = &memory;
        auto days = readAfterDays(plan, files, job);
        if (days)
            result->days = std::make_shared<const AfterDays>(std::move(*days));
        else
            result->fault = days.error();
    };
    m_space.jobs.start(kAfterJob, tr("Reading counters"), work, [this, result](Outcome outcome) {
        if (result->round != m_round) return; // asked for something else meanwhile
        m_reading = false;
        if (outcome == Outcome::done)
            m_days = result->days;
        else
            m_trouble = tr("Reading was stopped.");
        if (outcome == Outcome::done && result->fault) m_trouble = coreText(result->fault->sentence());
        compare();
    });
    compare();
}

void AfterWindow::stop() {
    m_space.jobs.cancel(kAfterJob);
    if (!std::exchange(m_reading, false)) return;
    ++m_round;
    m_trouble = tr("Reading was stopped.");
    compare();
}

// Only against loads that have settled for the plan as it is.
void AfterWindow::compare() {
    const LiveStudy& live = m_space.live;
    const bool settled = live.settled() && !live.stale() && !live.settling();
    m_acceptance.reset();
    if (m_days && m_days->usable() && settled)
        m_acceptance = compareAfterLoad(m_space.document.plan(), *live.settled(), m_days->cells);
    showAll();
}

void AfterWindow::showAll() {
    const Plan& plan = m_space.document.plan();
    std::vector<IntakeRemark> questions, others;
    if (m_acceptance)
        for (const std::string& r : m_acceptance->remarks) others.push_back({Weight::look, r, {}, {}});
    if (m_days)
        for (const IntakeRemark& r : m_days->remarks)
            (r.weight == Weight::question ? questions : others).push_back(r);
    m_questions->setRemarks(questions);
    m_remarks->setRemarks(others);
    m_mapping->setPreview(m_days ? std::shared_ptr<const IntakePreview>(m_days, &m_days->after) : nullptr);
    m_controls->clear();
    if (m_acceptance) {
        m_chart->setAcceptance(plan, *m_acceptance);
        for (const ItemId id : m_acceptance->controls)
            m_controls->addItem(QString::fromStdString(plan.label(id)));
    } else {
        m_chart->clear();
    }
    m_controlsSays->setText(controlsText());
    m_tabs->setTabText(1, m_acceptance ? tr("&Untouched cells (%1)").arg(m_acceptance->controls.size())
                                       : tr("&Untouched cells"));
    m_tabs->setTabText(2, others.empty() ? tr("R&emarks") : tr("R&emarks (%1)").arg(others.size()));
    showState();
    showLesson();
}

QString AfterWindow::stateText() const {
    if (!m_space.document.isOpen()) return tr("Open a plan first.");
    if (m_files.after.empty())
        return tr("Choose counters of the macro cells from after the small cells went on air.");
    if (m_reading) return tr("Reading the counters ...");
    if (!m_trouble.isEmpty()) return m_trouble;
    if (!m_days) return {};
    if (!m_days->usable())
        return m_days->remarks.empty() || m_days->remarks.front().weight != Weight::question
                   ? tr("No row of the file can be used; the remarks say why.")
                   : tr("The counters leave something open.");
    if (m_acceptance) return coreText(m_acceptance->text);
    if (m_space.live.stale() || m_space.live.settling())
        return tr("The counters are read; waiting until the plan's loads have settled ...");
    return tr("The plan's loads have not settled: compute again (F5).");
}

// "24 h: reached. 72 h: reached. 4 weeks: 12 of 28 days."
QString AfterWindow::stagesText() const {
    if (!m_acceptance) return {};
    QStringList out;
    for (const auto& [state, days] : {std::pair<AcceptanceState, std::size_t>{AcceptanceState::hours24, 1},
                                      {AcceptanceState::hours72, 3},
                                      {AcceptanceState::weeks4, 28}}) {
        const QString word = coreText(wordFor(state));
        //: a state ("72 h") and how far it is off, in days
        out << (m_acceptance->state >= state
                    ? tr("%1: reached").arg(word)
                    : tr("%1: %2 of %3 days").arg(word).arg(m_acceptance->days).arg(days));
    }
    return out.join(QStringLiteral("   ·   "));
}

QString AfterWindow::controlsText() const {
    if (!m_acceptance) return tr("What traffic did meanwhile is told by cells that the plan leaves alone.");
    const QString change = signedFigure(m_acceptance->controlChange * 100, tr("points"));
    return tr("These cells are neither relieved nor harmed by the plan and were measured too. Their middle "
              "change is %1, their spread %2 points; it is taken off that of the relieved cells.")
        .arg(change, figure(m_acceptance->controlSpread * 100, {}, 1));
}

void AfterWindow::showState() {
    m_state->setText(stateText());
    m_stages->setText(stagesText());
    m_stages->setVisible(m_acceptance.has_value());
    m_bar->setVisible(m_reading);
    m_stop->setVisible(m_reading);
    for (const JobState& job : m_space.jobs.states())
        if (m_reading && job.name == tr("Reading counters"))
            m_bar->setValue(static_cast<int>(job.share * 1000));
    m_steps->setEnabled(m_acceptance && !m_chart->rows().empty());
    m_ratioSteps->setEnabled(m_acceptance.has_value());
    m_ratioSteps->setToolTip(tr("Measured relief over predicted relief, all targets together"));
}

void AfterWindow::showLesson() {
    QString why;
    bool offered = false;
    if (!m_acceptance) {
        why = tr("What was learnt is offered here once the comparison stands.");
    } else {
        const auto lesson = lessonOf(m_space.document.plan(), *m_acceptance);
        offered = lesson.ok() && !m_space.document.readOnly();
        why = lesson.ok() ? coreText(lesson->text) + QLatin1Char('.')
                          : tr("Nothing to learn yet: %1").arg(coreText(lesson.error().sentence()));
        if (lesson.ok() && m_space.document.readOnly())
            why += QLatin1Char(' ') + tr("The plan is open for reading only.");
    }
    m_lessonSays->setText(why);
    m_take->setEnabled(offered);
    m_take->setToolTip(why);
}

void AfterWindow::takeLesson() {
    if (!m_acceptance) return;
    const auto lesson = lessonOf(m_space.document.plan(), *m_acceptance);
    if (lesson.ok())
        static_cast<void>(m_space.document.perform(*lesson)); // a refusal is said by the document
}

void AfterWindow::showEvent(QShowEvent* e) {
    QDialog::showEvent(e);
    showAll();
}

} // namespace fw
