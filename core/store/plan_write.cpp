// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_write.h"

#include "geo/frame.h"
#include "plan/validate.h"
#include "store/meta.h"
#include "store/rows.h"
#include "store/settings_rows.h"

#include <algorithm>

namespace fw {

namespace {

// The day of the plan, not the clock: the same plan gives the same bytes.
std::string timeOfChange(const Plan& plan) { return plan.settings->date.iso() + "T00:00:00.000Z"; }

// Where a plan has no system yet: -1 stands for an undefined plane one (OGC 12-128r18, 1.1.2.1.2).
std::int32_t srsIdOf(const Plan& plan) { return plan.settings->epsg ? plan.settings->epsg : -1; }

const PackageLayer kSettingsLayer{kSettingsTable, "Settings", ""};

template <class T>
std::vector<std::string> writtenColumns() {
    std::vector<std::string> names = columnsOf<T>();
    if (kBorrowsPlace<T>) names.insert(names.begin(), "geom");
    return names;
}

// The three statements of one layer.
template <class T>
class LayerWriter {
public:
    static Result<LayerWriter> open(Database& db, const Plan& plan) {
        const std::string table = sqlName(layerOf(kindOfType<T>()).table);
        std::string names = "uid", marks = "?1", sets;
        int at = 2;
        for (const std::string& name : writtenColumns<T>()) {
            names += ", " + sqlName(name);
            marks += fmt::format(", ?{}", at);
            sets += fmt::format("{}{}=?{}", sets.empty() ? "" : ", ", sqlName(name), at);
            ++at;
        }
        auto insert = db.prepare(fmt::format("INSERT INTO {} ({}) VALUES ({})", table, names, marks));
        if (!insert) return insert.error();
        auto update = db.prepare(fmt::format("UPDATE {} SET {} WHERE uid=?1", table, sets));
        if (!update) return update.error();
        auto remove = db.prepare(fmt::format("DELETE FROM {} WHERE uid=?1", table));
        if (!remove) return remove.error();
        return LayerWriter(plan, std::move(*insert), std::move(*update), std::move(*remove));
    }
    Status insert(const T& item) { return write(m_insert, item); }
    Status update(const T& item) { return write(m_update, item); }
    Status remove(ItemId id) {
        m_remove.bind(1, std::int64_t{id.v});
        return m_remove.run();
    }

private:
    LayerWriter(const Plan& plan, Statement insert, Statement update, Statement remove)
        : m_plan(&plan), m_insert(std::move(insert)), m_update(std::move(update)),
          m_remove(std::move(remove)) {}

    Status write(Statement& statement, const T& item) {
        statement.bind(1, std::int64_t{item.id.v});
        const std::int32_t srsId = srsIdOf(*m_plan);
        int at = 2;
        if constexpr (kBorrowsPlace<T>)
            statement.bindBlob(at++, geometryBytes(placeIn(*m_plan, item), srsId));
        forEachField(item, ValueBinder(statement, at, srsId));
        return statement.run();
    }

    const Plan* m_plan;
    Statement m_insert, m_update, m_remove;
};

template <class T, class F>
void forEachItem(const Plan& plan, F&& f) {
    if constexpr (std::is_same_v<T, Building>)
        plan.scenery.forEachBuilding(f);
    else
        for (const T& item : tableOf<T>(plan)) f(item);
}

// Calls f.template operator()<T>() for every item type in the order of Kind, while `status` is good.
template <class F, std::size_t... I>
Status eachKind(F&& f, std::index_sequence<I...>) {
    Status status = Done{};
    const auto one = [&]<class T>() {
        if (status.ok()) status = f.template operator()<T>();
    };
    (one.template operator()<std::variant_alternative_t<I, Item>>(), ...);
    return status;
}
template <class F>
Status eachKind(F&& f) {
    return eachKind(std::forward<F>(f), std::make_index_sequence<std::variant_size_v<Item>>());
}

template <class T>
Box boundsIn(const Plan& plan) {
    Box box;
    if constexpr (std::is_same_v<T, Building>) {
        for (const auto& chunk : plan.scenery.buildingChunks()) box.add(chunk->bounds);
    } else {
        for (const T& item : tableOf<T>(plan)) {
            if constexpr (kBorrowsPlace<T>) box.add(placeIn(plan, item));
            forEachField(item, [&](const char*, const auto& value) {
                using V = std::remove_cvref_t<decltype(value)>;
                if constexpr (std::is_same_v<V, PlanePoint>) box.add(value);
                if constexpr (std::is_same_v<V, Line> || std::is_same_v<V, Polygon>) box.add(boundsOf(value));
            });
        }
    }
    return box;
}

Status writeSrs(Database& db, const Plan& plan) {
    const int epsg = plan.settings->epsg;
    if (epsg == 0) return Done{};
    return putSrs(db, systemOf(epsg));
}

Status writeContents(Database& db, const Plan& plan) {
    const std::string when = timeOfChange(plan);
    Status s = eachKind([&]<class T>() -> Status {
        return updateLayer(db, layerOf(kindOfType<T>()), srsIdOf(plan), boundsIn<T>(plan), when);
    });
    return s.ok() ? updateLayer(db, kSettingsLayer, 0, {}, when) : s;
}

template <class T>
Status writeItem(LayerWriter<T>& writer, const Plan& plan, const Difference& d) {
    if (d.what == Difference::What::removed) return writer.remove(d.id);
    const auto item = plan.item(d.id);
    const T& value = std::get<T>(*item);
    return d.what == Difference::What::added ? writer.insert(value) : writer.update(value);
}

template <class T>
Status writeChanges(Database& db, const Plan& before, const Plan& plan, const PlanDiff& changes) {
    auto writer = LayerWriter<T>::open(db, plan);
    if (!writer) return writer.error();
    for (const Difference& d : changes.items)
        if (d.kind == kindOfType<T>())
            if (Status s = writeItem(*writer, plan, d); !s.ok()) return s;
    Status s = Done{};
    const bool moved = before.settings->epsg != plan.settings->epsg; // every geometry names its system
    if (!moved && !kBorrowsPlace<T>) return s;
    forEachItem<T>(plan, [&](const T& item) {
        bool stale = moved;
        if constexpr (kBorrowsPlace<T>) {
            const T* old = tableOf<T>(before).find(item.id);
            stale = stale || (old && placeIn(before, *old) != placeIn(plan, item));
        }
        if (stale && s.ok()) s = writer->update(item);
    });
    return s;
}

template <class T>
bool touches(const PlanDiff& changes) {
    return std::any_of(changes.items.begin(), changes.items.end(),
                       [](const Difference& d) { return d.kind == kindOfType<T>(); });
}

// Kinds that lie where another one lies follow it.
template <class T>
bool mayFollow(const PlanDiff& changes) {
    return kBorrowsPlace<T> && (touches<MacroSite>(changes) || touches<Mount>(changes) ||
                                touches<Sector>(changes) || touches<Radio>(changes));
}

} // namespace

PackageSrs systemOf(int epsg) {
    const auto frame = Frame::fromEpsg(epsg);
    if (!frame) return {epsg, fmt::format("EPSG:{}", epsg), "EPSG", epsg, "undefined"};
    return {epsg, frame->name(), "EPSG", epsg, frame->wkt()};
}

Status writeNewPlan(Database& db, const Plan& plan) {
    if (Status s = makePackage(db); !s.ok()) return s;
    if (Status s = createMeta(db); !s.ok()) return s;
    if (Status s = writeSrs(db, plan); !s.ok()) return s;
    if (Status s = db.execute(createSettingsSql()); !s.ok()) return s;
    if (Status s = registerLayer(db, kSettingsLayer, 0, timeOfChange(plan)); !s.ok()) return s;
    if (Status s = writeSettings(db, *plan.settings); !s.ok()) return s;
    Status items = eachKind([&]<class T>() -> Status {
        if (Status s = db.execute(createTableSql<T>()); !s.ok()) return s;
        if (Status s = registerLayer(db, layerOf(kindOfType<T>()), srsIdOf(plan), timeOfChange(plan));
            !s.ok())
            return s;
        auto writer = LayerWriter<T>::open(db, plan);
        if (!writer) return writer.error();
        Status s = Done{};
        forEachItem<T>(plan, [&](const T& item) {
            if (s.ok()) s = writer->insert(item);
        });
        return s;
    });
    if (!items.ok()) return items;
    if (Status s = writeContents(db, plan); !s.ok()) return s;
    if (Status s = writeLastId(db, plan.lastId); !s.ok()) return s;
    return writeSaveCount(db, 1);
}

Status writePlanChanges(Database& db, const Plan& before, const Plan& plan, const PlanDiff& changes) {
    const Database::IndicesFollow follow(db);
    const bool moved = before.settings->epsg != plan.settings->epsg;
    if (moved)
        if (Status s = writeSrs(db, plan); !s.ok()) return s;
    const std::string when = timeOfChange(plan);
    if (changes.settings) {
        if (Status s = writeSettings(db, *plan.settings); !s.ok()) return s;
        if (Status s = updateLayer(db, kSettingsLayer, 0, {}, when); !s.ok()) return s;
    }
    Status items = eachKind([&]<class T>() -> Status {
        if (!moved && !touches<T>(changes) && !mayFollow<T>(changes)) return Done{};
        if (Status s = writeChanges<T>(db, before, plan, changes); !s.ok()) return s;
        return updateLayer(db, layerOf(kindOfType<T>()), srsIdOf(plan), boundsIn<T>(plan), when);
    });
    if (!items.ok()) return items;
    return writeLastId(db, plan.lastId);
}

Status wouldOpen(const Plan& plan) {
    if (Status s = validate(*plan.settings); !s.ok()) return s;
    Status status = eachKind([&]<class T>() -> Status {
        Status s = Done{};
        forEachItem<T>(plan, [&](const T& item) {
            if (s.ok()) s = validate(Item{item});
        });
        return s;
    });
    if (!status.ok()) return status;
    const auto faults = validateReferences(plan);
    if (!faults.empty()) return faults.front();
    return Done{};
}

Status wouldOpen(const Plan& plan, const PlanDiff& changes) {
    if (changes.settings)
        if (Status s = validate(*plan.settings); !s.ok()) return s;
    for (const Difference& d : changes.items)
        if (d.what != Difference::What::removed)
            if (Status s = validate(*plan.item(d.id)); !s.ok()) return s;
    const auto faults = validateReferences(plan);
    if (!faults.empty()) return faults.front();
    return Done{};
}

Status mayWriteLayers(Database& db) {
    const Plan none;
    const Database::IndicesFollow follow(db);
    return eachKind([&]<class T>() -> Status {
        const auto writer = LayerWriter<T>::open(db, none);
        if (!writer)
            return Error{writer.error().code, writer.error().text, "table " + layerOf(kindOfType<T>()).table};
        return Done{};
    });
}

} // namespace fw
