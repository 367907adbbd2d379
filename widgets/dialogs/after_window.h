// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "intake/after_days.h"

#include <QDialog>

class QFormLayout;
class QLabel;
class QLineEdit;
class QListWidget;
class QProgressBar;
class QPushButton;
class QTabWidget;

namespace fw {

class MappingTable;
class ReliefChart;
class RemarkList;

/// Whether built small cells did what was predicted: counters from before and after, relief target by target
/// beside the settled ledger's, and what can be learnt from it, as one step of the history. Not modal; what
/// is shown always belongs to the plan as it is.
class AfterWindow : public QDialog {
    Q_OBJECT
public:
    explicit AfterWindow(Workspace& space, QWidget* parent = nullptr);
    ~AfterWindow() override;

    void setAfter(const QString& file);
    void setBefore(const QString& file);
    void setOnAir(const QString& day); ///< YYYY-MM-DD, or empty

    [[nodiscard]] bool reading() const { return m_reading; }
    /// What the window says of where it stands.
    [[nodiscard]] QString stateText() const;
    [[nodiscard]] const std::optional<Acceptance>& acceptance() const { return m_acceptance; }
    [[nodiscard]] ReliefChart& chart() const { return *m_chart; }
    void takeLesson();

signals:
    void workingWanted(const fw::Working& working);

protected:
    void showEvent(QShowEvent*) override;

private:
    // after_window.cpp
    void asked(const std::function<void(IntakeRequest&)>& how);
    void read();
    void stop();
    void compare();
    void showAll();
    void showState();
    void showLesson();
    [[nodiscard]] QString stagesText() const;
    [[nodiscard]] QString controlsText() const;
    void onAirEntered();
    // after_window_parts.cpp
    void makeWindow();
    QWidget* makeFiles();
    QWidget* makeTabs();
    QWidget* makeLesson();
    QWidget* makeFoot();
    QLineEdit* fileRow(QFormLayout& form, const QString& label, const QString& name, const QString& empty);

    struct Read;
    Workspace& m_space;
    AfterFiles m_files;
    std::shared_ptr<const AfterDays> m_days;
    std::optional<Acceptance> m_acceptance;
    QString m_trouble;
    bool m_reading = false;
    std::uint64_t m_round = 0; ///< results of an earlier one are dropped

    QLineEdit *m_after = nullptr, *m_before = nullptr, *m_onAir = nullptr;
    QLabel *m_onAirSays = nullptr, *m_state = nullptr, *m_stages = nullptr, *m_lessonSays = nullptr,
           *m_controlsSays = nullptr;
    RemarkList *m_questions = nullptr, *m_remarks = nullptr;
    QTabWidget* m_tabs = nullptr;
    ReliefChart* m_chart = nullptr;
    QListWidget* m_controls = nullptr;
    MappingTable* m_mapping = nullptr;
    QProgressBar* m_bar = nullptr;
    QPushButton *m_stop = nullptr, *m_take = nullptr, *m_steps = nullptr, *m_ratioSteps = nullptr;
};

} // namespace fw
