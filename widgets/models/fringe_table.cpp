// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/stage_tables.h"
#include "text/figures.h"

#include <algorithm>

namespace fw {

FringeTable::FringeTable(Workspace& space, QObject* parent) : ItemTable(space, parent) {
    TableColumn name;
    name.head = tr("Name");
    name.meaning = tr("Congested cell, or congestion area.");
    name.value = [this](ItemId id) -> QVariant { return QString::fromStdString(plan().label(id)); };
    TableColumn what;
    what.head = tr("What");
    what.value = [this](ItemId id) -> QVariant {
        return plan().congestionAreas.find(id) ? tr("congestion area") : tr("fringe of a cell");
    };
    TableColumn area;
    area.head = tr("Area (ha)");
    area.number = true;
    area.value = [this](ItemId id) -> QVariant {
        if (const CongestionArea* a = plan().congestionAreas.find(id)) return areaOf(a->area) / 1e4;
        const FringeMap* f = fringe(id);
        return f ? QVariant(f->areaM2 / 1e4) : QVariant();
    };
    area.text = [](const QVariant& v) { return v.isValid() ? figure(v.toDouble(), {}, 2) : unknownFigure(); };
    TableColumn share;
    share.head = tr("Cost inside (%)");
    share.meaning = tr("Of the cell's movable PRB cost, what lies in its fringe.");
    share.number = true;
    share.value = [this](ItemId id) -> QVariant {
        const FringeMap* f = fringe(id);
        return f ? QVariant(f->costShare * 100) : QVariant();
    };
    share.text = [](const QVariant& v) {
        return v.isValid() ? figure(v.toDouble(), {}, 0) : unknownFigure();
    };
    TableColumn factor = fieldColumn(Kind::congestionArea, "demand_factor");
    const ItemField* field = factor.field;
    factor.value = [this, field](ItemId id) -> QVariant {
        const CongestionArea* a = plan().congestionAreas.find(id);
        return a ? field->read(*a) : QVariant();
    };
    setColumns({name, what, area, share, factor});
    start();
    connect(&space.fringes, &Fringes::changed, this, [this] {
        followRows();
        refreshRows([](ItemId) { return true; });
    });
}

const FringeMap* FringeTable::fringe(ItemId cell) const {
    const auto& maps = space().fringes.maps();
    const auto it = std::lower_bound(maps.begin(), maps.end(), cell,
                                     [](const FringeMap& f, ItemId id) { return f.cell < id; });
    return it != maps.end() && it->cell == cell ? &*it : nullptr;
}

std::vector<ItemId> FringeTable::wantedRows() const {
    std::vector<ItemId> out;
    for (const Cell& c : plan().cells)
        if (overTrigger(c.load, plan().settings->model)) out.push_back(c.id);
    for (const CongestionArea& a : plan().congestionAreas) out.push_back(a.id);
    for (const FringeMap& f : space().fringes.maps())
        if (plan().cells.find(f.cell)) out.push_back(f.cell);
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
}

bool FringeTable::editable(ItemId row, int) const { return plan().congestionAreas.find(row) != nullptr; }

} // namespace fw
