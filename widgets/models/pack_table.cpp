// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/stage_tables.h"
#include "models/words.h"
#include "text/figures.h"

#include <algorithm>

namespace fw {

namespace {

QString stateWord(const QVariant& v) {
    if (!v.isValid()) return {};
    switch (static_cast<SiteState>(v.toInt())) {
    case SiteState::ready:
        return PackTable::tr("ready");
    case SiteState::waits:
        return PackTable::tr("waits for consent");
    case SiteState::refused:
        return PackTable::tr("consent refused");
    case SiteState::blocked:
        return PackTable::tr("blocked by a finding");
    }
    return {};
}

} // namespace

PackTable::PackTable(Workspace& space, QObject* parent) : ItemTable(space, parent) {
    TableColumn in;
    in.head = tr("In");
    in.meaning = tr("Whether the site goes into the pack.");
    in.check = true;
    in.value = [this](ItemId id) -> QVariant { return !m_leftOut.count(id); };
    TableColumn radios;
    radios.head = tr("Radios");
    radios.meaning = tr("Radios with a chosen small cell.");
    radios.value = [this](ItemId id) -> QVariant {
        QStringList names;
        for (const ItemId r : radiosInWork(plan()))
            if (const Radio* found = plan().radios.find(r); found && found->mount == id)
                names << QString::fromStdString(plan().label(r));
        return names.join(QStringLiteral(", "));
    };
    TableColumn open;
    open.head = tr("Open findings");
    open.number = true;
    open.value = [this](ItemId id) -> QVariant {
        if (!this->space().live.study()) return {};
        return static_cast<double>(findings().count(familyOf(plan(), id)));
    };
    open.text = [](const QVariant& v) { return v.isValid() ? figure(v.toDouble(), {}, 0) : unknownFigure(); };
    TableColumn state;
    state.head = tr("State");
    state.meaning = tr("Whether a crew can go.");
    state.value = [this](ItemId id) -> QVariant {
        const Mount* m = plan().mounts.find(id);
        if (!m || !this->space().live.study()) return {};
        return static_cast<double>(siteState(this->space(), *m));
    };
    state.text = stateWord;
    state.sortByValue = true;
    setColumns({in, fieldColumn(Kind::mount, "name", tr("Site")), radios, open, state});
    start();
}

std::vector<ItemId> PackTable::wantedRows() const { return mountsInWork(plan()); }

void PackTable::figuresChanged() { m_findings.reset(); }

const FindingIndex& PackTable::findings() const {
    if (!m_findings) m_findings.emplace(space().live.review());
    return *m_findings;
}

bool PackTable::tick(ItemId row, int column, bool on) {
    if (column != 0) return false;
    if (on)
        m_leftOut.erase(row);
    else
        m_leftOut.insert(row);
    emit chosenSitesChanged();
    return true;
}

std::vector<ItemId> PackTable::chosenSites() const {
    std::vector<ItemId> out;
    for (const ItemId id : ids())
        if (!m_leftOut.count(id)) out.push_back(id);
    return out;
}

AsBuiltTable::AsBuiltTable(Workspace& space, QObject* parent) : ItemTable(space, parent) {
    const auto mountOf = [this](ItemId id) { return rowChain(plan(), id).mount; };
    TableColumn site = fieldColumn(Kind::mount, "name", tr("Site"), mountOf);
    TableColumn azimuth = fieldColumn(Kind::radio, "azimuth_deg", tr("Planned azimuth true (°)"));
    TableColumn tilt = fieldColumn(Kind::radio, "tilt_deg", tr("Planned tilt (°)"));
    TableColumn height = fieldColumn(Kind::mount, "height_m", tr("Planned height (m)"), mountOf);
    TableColumn radioName = fieldColumn(Kind::radio, "name", tr("Radio"));
    radioName.value = [this](ItemId id) -> QVariant { return QString::fromStdString(plan().label(id)); };
    TableColumn record;
    record.head = tr("As built");
    record.meaning = tr("What the crew measured.");
    record.value = [](ItemId) -> QVariant { return tr("no record yet"); };
    setColumns({site, radioName, azimuth, tilt, height, record});
    // Here the plan is what was asked for: it is changed where it is made.
    makeReadOnly();
    start();
}

std::vector<ItemId> AsBuiltTable::wantedRows() const { return radiosInWork(plan()); }

ItemTable* makeStageTable(Stage stage, Workspace& space, QObject* parent) {
    switch (stage) {
    case Stage::load:
        return new LoadTable(space, parent);
    case Stage::fringe:
        return new FringeTable(space, parent);
    case Stage::cells:
        return new CellsTable(space, parent);
    case Stage::works:
        return new WorksTable(space, parent);
    case Stage::pack:
        return new PackTable(space, parent);
    case Stage::asBuilt:
        return new AsBuiltTable(space, parent);
    }
    return nullptr;
}

} // namespace fw
