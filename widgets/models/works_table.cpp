// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/site_works_text.h"
#include "models/stage_tables.h"
#include "models/words.h"
#include "plan/validate.h"

namespace fw {

WorksTable::WorksTable(Workspace& space, QObject* parent) : ItemTable(space, parent) {
    setColumns({fieldColumn(Kind::mount, "name", tr("Site")), fieldColumn(Kind::mount, "owner"),
                fieldColumn(Kind::mount, "consent"), fieldColumn(Kind::mount, "access")});
    for (const char* key : {"cabinet", "pole", "earth_pit", "camouflage"}) addWork(key);
    addColumn(fieldColumn(Kind::mount, "fibre_m"));
    addColumn(fieldColumn(Kind::mount, "power_m"));
    TableColumn timing;
    timing.head = tr("Timing");
    timing.meaning = tr("Where the clock comes from.");
    timing.value = [this](ItemId id) -> QVariant {
        const auto m = mount(id);
        if (!m) return {};
        return m->gnssTiming ? tr("satellites") : tr("backhaul");
    };
    addColumn(timing);
    TableColumn open;
    open.head = tr("To be settled");
    open.meaning = tr("What is still missing before a crew can go.");
    open.value = [this](ItemId id) -> QVariant {
        const auto m = mount(id);
        return m ? openItems(plan(), *m) : QString();
    };
    addColumn(open);
    start();
}

void WorksTable::addWork(const char* key) {
    TableColumn c = fieldColumn(Kind::siteWorks, key);
    const ItemField* field = c.field;
    c.value = [this, field](ItemId id) -> QVariant {
        const SiteWorks* w = worksOf(plan(), id);
        return w ? field->read(*w) : QVariant();
    };
    // A mount gets its works with the first entry.
    c.change = [this, field](ItemId id, const QVariant& value) -> Result<Edit> {
        if (const SiteWorks* w = worksOf(plan(), id)) return editOfField(plan(), {w->id}, *field, value);
        Item works = SiteWorks{plan().nextId(), id, {}, {}, {}, {}, {}};
        field->write(works, value);
        if (auto fine = validate(works); !fine) return fine.error();
        //: field and site: "Enter cabinet at W-3"
        const QString text =
            tr("Enter %1 at %2").arg(field->label.toLower(), QString::fromStdString(plan().label(id)));
        return Edit{text.toStdString(), {Put{works}}};
    };
    addColumn(std::move(c));
}

QString WorksTable::openItems(const Plan& plan, const Mount& m) {
    QStringList out;
    const SiteWorks* w = worksOf(plan, m.id);
    if (m.consent != ConsentState::given)
        out << (m.consent == ConsentState::refused ? tr("consent refused") : tr("consent"));
    if (m.owner.empty()) out << tr("owner");
    if (m.access.empty()) out << tr("access");
    if (!m.fibreM) out << tr("fibre run");
    if (!m.powerM) out << tr("power run");
    if (!m.earthPossible && (!w || w->earthPit.empty())) out << tr("earth");
    if (!m.linesSurveyed && !m.lineKnownClearanceM) out << tr("survey of overhead lines");
    return listed(out);
}

std::vector<ItemId> WorksTable::wantedRows() const { return mountsInWork(plan()); }

} // namespace fw
