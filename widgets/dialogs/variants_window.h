// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "siting/compare_variants.h"

#include <QDialog>

#include <filesystem>
#include <vector>

class QLabel;
class QProgressBar;
class QPushButton;
class QTableWidget;

namespace fw {

/// The variants of the plan side by side, a column each: small cells, loads, findings, chance, and the use
/// after of every full cell; what it costs, by the table of costs in use; the best of a row in bold. Not
/// modal; while it is open it computes anew after each edit. Everything it does to the plan is one step of
/// the history.
class VariantsWindow : public QDialog {
    Q_OBJECT
public:
    /// @param costs  the table of costs that comes with the program; empty: the values in the program.
    explicit VariantsWindow(Workspace& space, std::filesystem::path costs = {}, QWidget* parent = nullptr);
    ~VariantsWindow() override;

    [[nodiscard]] const std::vector<VariantFigures>& figures() const { return m_figures; }
    [[nodiscard]] QTableWidget& table() const { return *m_table; }
    /// What the figures are of, or why there are none.
    [[nodiscard]] QString stateText() const;
    /// Of the chosen column; none without one.
    [[nodiscard]] ItemId chosen() const;

public slots:
    void workOn();     ///< makes the chosen one the active
    void copyChosen(); ///< a copy of the chosen one, which becomes the active
    void makeEmpty();
    void copyCells(); ///< what is chosen in the plan into the chosen variant
    void removeChosen();
    void openWorking(); ///< the steps to the figures of the chosen one
    void openCost();    ///< the steps to its cost

signals:
    void workingWanted(fw::Working working);

protected:
    void showEvent(QShowEvent*) override;
    void hideEvent(QHideEvent*) override;
    bool event(QEvent*) override;

private:
    void makeWindow();
    QWidget* makeActions();
    void follow();
    void compare();
    bool reckonCosts(); ///< anew; whether any differs from before
    void fill();
    [[nodiscard]] bool isCostRow(int row) const;
    void showState();
    void choose(ItemId variant);
    bool perform(Result<Edit> edit);

    Workspace& m_space;
    std::vector<VariantFigures> m_figures;
    std::shared_ptr<const Study> m_of; ///< what the figures were computed from
    std::filesystem::path m_installed; ///< table of costs
    QString m_refused, m_noCosts;      ///< why an edit was refused; why there are no costs
    bool m_running = false;
    QLabel *m_state = nullptr, *m_said = nullptr;
    QTableWidget* m_table = nullptr;
    QPushButton *m_work = nullptr, *m_copy = nullptr, *m_cells = nullptr, *m_remove = nullptr,
                *m_steps = nullptr, *m_costSteps = nullptr, *m_stop = nullptr;
    QProgressBar* m_bar = nullptr;
};

} // namespace fw
