// SPDX-License-Identifier: GPL-3.0-or-later
// The six tables, one a stage.
#pragma once

#include "models/finding_index.h"
#include "models/item_table.h"
#include "models/stage.h"
#include "study/fringe_map.h"

#include <QTimer>

#include <deque>
#include <map>
#include <optional>
#include <set>

namespace fw {

/// Macro cells with their load now and after.
class LoadTable : public ItemTable {
    Q_OBJECT
public:
    explicit LoadTable(Workspace& space, QObject* parent = nullptr);

protected:
    std::vector<ItemId> wantedRows() const override;
    bool allFollowDrag() const override { return true; }

private:
    [[nodiscard]] const LedgerLine* line(ItemId cell) const;
    void addLoad();
    void addRates();
    void addUplink();
};

/// Congested cells, cells whose fringe is in view, and congestion areas.
class FringeTable : public ItemTable {
    Q_OBJECT
public:
    explicit FringeTable(Workspace& space, QObject* parent = nullptr);

protected:
    std::vector<ItemId> wantedRows() const override;
    bool editable(ItemId row, int column) const override;

private:
    [[nodiscard]] const FringeMap* fringe(ItemId cell) const; ///< null while not computed
};

/// Small cells of the active variant.
class CellsTable : public ItemTable {
    Q_OBJECT
public:
    explicit CellsTable(Workspace& space, QObject* parent = nullptr);

protected:
    std::vector<ItemId> wantedRows() const override;
    void figuresChanged() override;

private:
    void addAim();
    void addJudgement();
    void addLoad();
    [[nodiscard]] QVariant fit(ItemId small) const;
    void someFits();
    [[nodiscard]] const FindingIndex& findings() const;
    mutable std::optional<FindingIndex> m_findings; ///< made when asked for: not in every frame of a drag
    mutable std::map<ItemId, double> m_fits;        ///< of m_fitsOf, or older where still waited for
    mutable std::deque<ItemId> m_waiting;
    mutable std::set<ItemId> m_fresh;
    mutable QTimer m_timer;
    int m_fitColumn = -1;
};

/// Mounts that are to be built on.
class WorksTable : public ItemTable {
    Q_OBJECT
public:
    explicit WorksTable(Workspace& space, QObject* parent = nullptr);
    /// What is still to be settled at a mount, in words; empty when nothing is.
    static QString openItems(const Plan& plan, const Mount& mount);

protected:
    std::vector<ItemId> wantedRows() const override;

private:
    void addWork(const char* key);
};

/// Sites for the pack; which of them go in is ticked here and is no part of the plan.
class PackTable : public ItemTable {
    Q_OBJECT
public:
    explicit PackTable(Workspace& space, QObject* parent = nullptr);
    [[nodiscard]] std::vector<ItemId> chosenSites() const; ///< ascending

signals:
    void chosenSitesChanged();

protected:
    std::vector<ItemId> wantedRows() const override;
    void figuresChanged() override;
    bool tick(ItemId row, int column, bool on) override;

private:
    [[nodiscard]] const FindingIndex& findings() const;
    mutable std::optional<FindingIndex> m_findings; ///< made when asked for
    std::set<ItemId> m_leftOut;
};

/// What was planned, beside which the record of what was built will stand.
class AsBuiltTable : public ItemTable {
    Q_OBJECT
public:
    explicit AsBuiltTable(Workspace& space, QObject* parent = nullptr);

protected:
    std::vector<ItemId> wantedRows() const override;
};

ItemTable* makeStageTable(Stage stage, Workspace& space, QObject* parent);

} // namespace fw
