// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "intake/audit_edit.h"

#include <QDialog>

#include <memory>

class QLabel;
class QPushButton;
class QTableView;

namespace fw {

class AuditModel;

/// What is doubtful in the inventory, each with a proposal. Not modal; nothing is ticked beforehand and
/// nothing changes before "Apply ticked", which is one step of the history. While it is open it follows the
/// plan.
class AuditWindow : public QDialog {
    Q_OBJECT
public:
    explicit AuditWindow(Workspace& space, QWidget* parent = nullptr);
    ~AuditWindow() override;

    /// What was measured, for the checks that need it; null: nothing.
    void setMeasured(std::shared_ptr<const std::vector<MeasuredPoint>> points);
    /// Names of cells that files of counters have.
    void setCounted(std::vector<std::string> cells);

    [[nodiscard]] const AuditModel& model() const { return *m_model; }
    [[nodiscard]] QTableView& table() const { return *m_table; }
    /// How many findings there are of which weight, or why there are none.
    [[nodiscard]] QString stateText() const;
    /// False while the list is of an earlier plan.
    [[nodiscard]] bool fresh() const { return m_fresh; }

public slots:
    void applyTicked();

signals:
    void itemWanted(fw::ItemId item); ///< a row was chosen: bring what it is about into view

protected:
    void showEvent(QShowEvent*) override;
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    struct Run;
    void makeWindow();
    QWidget* makeFoot();
    void audit();
    void audited(Outcome outcome, Run& run);
    void showState();
    void showCurrent();
    void rowChosen();
    void evidenceChanged();
    [[nodiscard]] AuditEvidence evidence() const;

    Workspace& m_space;
    std::shared_ptr<const std::vector<MeasuredPoint>> m_measured;
    std::vector<std::string> m_counted;
    AuditModel* m_model = nullptr;
    QTableView* m_table = nullptr;
    QLabel *m_state = nullptr, *m_became = nullptr, *m_details = nullptr;
    QPushButton *m_apply = nullptr, *m_all = nullptr;
    std::uint64_t m_round = 0; ///< results of an earlier one are dropped
    bool m_fresh = false;
};

} // namespace fw
