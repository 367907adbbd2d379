// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"

#include <QWidget>

#include <vector>

class QComboBox;
class QLabel;

namespace fw {

class PolarChart;

/// Which antenna radios or sectors have, chosen from the measured ones of the plan, and how it radiates. Each
/// sector may have its own. Several chosen: set for all at once, as one step of the history; no picture.
class AntennaFacts : public QWidget {
    Q_OBJECT
public:
    explicit AntennaFacts(Workspace& space, QWidget* parent = nullptr);

    /// Radios, or sectors.
    void setItems(const std::vector<ItemId>& items);
    /// Takes over from the plan or, while a radio is dragged, from the drag.
    void refresh();

    [[nodiscard]] QComboBox* choice() const { return m_choice; }
    [[nodiscard]] PolarChart* chart() const { return m_chart; }

protected:
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    void fill();
    void choose(int row);
    [[nodiscard]] ItemId antennaOf(ItemId item) const;

    Workspace& m_space;
    std::vector<ItemId> m_items, m_antennas; ///< by row of the choice, the first one none
    QComboBox* m_choice;
    QLabel* m_refused;
    PolarChart* m_chart;
};

} // namespace fw
