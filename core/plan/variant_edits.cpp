// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/variant_edits.h"

#include "base/text.h"
#include "plan/edit_makers.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <set>

namespace fw {
namespace {

Error noSuch() { return badInput(CORE_TEXT("That variant is not in the plan.")); }

bool nameTaken(const Plan& plan, const std::string& name) {
    return std::any_of(plan.variants.begin(), plan.variants.end(),
                       [&](const Variant& v) { return v.name == name; });
}

std::string freeName(const Plan& plan, const std::string& wanted, const std::string& model) {
    if (!wanted.empty()) return wanted;
    if (!nameTaken(plan, model)) return model;
    for (int n = 2;; ++n)
        if (std::string name = fmt::format("{} {}", model, n); !nameTaken(plan, name)) return name;
}

// Small cells copied into a variant, each radio copied once. New ids follow one another.
class Copier {
public:
    Copier(const Plan& plan, ItemId to, ItemId firstNew) : m_plan(plan), m_to(to), m_next(firstNew) {}

    void copy(const SmallCell& cell, Edit& edit) {
        SmallCell s = cell;
        const ItemId from = s.id;
        s.id = take();
        s.variant = m_to;
        s.radio = radioFor(cell.radio, edit);
        m_of[from] = s.id;
        edit.changes.emplace_back(Put{std::move(s)});
    }
    // Waivers whose subjects are all copied, or stand in every variant.
    void copyWaivers(ItemId from, Edit& edit) {
        for (const Waiver& w : m_plan.waivers) {
            if (w.variant != from) continue;
            Waiver copy = w;
            copy.id = take();
            copy.variant = m_to;
            for (ItemId& subject : copy.subjects)
                if (const auto it = m_of.find(subject); it != m_of.end()) subject = it->second;
            std::sort(copy.subjects.begin(), copy.subjects.end());
            edit.changes.emplace_back(Put{std::move(copy)});
        }
    }

private:
    ItemId take() {
        const ItemId id = m_next;
        ++m_next.v;
        return id;
    }
    ItemId radioFor(ItemId from, Edit& edit) {
        if (const auto it = m_of.find(from); it != m_of.end()) return it->second;
        Radio r = *m_plan.radios.find(from);
        r.id = take();
        m_of[from] = r.id;
        edit.changes.emplace_back(Put{r});
        return r.id;
    }

    const Plan& m_plan;
    ItemId m_to, m_next;
    std::map<ItemId, ItemId> m_of; // copies of radios and small cells
};

// Small cells that items stand for, ascending.
std::set<ItemId> cellsOf(const Plan& plan, const std::vector<ItemId>& items) {
    const std::set<ItemId> named(items.begin(), items.end());
    std::set<ItemId> out;
    for (const SmallCell& s : plan.smallCells) {
        const Radio* r = plan.radios.find(s.radio);
        const bool byMount = r && named.count(r->mount) && s.variant == plan.settings->activeVariant;
        const bool byRadio = named.count(s.radio) && s.variant == plan.settings->activeVariant;
        if (named.count(s.id) || byRadio || byMount) out.insert(s.id);
    }
    return out;
}

// Whether a variant has the like of a small cell.
bool hasLike(const Plan& plan, const SmallCell& cell, ItemId variant) {
    const Radio* mine = plan.radios.find(cell.radio);
    return std::any_of(plan.smallCells.begin(), plan.smallCells.end(), [&](const SmallCell& s) {
        const Radio* r = plan.radios.find(s.radio);
        if (s.variant != variant || !r || !mine || r->mount != mine->mount) return false;
        const double apart = std::fabs(std::remainder(r->azimuth.deg - mine->azimuth.deg, 360.0));
        return apart <= 1 && s.carrier.technology == cell.carrier.technology &&
               s.carrier.channel == cell.carrier.channel;
    });
}

} // namespace

Result<VariantEdit> newVariant(const Plan& plan, const std::string& name) {
    if (!name.empty() && nameTaken(plan, name))
        return badInput(fmt::format("There is a variant \"{}\" already; choose another name.", name));
    VariantEdit out;
    const Variant v{plan.nextId(), freeName(plan, name, "Variant")};
    out.variant = v.id;
    out.edit.text = fmt::format("Make variant {}", v.name);
    out.edit.changes.emplace_back(Put{v});
    return out;
}

Result<VariantEdit> copyVariant(const Plan& plan, ItemId from, const std::string& name) {
    const Variant* source = plan.variants.find(from);
    if (!source) return noSuch();
    if (!name.empty() && nameTaken(plan, name))
        return badInput(fmt::format("There is a variant \"{}\" already; choose another name.", name));
    VariantEdit out;
    const Variant v{plan.nextId(), freeName(plan, name, source->name)};
    out.variant = v.id;
    out.edit.text = fmt::format("Copy variant {} as {}", source->name, v.name);
    out.edit.changes.emplace_back(Put{v});
    Copier copier(plan, v.id, ItemId{v.id.v + 1});
    for (const SmallCell& s : plan.smallCells)
        if (s.variant == from) copier.copy(s, out.edit);
    copier.copyWaivers(from, out.edit);
    return out;
}

Result<Edit> copyAcross(const Plan& plan, const std::vector<ItemId>& items, ItemId to) {
    const Variant* target = plan.variants.find(to);
    if (!target) return noSuch();
    const auto cells = cellsOf(plan, items);
    if (cells.empty())
        return badInput(CORE_TEXT("There is no small cell to copy; choose small cells, radios or mounts."));
    Edit edit;
    Copier copier(plan, to, plan.nextId());
    int count = 0;
    for (const ItemId id : cells) {
        const SmallCell& s = *plan.smallCells.find(id);
        if (s.variant == to || hasLike(plan, s, to)) continue;
        copier.copy(s, edit);
        ++count;
    }
    if (!count)
        return badInput(
            fmt::format("{} has them all already: the same carriers on the same mounts, at the same "
                        "azimuths.",
                        target->name));
    edit.text = count == 1 ? fmt::format("Copy a small cell to {}", target->name)
                           : fmt::format("Copy {} small cells to {}", count, target->name);
    return edit;
}

Result<Edit> activateVariant(const Plan& plan, ItemId variant) {
    const Variant* v = plan.variants.find(variant);
    if (!v) return noSuch();
    auto edit = settingEdit(plan, "active_variant", variant);
    if (edit) edit->text = fmt::format("Work on variant {}", v->name);
    return edit;
}

Result<Edit> removeVariant(const Plan& plan, ItemId variant) {
    const Variant* v = plan.variants.find(variant);
    if (!v) return noSuch();
    if (plan.variants.size() == 1)
        return badInput(CORE_TEXT("A plan keeps one variant at least; make another one first."));
    std::set<ItemId> radios, others;
    for (const SmallCell& s : plan.smallCells) (s.variant == variant ? radios : others).insert(s.radio);
    std::vector<ItemId> gone{variant};
    for (const SmallCell& s : plan.smallCells)
        if (s.variant == variant) gone.push_back(s.id);
    for (const ItemId r : radios)
        if (!others.count(r)) gone.push_back(r);
    for (const Waiver& w : plan.waivers)
        if (w.variant == variant) gone.push_back(w.id);
    Edit edit = removalOf(plan, gone);
    edit.text = fmt::format("Remove variant {}", v->name);
    if (plan.settings->activeVariant == variant) {
        PlanSettings settings = *plan.settings;
        for (const Variant& each : plan.variants)
            if (each.id != variant) {
                settings.activeVariant = each.id;
                break;
            }
        edit.changes.emplace_back(PutSettings{settings});
    }
    return edit;
}

} // namespace fw
