// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/edit.h"

#include "plan/tables.h"
#include "plan/validate.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {

namespace {

Error notThere(ItemId id) {
    return {ErrorCode::badInput, fmt::format("There is no item {} in the plan to remove.", id.v)};
}

constexpr std::size_t kFew = 64;

// Works on a copy of the plan; the caller takes it over when all went well.
class Applier {
public:
    explicit Applier(const Plan& plan) : m_plan(plan) {}

    Status run(const Edit& edit) {
        for (const Change& change : edit.changes) {
            Status s = std::visit([&](const auto& c) { return one(c); }, change);
            if (!s.ok()) return s;
        }
        if (Status s = flush(); !s.ok()) return s;
        return checkReferences(edit);
    }

    Plan& plan() { return m_plan; }
    std::vector<Change> inverse() && {
        std::reverse(m_inverse.begin(), m_inverse.end());
        return std::move(m_inverse);
    }

private:
    Status one(const Put& put) {
        return std::visit([&](const auto& item) { return this->put(item); }, put.item);
    }

    template <class T>
    Status put(const T& item) {
        if constexpr (std::is_same_v<T, Building>) {
            if (!m_removed.empty())
                if (Status s = flush(); !s.ok()) return s;
            m_buildings.push_back(asKept(item));
            return validate(m_buildings.back());
        } else {
            if (Status s = flush(); !s.ok()) return s;
            if (Status s = validate(Item{item}); !s.ok()) return s;
            Table<T>& table = tableOf<T>(m_plan);
            if (const T* old = table.find(item.id))
                m_inverse.push_back(Put{*old});
            else if (Status s = checkFree(item.id, kindOfType<T>()); !s.ok())
                return s;
            else
                m_inverse.push_back(Remove{item.id});
            table.put(item);
            seen(item.id);
            return Done{};
        }
    }

    Status one(const Remove& remove) {
        if (!m_buildings.empty())
            if (Status s = flush(); !s.ok()) return s;
        if (m_plan.scenery.hasBuilding(remove.id)) {
            m_removed.push_back(remove.id);
            return Done{};
        }
        if (Status s = flush(); !s.ok()) return s;
        bool done = false;
        forEachTable(m_plan, [&](auto& table) {
            if (done) return;
            const auto* old = table.find(remove.id);
            if (!old) return;
            m_inverse.push_back(Put{*old});
            done = table.remove(remove.id);
        });
        if (!done) return notThere(remove.id);
        m_gone.push_back(remove.id);
        return Done{};
    }

    Status one(const PutSettings& change) {
        if (Status s = flush(); !s.ok()) return s;
        if (Status s = validate(change.settings); !s.ok()) return s;
        m_inverse.push_back(PutSettings{*m_plan.settings});
        m_plan.settings = std::make_shared<const PlanSettings>(change.settings);
        m_settings = true;
        return Done{};
    }

    Status one(const PutBuildings& put) {
        if (Status s = flush(); !s.ok()) return s;
        m_buildings.reserve(put.buildings->size());
        for (const Building& b : *put.buildings) {
            m_buildings.push_back(asKept(b));
            if (Status s = validate(m_buildings.back()); !s.ok()) return s;
        }
        return flush();
    }

    Status one(const RemoveBuildings& remove) {
        if (Status s = flush(); !s.ok()) return s;
        for (const ItemId id : *remove.ids) {
            if (!m_plan.scenery.hasBuilding(id)) return notThere(id);
            m_removed.push_back(id);
        }
        return flush();
    }

    // Buildings wait until something else comes, so that each chunk is rewritten once.
    Status flush() {
        if (!m_buildings.empty())
            if (Status s = flushBuildings(); !s.ok()) return s;
        if (m_removed.empty()) return Done{};
        std::sort(m_removed.begin(), m_removed.end());
        const auto twice = std::adjacent_find(m_removed.begin(), m_removed.end());
        if (twice != m_removed.end()) return notThere(*twice);
        std::vector<Building> old;
        old.reserve(m_removed.size());
        for (const ItemId id : m_removed) old.push_back(*m_plan.scenery.building(id));
        takeBack(std::move(old));
        m_plan.scenery.removeBuildings(m_removed);
        m_gone.insert(m_gone.end(), m_removed.begin(), m_removed.end());
        m_removed.clear();
        return Done{};
    }

    Status flushBuildings() {
        std::vector<ItemId> ids;
        ids.reserve(m_buildings.size());
        for (const Building& b : m_buildings) ids.push_back(b.id);
        std::sort(ids.begin(), ids.end());
        ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
        std::vector<Building> old;
        std::vector<ItemId> fresh;
        for (const ItemId id : ids) {
            if (auto was = m_plan.scenery.building(id)) {
                old.push_back(std::move(*was));
                continue;
            }
            if (Status s = checkFree(id, Kind::building); !s.ok()) return s;
            fresh.push_back(id);
        }
        seen(ids.back());
        takeBack(std::move(old));
        takeOut(std::move(fresh));
        m_plan.scenery.putBuildings(std::move(m_buildings));
        m_buildings.clear();
        return Done{};
    }

    // A few go one by one: such an inverse can be merged with its neighbours in the history.
    void takeBack(std::vector<Building> old) {
        if (old.size() > kFew)
            m_inverse.push_back(PutBuildings{std::make_shared<const std::vector<Building>>(std::move(old))});
        else
            for (Building& b : old) m_inverse.push_back(Put{std::move(b)});
    }
    void takeOut(std::vector<ItemId> fresh) {
        if (fresh.size() > kFew)
            m_inverse.push_back(
                RemoveBuildings{std::make_shared<const std::vector<ItemId>>(std::move(fresh))});
        else
            for (const ItemId id : fresh) m_inverse.push_back(Remove{id});
    }

    Status checkFree(ItemId id, Kind wanted) const {
        const auto kind = m_plan.kindOf(id);
        if (!kind) return Done{};
        return Error{ErrorCode::badInput, fmt::format("The number {} belongs to a {} and cannot name a {}.",
                                                      id.v, nameOf(*kind), nameOf(wanted))};
    }

    void seen(ItemId id) { m_plan.lastId = std::max(m_plan.lastId, id); }

    Status checkReferences(const Edit& edit) const {
        for (const Change& change : edit.changes)
            if (const Put* put = std::get_if<Put>(&change))
                if (Status s =
                        std::visit([&](const auto& item) { return namesWhatIsThere(item); }, put->item);
                    !s.ok())
                    return s;
        if (m_settings || !m_gone.empty())
            if (Status s = checkReference(m_plan, activeVariantOf(*m_plan.settings), "settings of the plan");
                !s.ok())
                return s;
        return nothingNamesTheGone();
    }

    template <class T>
    Status namesWhatIsThere(const T& item) const {
        Status s = Done{};
        if constexpr (kNamesOthers<T>) {
            const T* now = tableOf<T>(m_plan).find(item.id);
            if (!now) return s; // a later change took it out again
            forEachReference(*now, [&](const Reference& ref) {
                if (s.ok()) s = checkReference(m_plan, ref, labelOf(Item{*now}));
            });
        }
        return s;
    }

    Status nothingNamesTheGone() const {
        Status s = Done{};
        if (m_gone.empty()) return s;
        std::vector<ItemId> gone = m_gone;
        std::sort(gone.begin(), gone.end());
        forEachTable(m_plan, [&](const auto& table) {
            using T = ItemOf<decltype(table)>;
            if constexpr (kNamesOthers<T>)
                for (const T& item : table)
                    forEachReference(item, [&](const Reference& ref) {
                        if (s.ok() && std::binary_search(gone.begin(), gone.end(), ref.id))
                            s = checkReference(m_plan, ref, labelOf(Item{item}));
                    });
        });
        return s;
    }

    Plan m_plan;
    std::vector<Change> m_inverse; // in the order made
    std::vector<Building> m_buildings;
    std::vector<ItemId> m_removed; // buildings
    std::vector<ItemId> m_gone;    // all kinds
    bool m_settings = false;
};

} // namespace

Result<Edit> apply(Plan& plan, const Edit& edit) {
    Applier applier(plan);
    if (Status s = applier.run(edit); !s.ok()) return s.error();
    plan = std::move(applier.plan());
    return Edit{edit.text, std::move(applier).inverse()};
}

namespace {

// What a change is about; empty for one that is no nudge.
std::optional<ItemId> nudged(const Change& change) {
    if (const Put* put = std::get_if<Put>(&change)) return idOf(put->item);
    if (std::holds_alternative<PutSettings>(change)) return ItemId{};
    return std::nullopt;
}

std::optional<std::vector<std::pair<std::size_t, ItemId>>> nudgedBy(const Edit& edit) {
    std::vector<std::pair<std::size_t, ItemId>> all;
    for (const Change& change : edit.changes) {
        const auto id = nudged(change);
        if (!id) return std::nullopt;
        const Put* put = std::get_if<Put>(&change);
        all.emplace_back(put ? put->item.index() : std::variant_size_v<Item>, *id);
    }
    std::sort(all.begin(), all.end());
    if (all.empty() || std::adjacent_find(all.begin(), all.end()) != all.end()) return std::nullopt;
    return all;
}

} // namespace

std::optional<Edit> merged(const Edit& first, const Edit& second) {
    if (first.text != second.text) return std::nullopt;
    const auto a = nudgedBy(first), b = nudgedBy(second);
    if (!a || !b || *a != *b) return std::nullopt;
    return second; // the same items with the later values
}

namespace {

// Everything that must go with one item, dependents first.
class Removal {
public:
    Removal(const Plan& plan, const std::vector<ItemId>& ids) : m_plan(plan) {
        for (const ItemId id : ids) gather(id);
    }
    std::vector<Change> changes() && {
        waivers();
        std::vector<Change> all;
        loosenAntenna(all);
        loosenSettings(all);
        for (auto it = m_ids.rbegin(); it != m_ids.rend(); ++it) all.emplace_back(Remove{*it});
        return all;
    }

private:
    [[nodiscard]] bool goes(ItemId id) const {
        return std::find(m_ids.begin(), m_ids.end(), id) != m_ids.end();
    }

    void gather(ItemId id) {
        if (goes(id)) return;
        m_ids.push_back(id);
        dependents(m_plan.sectors, id);
        dependents(m_plan.cells, id);
        dependents(m_plan.radios, id);
        dependents(m_plan.smallCells, id);
        dependents(m_plan.siteWorks, id);
    }
    template <class T>
    void dependents(const Table<T>& table, ItemId id) {
        for (const T& item : table)
            forEachReference(item, [&](const Reference& ref) {
                if (ref.required && ref.id == id) gather(item.id);
            });
    }
    // A waiver goes with any of its subjects, and with the variant it holds in.
    void waivers() {
        for (const Waiver& w : m_plan.waivers)
            if ((w.variant && goes(w.variant)) ||
                std::any_of(w.subjects.begin(), w.subjects.end(), [&](ItemId s) { return goes(s); }))
                if (!goes(w.id)) m_ids.push_back(w.id);
    }
    // Sectors and radios do not hang on their antenna: they fall back to the parabolic cuts.
    void loosenAntenna(std::vector<Change>& all) const {
        const auto loosen = [&](const auto& table) {
            for (auto item : table)
                if (item.antenna && goes(item.antenna) && !goes(item.id)) {
                    item.antenna = {};
                    all.emplace_back(Put{item});
                }
        };
        loosen(m_plan.sectors);
        loosen(m_plan.radios);
    }
    void loosenSettings(std::vector<Change>& all) const {
        if (!m_plan.settings->activeVariant || !goes(m_plan.settings->activeVariant)) return;
        PlanSettings settings = *m_plan.settings;
        settings.activeVariant = {};
        for (const Variant& v : m_plan.variants)
            if (!settings.activeVariant && !goes(v.id)) settings.activeVariant = v.id;
        all.emplace_back(PutSettings{std::move(settings)});
    }

    const Plan& m_plan;
    std::vector<ItemId> m_ids;
};

} // namespace

Edit removalOf(const Plan& plan, ItemId id) { return removalOf(plan, std::vector{id}); }

Edit removalOf(const Plan& plan, const std::vector<ItemId>& ids) {
    if (ids.empty()) return {};
    const ItemId id = ids.front();
    const auto kind = plan.kindOf(id);
    const std::string label = plan.label(id);
    std::string text = "Remove " + label;
    if (kind && label.rfind(nameOf(*kind), 0) != 0) text = fmt::format("Remove {} {}", nameOf(*kind), label);
    return {std::move(text), Removal(plan, ids).changes()};
}

} // namespace fw
