// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"

#include <QSplitter>
#include <QStackedWidget>
#include <QWidget>

#include <optional>
#include <vector>

namespace fw {

class CellUsers;
class ChanceChart;
class FactsPanel;
class FindingsPanel;
class FitBar;
class LedgerChart;
class SkylineView;

/// Under the map, full width: facts, skyline (of a macro cell: its users), fit over loads, and findings of
/// what is chosen.
class Bench : public QWidget {
    Q_OBJECT
public:
    explicit Bench(Workspace& space, QWidget* parent = nullptr);
    [[nodiscard]] FactsPanel* facts() const { return m_facts; }
    [[nodiscard]] FitBar* fit() const { return m_fit; }
    [[nodiscard]] SkylineView* skyline() const { return m_skyline; }
    [[nodiscard]] CellUsers* cellUsers() const { return m_cellUsers; }
    [[nodiscard]] LedgerChart* ledger() const { return m_ledger; }
    /// In the place of the fit while a macro cell is chosen.
    [[nodiscard]] ChanceChart* chance() const { return m_chance; }
    [[nodiscard]] FindingsPanel* findings() const { return m_findings; }
    [[nodiscard]] QByteArray state() const { return m_row->saveState(); }
    void setState(const QByteArray& state) { m_row->restoreState(state); }

protected:
    void paintEvent(QPaintEvent*) override;

private:
    void follow();

    Workspace& m_space;
    QSplitter* m_row;
    FactsPanel* m_facts;
    FitBar* m_fit;
    SkylineView* m_skyline;
    CellUsers* m_cellUsers;
    QStackedWidget* m_view; ///< of these two, the one that what is chosen has
    LedgerChart* m_ledger;
    ChanceChart* m_chance;
    FindingsPanel* m_findings;
};

} // namespace fw
