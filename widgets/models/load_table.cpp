// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/stage_tables.h"
#include "models/words.h"
#include "text/figures.h"

#include <algorithm>

namespace fw {

namespace {

QString tenth(const QVariant& v) { return v.isValid() ? figure(v.toDouble(), {}, 1) : unknownFigure(); }
QString tenthSigned(const QVariant& v) {
    return v.isValid() ? signedFigure(v.toDouble(), {}, 1) : unknownFigure();
}

} // namespace

LoadTable::LoadTable(Workspace& space, QObject* parent) : ItemTable(space, parent) {
    std::vector<TableColumn> c;
    c.push_back(fieldColumn(Kind::cell, "name", tr("Cell")));
    TableColumn site;
    site.head = tr("Site");
    site.meaning = tr("Macro site and sector of the cell.");
    site.value = [this](ItemId id) -> QVariant {
        const Chain chain = rowChain(plan(), id);
        return chain.site ? QString::fromStdString(plan().label(chain.site)) : QString();
    };
    c.push_back(site);
    TableColumn carrier;
    carrier.head = tr("Carrier");
    carrier.value = [this](ItemId id) -> QVariant {
        const Cell* cell = plan().cells.find(id);
        return cell ? carrierText(cell->carrier) : QString();
    };
    c.push_back(carrier);
    c.push_back(fieldColumn(Kind::cell, "dl_prb_use", tr("Now (%)")));
    setColumns(std::move(c));
    addLoad();
    addRates();
    addUplink();
    start();
}

const LedgerLine* LoadTable::line(ItemId cell) const {
    const Ledger* ledger = space().live.ledger();
    if (!ledger) return nullptr;
    const auto it = std::lower_bound(ledger->cells.begin(), ledger->cells.end(), cell,
                                     [](const LedgerLine& l, ItemId id) { return l.cell < id; });
    return it != ledger->cells.end() && it->cell == cell ? &*it : nullptr;
}

std::vector<ItemId> LoadTable::wantedRows() const {
    std::vector<ItemId> out;
    for (const Cell& c : plan().cells) out.push_back(c.id);
    return out;
}

void LoadTable::addLoad() {
    const auto number = [this](const QString& head, const QString& meaning,
                               const std::function<QVariant(const LedgerLine&)>& value,
                               std::function<QString(const QVariant&)> text) {
        TableColumn c;
        c.head = head;
        c.meaning = meaning;
        c.number = true;
        c.value = [this, value](ItemId id) -> QVariant {
            const LedgerLine* l = line(id);
            return l ? value(*l) : QVariant();
        };
        c.text = std::move(text);
        addColumn(std::move(c));
    };
    number(
        tr("After, live (%)"),
        tr("Downlink PRB use with the chosen small cells, neighbours as measured; the chart below tells the "
           "settled one."),
        [](const LedgerLine& l) -> QVariant { return l.after * 100; }, tenth);
    number(
        tr("Target (%)"), tr("What a congested cell must come down to."),
        [](const LedgerLine& l) -> QVariant { return l.congested ? QVariant(l.target * 100) : QVariant(); },
        [](const QVariant& v) { return v.isValid() ? figure(v.toDouble(), {}, 0) : unknownFigure(); });
    TableColumn over;
    over.head = tr("Over the trigger");
    over.meaning = tr("Full on enough days of the week while its users suffer.");
    over.value = [this](ItemId id) -> QVariant {
        const Cell* cell = plan().cells.find(id);
        return cell && overTrigger(cell->load, plan().settings->model) ? tr("yes") : QString();
    };
    addColumn(over);
    number(
        tr("Taken off (points)"), tr("PRB use that small cells take over."),
        [](const LedgerLine& l) -> QVariant {
            double sum = 0;
            for (const LedgerLine::Part& p : l.relief) sum += p.use * 100;
            return sum;
        },
        tenth);
    number(
        tr("Harm (points)"), tr("PRB use that the small cells' interference adds."),
        [](const LedgerLine& l) -> QVariant { return l.harm * 100; }, tenthSigned);
    number(
        tr("Holds until"), tr("When the cell is back at the trigger as traffic grows."),
        [this](const LedgerLine& l) -> QVariant {
            return l.holdsMonths ? QVariant(monthsOnPlan(plan(), l.cell, *l.holdsMonths)) : QVariant();
        },
        [this](const QVariant& v) {
            return v.isValid() ? holdsUntil(plan().settings->date, v.toDouble()) : unknownFigure();
        });
}

void LoadTable::addRates() {
    const int first = columnCount();
    const auto rate = [this](const QString& head, const QString& meaning, bool median, bool after) {
        TableColumn c;
        c.head = head;
        c.meaning = meaning;
        c.number = true;
        c.value = [this, median, after](ItemId id) -> QVariant {
            const UserRates* r = space().rates.of(id);
            if (!r || (after && !r->after)) return {};
            const UserRatePair& pair = after ? *r->after : r->before;
            return (median ? pair.median : pair.low).mbps;
        };
        c.text = tenth;
        addColumn(std::move(c));
    };
    rate(tr("Median now (Mbit/s)"),
         tr("What half of the cell's users get at least, of what the loads leave free."), true, false);
    rate(tr("Median after (Mbit/s)"),
         tr("The same with the chosen small cells, of those that stay, by the settled ledger."), true, true);
    rate(tr("5 % now (Mbit/s)"), tr("What all but five in a hundred users get at least."), false, false);
    rate(tr("5 % after (Mbit/s)"),
         tr("The same with the chosen small cells, of those that stay, by the settled ledger."), false, true);
    connect(&space().rates, &LiveRates::changed, this, [this, first] {
        for (const ItemId id : ids())
            for (int c = first; c < first + 4; ++c) refreshCell(id, c);
    });
}

void LoadTable::addUplink() {
    const int first = columnCount();
    const auto share = [this](const QString& head, const QString& meaning, double UplinkLine::*part) {
        TableColumn c;
        c.head = head;
        c.meaning = meaning;
        c.number = true;
        c.value = [this, part](ItemId id) -> QVariant {
            const UplinkLine* l = space().uplink.of(id);
            return l ? QVariant(l->*part * 100) : QVariant();
        };
        c.text = tenth;
        addColumn(std::move(c));
    };
    share(tr("Uplink now (%)"), tr("Uplink PRB use as measured."), &UplinkLine::before);
    share(tr("Uplink after (%)"),
          tr("The same with the chosen small cells: who moves in the downlink moves too."),
          &UplinkLine::after);
    share(tr("At full power (%)"), tr("Share of its users whose devices send at full power."),
          &UplinkLine::fullPower);
    share(tr("Voice at the edge (%)"),
          tr("Share of its users where a voice call at full power is under the SINR it needs."),
          &UplinkLine::voiceEdge);
    connect(&space().uplink, &LiveUplink::changed, this, [this, first] {
        for (const ItemId id : ids())
            for (int c = first; c < first + 4; ++c) refreshCell(id, c);
    });
}

} // namespace fw
