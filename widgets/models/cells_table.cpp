// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/stage_tables.h"
#include "models/words.h"
#include "text/figures.h"

#include <array>

namespace fw {

namespace {
constexpr int kFitsATurn = 3; // about half a millisecond each
}

CellsTable::CellsTable(Workspace& space, QObject* parent) : ItemTable(space, parent) {
    m_timer.setSingleShot(true);
    m_timer.setInterval(0);
    connect(&m_timer, &QTimer::timeout, this, &CellsTable::someFits);
    TableColumn chosen = fieldColumn(Kind::smallCell, "chosen");
    chosen.head = tr("In");
    setColumns({chosen, fieldColumn(Kind::smallCell, "name", tr("Small cell"))});
    addAim();
    addJudgement();
    addLoad();
    start();
}

void CellsTable::addAim() {
    const auto mountOf = [this](ItemId id) { return rowChain(plan(), id).mount; };
    const auto radioOf = [this](ItemId id) { return rowChain(plan(), id).radio; };
    addColumn(fieldColumn(Kind::mount, "name", tr("Mount"), mountOf));
    addColumn(fieldColumn(Kind::mount, "kind", tr("Kind"), mountOf));
    addColumn(fieldColumn(Kind::mount, "height_m", {}, mountOf));
    addColumn(fieldColumn(Kind::radio, "azimuth_deg", tr("Azimuth true (°)"), radioOf));
    addColumn(fieldColumn(Kind::radio, "tilt_deg", {}, radioOf));
    addColumn(fieldColumn(Kind::radio, "total_power_dbm", {}, radioOf));
    TableColumn carrier;
    carrier.head = tr("Carrier");
    carrier.value = [this](ItemId id) -> QVariant {
        const SmallCell* s = plan().smallCells.find(id);
        return s ? carrierText(s->carrier) : QString();
    };
    addColumn(carrier);
}

void CellsTable::addJudgement() {
    m_fitColumn = columnCount();
    TableColumn fitColumn;
    fitColumn.head = tr("Fit (0–100)");
    fitColumn.meaning = tr("How good the radio is at this place and azimuth, from its weighted terms.");
    fitColumn.number = true;
    fitColumn.value = [this](ItemId id) { return fit(id); };
    fitColumn.text = [](const QVariant& v) {
        return v.isValid() ? figure(v.toDouble(), {}, 0) : unknownFigure();
    };
    addColumn(fitColumn);
    TableColumn worst;
    worst.head = tr("Findings");
    worst.meaning = tr("The gravest open finding about the cell, its radio or its mount.");
    worst.value = [this](ItemId id) -> QVariant {
        const Chain c = rowChain(plan(), id);
        const auto s = findings().worst(std::array{c.smallCell, c.radio, c.mount});
        return s ? QVariant(-static_cast<double>(*s)) : QVariant();
    };
    worst.text = [](const QVariant& v) {
        return v.isValid() ? severityWord(static_cast<Severity>(static_cast<int>(-v.toDouble()))) : QString();
    };
    worst.sortByValue = true;
    addColumn(worst);
}

void CellsTable::addLoad() {
    const int first = columnCount();
    const auto number = [this](const QString& head, const QString& meaning,
                               std::function<QVariant(ItemId)> value, bool sign = false) {
        TableColumn c;
        c.head = head;
        c.meaning = meaning;
        c.number = true;
        c.value = std::move(value);
        c.text = [sign](const QVariant& v) {
            if (!v.isValid()) return unknownFigure();
            return sign ? signedFigure(v.toDouble(), {}, 1) : figure(v.toDouble(), {}, 1);
        };
        addColumn(std::move(c));
    };
    const auto rate = [this](bool median) {
        return [this, median](ItemId id) -> QVariant {
            const SmallRates* r = space().rates.ofSmall(id);
            return r ? QVariant((median ? r->now.median : r->now.low).mbps) : QVariant();
        };
    };
    number(tr("Median (Mbit/s)"), tr("What half of the users it takes get at least, by the settled ledger."),
           rate(true));
    number(tr("5 % (Mbit/s)"), tr("What all but five in a hundred of them get at least."), rate(false));
    number(
        tr("Uplink boundary (dB)"),
        tr("How far, in path loss, its uplink boundary lies beyond that of the downlink."),
        [this](ItemId id) -> QVariant {
            const UplinkSmall* u = space().uplink.ofSmall(id);
            return u && u->boundaryGapDb ? QVariant(*u->boundaryGapDb) : QVariant();
        },
        true);
    number(tr("Noise rise (dB)"), tr("In its uplink, by macro users at full power in its reach."),
           [this](ItemId id) -> QVariant {
               const UplinkSmall* u = space().uplink.ofSmall(id);
               return u ? QVariant(u->noiseRiseDb) : QVariant();
           });
    const auto again = [this, first] {
        for (const ItemId id : ids())
            for (int c = first; c < first + 4; ++c) refreshCell(id, c);
    };
    connect(&space().rates, &LiveRates::changed, this, again);
    connect(&space().uplink, &LiveUplink::changed, this, again);
}

std::vector<ItemId> CellsTable::wantedRows() const {
    std::vector<ItemId> out;
    for (const SmallCell& s : plan().smallCells)
        if (s.variant == plan().settings->activeVariant) out.push_back(s.id);
    return out;
}

void CellsTable::figuresChanged() {
    m_findings.reset();
    // While something is dragged the others keep the fit they had; the dragged one asks at once.
    m_fresh.clear();
    m_waiting.clear();
    if (!space().live.study()) m_fits.clear();
}

const FindingIndex& CellsTable::findings() const {
    if (!m_findings) m_findings.emplace(space().live.review());
    return *m_findings;
}

QVariant CellsTable::fit(ItemId small) const {
    const LiveStudy& live = space().live;
    if (!live.study()) return {};
    const auto known = m_fits.find(small);
    if (m_fresh.count(small)) return known == m_fits.end() ? QVariant() : QVariant(known->second);
    if (space().drag.active()) {
        const auto now = live.fit(small);
        if (now) m_fits[small] = now->value;
        m_fresh.insert(small);
        return now ? QVariant(now->value) : QVariant();
    }
    m_waiting.push_back(small);
    if (!m_timer.isActive()) m_timer.start();
    return known == m_fits.end() ? QVariant() : QVariant(known->second); // until the timer comes to it
}

void CellsTable::someFits() {
    if (space().live.dragging()) return; // the end of the drag asks again
    for (int n = 0; n < kFitsATurn && !m_waiting.empty();) {
        const ItemId id = m_waiting.front();
        m_waiting.pop_front();
        if (!m_fresh.insert(id).second) continue;
        if (const auto f = space().live.fit(id))
            m_fits[id] = f->value;
        else
            m_fits.erase(id);
        refreshCell(id, m_fitColumn);
        ++n;
    }
    if (!m_waiting.empty()) m_timer.start();
}

} // namespace fw
