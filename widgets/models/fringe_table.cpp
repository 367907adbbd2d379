// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/stage_tables.h"
#include "text/figures.h"

#include <QPointer>

#include <algorithm>

namespace fw {

namespace {

const char* const kJob = "fringes";

// What the fringes rest on; small cells and what hangs on them do not change them.
bool touchesFringes(const PlanDiff& diff) {
    return diff.settings || std::any_of(diff.items.begin(), diff.items.end(), [](const Difference& d) {
               switch (d.kind) {
               case Kind::macroSite:
               case Kind::sector:
               case Kind::cell:
               case Kind::congestionArea:
               case Kind::antennaCut:
               case Kind::building:
               case Kind::tree:
                   return true;
               default:
                   return false;
               }
           });
}

} // namespace

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
        ask();
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
}

FringeTable::~FringeTable() { space().jobs.cancel(QString::fromLatin1(kJob)); }

const FringeMap* FringeTable::fringe(ItemId cell) const {
    const auto it = m_fringes.find(cell);
    return it == m_fringes.end() ? nullptr : &it->second;
}

std::vector<ItemId> FringeTable::wantedRows() const {
    std::vector<ItemId> out;
    for (const Cell& c : plan().cells)
        if (overTrigger(c.load, plan().settings->model)) out.push_back(c.id);
    for (const CongestionArea& a : plan().congestionAreas) out.push_back(a.id);
    std::sort(out.begin(), out.end());
    return out;
}

bool FringeTable::editable(ItemId row, int) const { return plan().congestionAreas.find(row) != nullptr; }

// The table was looked at: fringes are wanted, once the turn is over.
void FringeTable::ask() const {
    if (!m_stale || m_wanted) return;
    m_wanted = true;
    QMetaObject::invokeMethod(const_cast<FringeTable*>(this), &FringeTable::compute, Qt::QueuedConnection);
}

void FringeTable::planMoved(const PlanDiff& diff) {
    if (!diff.empty() && !touchesFringes(diff)) return;
    if (diff.empty()) m_fringes.clear();
    m_stale = true;
    space().jobs.cancel(QString::fromLatin1(kJob));
    m_wanted = false;
}

void FringeTable::figuresChanged() {
    if (m_stale && m_wanted) compute();
}

void FringeTable::compute() {
    const auto& study = space().live.study();
    if (!m_stale || !study || space().live.stale() || space().live.dragging()) return;
    if (space().jobs.runs(QString::fromLatin1(kJob))) return;
    std::vector<ItemId> cells;
    for (const MacroCell& c : study->macroCells())
        if (c.congested) cells.push_back(c.id);
    auto found = std::make_shared<std::map<ItemId, FringeMap>>();
    space().jobs.start(
        QString::fromLatin1(kJob), tr("Computing fringes"),
        [found, study, cells](const Job& job) {
            for (std::size_t i = 0; i < cells.size() && !job.stopped(); ++i) {
                job.report(static_cast<double>(i) / static_cast<double>(cells.size()), "fringes");
                (*found)[cells[i]] = fringeOf(*study, cells[i]);
            }
        },
        [this, found](Outcome outcome) {
            if (outcome != Outcome::done) return;
            m_fringes = std::move(*found);
            m_stale = m_wanted = false;
            refreshRows([](ItemId) { return true; });
            emit fringesChanged();
        });
}

} // namespace fw
