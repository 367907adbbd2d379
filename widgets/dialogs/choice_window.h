// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "dialogs/choice_run.h"

#include <QDialog>

#include <filesystem>

class QLabel;
class QProgressBar;
class QPushButton;
class QTableWidget;
class QTabWidget;

namespace fw {

class ChoiceCurve;
class ChoiceGoalForm;

/// Chooses a set of mounts and azimuths: what is wanted on one side, on the other how the search comes along
/// and what came of it. Not modal; the search runs on a worker, and nothing changes before "Apply" or "As a
/// new variant".
class ChoiceWindow : public QDialog {
    Q_OBJECT
public:
    /// @param costs  the table of costs that comes with the program.
    ChoiceWindow(Workspace& space, std::filesystem::path costs, QWidget* parent = nullptr);
    ~ChoiceWindow() override;

    [[nodiscard]] ChoiceRun& run() { return m_run; }
    [[nodiscard]] ChoiceGoalForm& goal() const { return *m_goal; }
    [[nodiscard]] const ChoiceCurve& curve() const { return *m_curve; }
    [[nodiscard]] QTableWidget& figures() const { return *m_figures; }
    /// New ones first, what brings most on top; then the best that is left out; then those that stand.
    [[nodiscard]] QTableWidget& chosen() const { return *m_chosen; }
    [[nodiscard]] const std::vector<ChosenOption>& chosenRows() const { return m_rows; }
    [[nodiscard]] QTableWidget& targets() const { return *m_targets; }
    [[nodiscard]] QString stateText() const;
    [[nodiscard]] QString verdictText() const;
    /// For the map; empty while the window is closed.
    [[nodiscard]] Ghosts ghosts() const;

public slots:
    void start();
    void apply();
    void askForVariant();

signals:
    void ghostsChanged();
    void itemWanted(fw::ItemId item);        ///< a row was chosen
    void workingWanted(fw::Working working); ///< of a figure

protected:
    void showEvent(QShowEvent*) override;
    void hideEvent(QHideEvent*) override;

private:
    // choice_window.cpp
    void runChanged();
    void curveChanged();
    void resultChanged();
    void say(const Status& done);
    void fillFigures();
    void fillChosen();
    void fillTargets();
    void openWorking();
    void rowChosen();
    [[nodiscard]] QString amount(std::int64_t value) const; ///< of the goal's own objective
    [[nodiscard]] QString costText(std::int64_t cost) const;
    [[nodiscard]] QString whyText(const ChosenOption& option, bool out) const;
    // choice_window_parts.cpp
    void makeWindow();
    QWidget* makeResult();
    QTableWidget* makeTable(const QString& name, const QStringList& heads);
    void connectParts();

    Workspace& m_space;
    ChoiceRun m_run;
    std::shared_ptr<const ChoiceResult> m_filled; ///< what the tables show
    std::vector<ChosenOption> m_rows;             ///< of chosen()
    QString m_said;                               ///< a refusal of the form or of the plan
    ChoiceGoalForm* m_goal = nullptr;
    ChoiceCurve* m_curve = nullptr;
    QLabel *m_state = nullptr, *m_verdict = nullptr, *m_remarks = nullptr;
    QTabWidget* m_tabs = nullptr;
    QTableWidget *m_figures = nullptr, *m_chosen = nullptr, *m_targets = nullptr;
    QProgressBar* m_bar = nullptr;
    QPushButton *m_start = nullptr, *m_stop = nullptr, *m_working = nullptr, *m_variant = nullptr,
                *m_apply = nullptr;
};

} // namespace fw
