// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/choice_edit.h"

#include "base/text.h"
#include "plan/variant_edits.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {
namespace {

constexpr double kSameAzimuthDeg = 1;

bool sameCarrier(const Carrier& a, const Carrier& b) {
    return a.technology == b.technology && a.channel == b.channel;
}

bool alike(TrueAzimuth a, TrueAzimuth b) {
    return std::fabs(std::remainder(a.deg - b.deg, 360.0)) <= kSameAzimuthDeg;
}

// Puts radios and small cells into an edit, with names, numbers and identities that nobody has.
class Builder {
public:
    Builder(const Plan& plan, ItemId last) : m_plan(plan), m_last(last) {
        for (const Radio& r : plan.radios) m_names.insert(r.name);
        for (const Cell& c : plan.cells) m_pci[c.carrier.technology].insert(c.pci);
        for (const SmallCell& s : plan.smallCells) m_pci[s.carrier.technology].insert(s.pci);
    }

    void addNew(const ChoiceFeed::Spot& spot, TrueAzimuth azimuth, ItemId variant, Edit& edit) {
        Radio r = spot.radio;
        r.id = next();
        r.mount = spot.mount;
        r.azimuth = azimuth;
        r.name = radioName(m_plan.mounts.find(spot.mount)->name);
        SmallCell s = spot.cell;
        s.id = next();
        s.radio = r.id;
        s.variant = variant;
        s.chosen = true;
        s.name = fmt::format("{}-{}{}", r.name, s.carrier.technology == Technology::lte ? 'L' : 'N',
                             s.carrier.channel);
        s.pci = freePci(s.carrier.technology);
        edit.changes.emplace_back(Put{std::move(r)});
        edit.changes.emplace_back(Put{std::move(s)});
    }
    void copyKept(const SmallCell& cell, ItemId variant, Edit& edit) {
        const auto [it, fresh] = m_copies.try_emplace(cell.radio, ItemId{});
        if (fresh) {
            Radio r = *m_plan.radios.find(cell.radio);
            r.id = it->second = next();
            edit.changes.emplace_back(Put{std::move(r)});
        }
        SmallCell s = cell;
        s.id = next();
        s.radio = it->second;
        s.variant = variant;
        edit.changes.emplace_back(Put{std::move(s)});
    }

private:
    ItemId next() { return {++m_last.v}; }
    std::string radioName(const std::string& mount) {
        for (int n = 0;; ++n) {
            std::string name = n < 26 ? fmt::format("{}{}", mount, static_cast<char>('a' + n))
                                      : fmt::format("{}-{}", mount, n);
            if (m_names.insert(name).second) return name;
        }
    }
    // TS 36.211 6.11 and TS 38.211 7.4.2.1: 504 and 1008 identities. All taken: the lowest.
    std::int32_t freePci(Technology technology) {
        auto& taken = m_pci[technology];
        const std::int32_t count = technology == Technology::lte ? 504 : 1008;
        for (std::int32_t pci = 0; pci < count; ++pci)
            if (taken.insert(pci).second) return pci;
        return 0;
    }

    const Plan& m_plan;
    ItemId m_last;
    std::set<std::string> m_names;
    std::map<Technology, std::set<std::int32_t>> m_pci;
    std::map<ItemId, ItemId> m_copies; // radios
};

// A small cell of the active variant that is what an option would build; null: none.
const SmallCell* standing(const Plan& plan, const ChoiceFeed::Spot& spot, TrueAzimuth azimuth) {
    for (const SmallCell& s : plan.smallCells) {
        const Radio* r = plan.radios.find(s.radio);
        if (s.variant == plan.settings->activeVariant && r && r->mount == spot.mount &&
            alike(r->azimuth, azimuth) && sameCarrier(s.carrier, spot.cell.carrier))
            return &s;
    }
    return nullptr;
}

std::string counted(std::size_t n) { return n == 1 ? "a small cell" : fmt::format("{} small cells", n); }

} // namespace

Result<Edit> choiceEdit(const Plan& plan, const ChoiceFeed& feed, const Choice& choice, bool keep) {
    if (!plan.variants.find(plan.settings->activeVariant))
        return Error{ErrorCode::badInput, CORE_TEXT("No variant is in work. Choose one first."), "choose"};
    Edit edit;
    Builder build(plan, plan.lastId);
    std::set<ItemId> stays;
    std::size_t made = 0;
    for (const ChosenOption& o : choice.chosen) {
        const ChoiceFeed::Spot& spot = feed.spots[o.option.mount];
        if (spot.kept) {
            stays.insert(spot.kept);
            continue;
        }
        ++made;
        const TrueAzimuth azimuth = azimuthOf(o.option.step);
        const SmallCell* there = standing(plan, spot, azimuth);
        if (!there) {
            build.addNew(spot, azimuth, plan.settings->activeVariant, edit);
            continue;
        }
        stays.insert(there->id);
        if (there->chosen) continue;
        SmallCell s = *there;
        s.chosen = true;
        edit.changes.emplace_back(Put{std::move(s)});
    }
    for (const SmallCell& s : plan.smallCells) {
        if (keep || s.variant != plan.settings->activeVariant || !s.chosen || stays.count(s.id)) continue;
        SmallCell left = s;
        left.chosen = false;
        edit.changes.emplace_back(Put{std::move(left)});
    }
    edit.text = fmt::format("Choose {}", counted(made));
    return edit;
}

Result<ChoiceVariant> choiceVariant(const Plan& plan, const ChoiceFeed& feed, const Choice& choice,
                                    const std::string& name) {
    auto fresh = newVariant(plan, name);
    if (!fresh) return fresh.error();
    ChoiceVariant out{std::move(fresh->edit), fresh->variant};
    Builder build(plan, out.variant);
    for (const ChosenOption& o : choice.chosen) {
        const ChoiceFeed::Spot& spot = feed.spots[o.option.mount];
        if (spot.kept)
            build.copyKept(*plan.smallCells.find(spot.kept), out.variant, out.edit);
        else
            build.addNew(spot, azimuthOf(o.option.step), out.variant, out.edit);
    }
    return out;
}

} // namespace fw
