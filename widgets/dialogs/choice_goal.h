// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "siting/choice_feed.h"

#include <QWidget>

#include <filesystem>
#include <set>

class QCheckBox;
class QComboBox;
class QDoubleSpinBox;
class QLabel;
class QLineEdit;
class QListWidget;
class QPushButton;
class QSpinBox;

namespace fw {

/// What is wanted of a choice: the goal, the cells, what has to hold, the table of costs.
class ChoiceGoalForm : public QWidget {
    Q_OBJECT
public:
    /// @param installed  the table of costs that comes with the program; empty: the values in the program.
    ChoiceGoalForm(Workspace& space, std::filesystem::path installed, QWidget* parent = nullptr);

    /// Refused by a sentence: names that are no mount, no cell to relieve.
    [[nodiscard]] Result<ChoiceAsk> ask() const;
    /// Refused by a sentence with file and line.
    [[nodiscard]] Result<CostTable> costs() const;
    /// Costs are read from this table from now on; empty: from the installed one. Kept between sessions.
    void setTable(const QString& file);
    /// What is said of the table: whose figures they are, or what is wrong with it.
    [[nodiscard]] QString tableText() const;

    // Parts, for hands and tests.
    [[nodiscard]] QComboBox& goal() const { return *m_goal; }         ///< ChoiceGoal in its order
    [[nodiscard]] QComboBox& countedIn() const { return *m_counted; } ///< radios, money
    [[nodiscard]] QSpinBox& budget() const { return *m_budget; }
    [[nodiscard]] QSpinBox& chance() const { return *m_chance; } ///< percent; 0: not asked
    [[nodiscard]] QListWidget& cells() const { return *m_cells; }
    [[nodiscard]] QLineEdit& must() const { return *m_must; }
    [[nodiscard]] QLineEdit& mustNot() const { return *m_mustNot; }
    [[nodiscard]] QCheckBox& keep() const { return *m_keep; }
    [[nodiscard]] QDoubleSpinBox& spacing() const { return *m_spacing; }
    [[nodiscard]] QSpinBox& seed() const { return *m_seed; }
    [[nodiscard]] QSpinBox& iterations() const { return *m_iterations; }

signals:
    void changed();

private:
    struct Line {
        ItemId cell;
        double before = 0, target = 0;
        bool congested = false;
        bool operator==(const Line&) const = default;
    };
    void makeParts();
    QWidget* makeTable();
    QWidget* mountsRow(QLineEdit*& names, const QString& accessible);
    template <class Box>
    Box* spin(const QString& name, const QString& suffix, double low, double high, double value);
    void goalChanged();
    void fillCells();
    void cellTicked();
    void showTable();
    void showFacing();
    [[nodiscard]] Result<std::vector<ItemId>> mountsIn(const QLineEdit& names) const;

    Workspace& m_space;
    std::filesystem::path m_installed, m_own;
    std::vector<Line> m_lines;             ///< as listed
    std::set<ItemId> m_ticked, m_unticked; ///< cells by hand; the others are in where they are congested
    std::array<int, 2> m_budgets{3, 50000};
    bool m_filling = false;
    QComboBox *m_goal = nullptr, *m_counted = nullptr;
    QSpinBox *m_budget = nullptr, *m_chance = nullptr, *m_perMount = nullptr, *m_perStreet = nullptr,
             *m_seed = nullptr, *m_iterations = nullptr;
    QDoubleSpinBox* m_spacing = nullptr;
    QListWidget* m_cells = nullptr;
    QLineEdit *m_must = nullptr, *m_mustNot = nullptr;
    QCheckBox *m_consent = nullptr, *m_keep = nullptr;
    QLabel *m_budgetName = nullptr, *m_chanceName = nullptr, *m_cellsSay = nullptr, *m_facing = nullptr,
           *m_tableSays = nullptr;
    QPushButton* m_back = nullptr;
};

} // namespace fw
