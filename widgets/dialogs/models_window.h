// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"

#include <QDialog>

#include <string>
#include <vector>

class QComboBox;
class QLabel;
class QTableWidget;
class QTableWidgetItem;

namespace fw {

/// What the plan is computed with: which published model is used where, with the recommended one and why, and
/// every value that a planner may replace. Not modal; each change is one step of the history.
class ModelsWindow : public QDialog {
    Q_OBJECT
public:
    explicit ModelsWindow(Workspace& space, QWidget* parent = nullptr);

    /// By the setting's name in plan/fields.h: "efficiency_model"; null: none.
    [[nodiscard]] QComboBox* choice(const std::string& setting) const;
    [[nodiscard]] QTableWidget* values() const { return m_values; }
    /// Why the current value is usual.
    [[nodiscard]] QString whyText() const;
    [[nodiscard]] QString refusedText() const;

private:
    struct Choice {
        std::string setting;
        QComboBox* box = nullptr;
        std::vector<std::string> names; ///< written form, by row
    };
    struct Value {
        std::string setting;
        bool whole = false;
    };

    void makeWindow();
    void addChoices(QWidget* box);
    void addValues();
    void refresh();
    void tellWhy();
    void choose(const Choice& choice, int row);
    void entered(QTableWidgetItem* item);
    void perform(const Result<Edit>& edit);

    Workspace& m_space;
    std::vector<Choice> m_choices;
    std::vector<Value> m_rows;
    QTableWidget* m_values = nullptr;
    QLabel *m_why = nullptr, *m_refused = nullptr;
    bool m_filling = false;
};

} // namespace fw
