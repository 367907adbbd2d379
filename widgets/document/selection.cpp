// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/selection.h"

#include <algorithm>

namespace fw {

Selection::Selection(PlanDocument& document, QObject* parent) : QObject(parent), m_document(document) {
    connect(&document, &PlanDocument::planReplaced, this, [this] { clear(); });
    connect(&document, &PlanDocument::planChanged, this, &Selection::dropMissing);
}

void Selection::set(std::vector<ItemId> items, ItemId primary) {
    if (!primary && !items.empty()) primary = items.back();
    std::sort(items.begin(), items.end());
    items.erase(std::unique(items.begin(), items.end()), items.end());
    if (items == m_items && primary == m_primary) return;
    m_items = std::move(items);
    m_primary = primary;
    emit changed();
}

void Selection::toggle(ItemId item) {
    std::vector<ItemId> items = m_items;
    if (has(item)) {
        std::erase(items, item);
        set(items, m_primary == item || items.empty() ? ItemId{} : m_primary);
    } else {
        items.push_back(item);
        set(items, item);
    }
}

bool Selection::has(ItemId item) const { return std::binary_search(m_items.begin(), m_items.end(), item); }

void Selection::dropMissing() {
    std::vector<ItemId> left;
    for (const ItemId id : m_items)
        if (m_document.plan().has(id)) left.push_back(id);
    const bool primaryThere = std::find(left.begin(), left.end(), m_primary) != left.end();
    set(left, primaryThere ? m_primary : ItemId{});
}

namespace {

void goDown(const Plan& plan, Chain& c) {
    if (c.mount && !c.radio)
        for (const Radio& r : plan.radios)
            if (r.mount == c.mount) {
                c.radio = r.id;
                break;
            }
    if (c.radio && !c.smallCell)
        for (const SmallCell& s : plan.smallCells)
            if (s.radio == c.radio && s.variant == plan.settings->activeVariant) {
                c.smallCell = s.id;
                break;
            }
}

} // namespace

Chain chainOf(const Plan& plan, ItemId item) {
    Chain c;
    if (const SmallCell* s = plan.smallCells.find(item)) {
        c.smallCell = s->id;
        c.radio = s->radio;
    }
    if (const Radio* r = plan.radios.find(c.radio ? c.radio : item)) {
        c.radio = r->id;
        c.mount = r->mount;
    } else if (const Mount* m = plan.mounts.find(item)) {
        c.mount = m->id;
    }
    if (c.mount) {
        goDown(plan, c);
        return c;
    }
    if (const Cell* x = plan.cells.find(item)) {
        c.cell = x->id;
        c.sector = x->sector;
    }
    if (const Sector* s = plan.sectors.find(c.sector ? c.sector : item)) {
        c.sector = s->id;
        c.site = s->site;
    } else if (const MacroSite* m = plan.macroSites.find(item)) {
        c.site = m->id;
    }
    return c;
}

} // namespace fw
