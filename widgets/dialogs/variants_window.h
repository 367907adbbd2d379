// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "siting/compare_variants.h"

#include <QDialog>

#include <vector>

class QLabel;
class QProgressBar;
class QPushButton;
class QTableWidget;

namespace fw {

/// The variants of the plan side by side, a column each: small cells, loads, findings, chance, and the use
/// after of every full cell; the best of a row in bold. Not modal; while it is open it computes anew after
/// each edit. Everything it does to the plan is one step of the history.
class VariantsWindow : public QDialog {
    Q_OBJECT
public:
    explicit VariantsWindow(Workspace& space, QWidget* parent = nullptr);
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

signals:
    void workingWanted(fw::Working working);

protected:
    void showEvent(QShowEvent*) override;
    void hideEvent(QHideEvent*) override;

private:
    void makeWindow();
    QWidget* makeActions();
    void follow();
    void compare();
    void fill();
    void showState();
    void choose(ItemId variant);
    bool perform(Result<Edit> edit);

    Workspace& m_space;
    std::vector<VariantFigures> m_figures;
    std::shared_ptr<const Study> m_of; ///< what the figures were computed from
    QString m_refused;
    bool m_running = false;
    QLabel *m_state = nullptr, *m_said = nullptr;
    QTableWidget* m_table = nullptr;
    QPushButton *m_work = nullptr, *m_copy = nullptr, *m_cells = nullptr, *m_remove = nullptr,
                *m_steps = nullptr, *m_stop = nullptr;
    QProgressBar* m_bar = nullptr;
};

} // namespace fw
