// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_read.h"

#include "plan/validate.h"
#include "store/meta.h"
#include "store/rows.h"
#include "store/settings_rows.h"

#include <algorithm>
#include <unistd.h>

namespace fw {

namespace {

Error damagedRow(const std::string& table, std::int64_t uid, const std::string& fault) {
    return {ErrorCode::damaged, fmt::format("The plan is damaged: {}.", fault),
            fmt::format("table {}, uid {}", table, uid)};
}

std::string joined(const std::vector<std::string>& names) {
    std::string s;
    for (const std::string& name : names) s += ", " + sqlName(name);
    return s;
}

// Turns rings the way the plan has them; true when something was turned.
bool turned(Polygon& p) {
    const auto wrong = [](const Ring& ring, bool outer) {
        Ring near = ring; // far from the origin the plain sum loses a small ring in its digits
        for (PlanePoint& c : near) c = c - ring.front();
        const double area = signedArea(near);
        return area != 0 && (area > 0) != outer;
    };
    bool any = false;
    const auto look = [&](Ring& ring, bool outer) {
        if (!wrong(ring, outer)) return;
        std::reverse(ring.begin(), ring.end());
        any = true;
    };
    look(p.outer, true);
    for (Ring& hole : p.holes) look(hole, false);
    return any;
}

class PlanReader {
public:
    explicit PlanReader(Database& db) : m_db(db) {}

    Result<OpenPlan> read() {
        const auto meta = readMeta(m_db);
        if (!meta) return meta.error();
        if (Status s = m_db.checkStructure(); !s.ok()) return s.error();
        auto settings = readSettings(m_db, m_open.notes);
        if (!settings) return settings.error();
        if (Status s = validate(*settings); !s.ok()) return damaged(s.error());
        m_open.plan.settings = std::make_shared<const PlanSettings>(std::move(*settings));
        Status status = readBuildings();
        forEachTable(m_open.plan, [&](auto& table) {
            if (!status.ok()) return;
            using T = ItemOf<decltype(table)>;
            auto items = readAll<T>();
            if (items)
                table.assign(std::move(*items));
            else
                status = items.error();
        });
        if (!status.ok()) return status.error();
        return finish(meta->lastId);
    }

private:
    static Error damaged(const Error& fault) {
        return {ErrorCode::damaged, "The plan is damaged: " + fault.text, fault.context};
    }

    Status readBuildings() {
        auto buildings = readAll<Building>();
        if (!buildings) return buildings.error();
        m_open.plan.scenery.putBuildings(std::move(*buildings));
        return Done{};
    }

    template <class T>
    Result<std::vector<T>> readAll() {
        const std::string table = layerOf(kindOfType<T>()).table;
        const auto there = m_db.hasTable(table);
        if (!there) return there.error();
        if (!*there)
            return Error{ErrorCode::damaged,
                         fmt::format("The plan is damaged: its table {} is missing.", table)};
        auto rows = m_db.prepare(fmt::format("SELECT uid{} FROM {} WHERE uid IS NOT NULL ORDER BY uid",
                                             joined(columnsOf<T>()), sqlName(table)));
        if (!rows) return rows.error();
        std::vector<T> items;
        for (;;) {
            auto row = rows->step();
            if (!row) return row.error();
            if (!*row) break;
            if (Status s = readRow(*rows, table, items); !s.ok()) return s.error();
        }
        if (Status s = noteStrangers(table); !s.ok()) return s.error();
        return items;
    }

    template <class T>
    Status readRow(const Statement& row, const std::string& table, std::vector<T>& items) {
        const std::int64_t uid = row.integer(0);
        if (!row.isInteger(0) || uid < 1 || uid > std::int64_t{kHighestId})
            return damagedRow(table, uid, "the uid cannot name an item");
        T item{};
        item.id = {static_cast<std::uint32_t>(uid)};
        ValueReader reader(row, 1);
        forEachField(item, reader);
        if (!reader.fault().empty()) return damagedRow(table, uid, reader.fault());
        if constexpr (std::is_same_v<T, Building>) item = asKept(std::move(item));
        forEachField(item, [&](const char*, auto& value) {
            if constexpr (std::is_same_v<std::remove_cvref_t<decltype(value)>, Polygon>)
                if (turned(value))
                    m_open.notes.push_back(
                        fmt::format("In {} the corners of uid {} ran the wrong way round; they were turned.",
                                    table, uid));
        });
        Item checked(std::move(item));
        if (Status s = validate(checked); !s.ok()) return damaged(s.error());
        m_ids.push_back({static_cast<std::uint32_t>(uid)});
        items.push_back(std::move(std::get<T>(checked)));
        return Done{};
    }

    Status noteStrangers(const std::string& table) {
        const auto n = m_db.number(fmt::format("SELECT count(*) FROM {} WHERE uid IS NULL", sqlName(table)));
        if (!n) return n.error();
        if (*n > 0)
            m_open.notes.push_back(fmt::format("{} rows of {} have no uid and were passed over.", *n, table));
        return Done{};
    }

    Result<OpenPlan> finish(ItemId lastId) {
        std::sort(m_ids.begin(), m_ids.end());
        const auto twice = std::adjacent_find(m_ids.begin(), m_ids.end());
        if (twice != m_ids.end())
            return Error{ErrorCode::damaged,
                         fmt::format("The plan is damaged: two items have the uid {}.", twice->v)};
        const auto faults = validateReferences(m_open.plan);
        if (!faults.empty()) return damaged(faults.front());
        m_open.plan.lastId = m_ids.empty() ? lastId : std::max(lastId, m_ids.back());
        return std::move(m_open);
    }

    Database& m_db;
    OpenPlan m_open;
    std::vector<ItemId> m_ids;
};

} // namespace

Result<OpenPlan> readPlan(Database& db) { return PlanReader(db).read(); }

Status looksLikePlan(const std::filesystem::path& file) {
    std::error_code failed;
    const std::string name = file.string();
    if (!std::filesystem::exists(file, failed))
        return Error{ErrorCode::notFound, "There is no such file.", name};
    if (!std::filesystem::is_regular_file(file, failed))
        return Error{ErrorCode::cannotRead, "This is not a file that a plan could be in.", name};
    if (::access(name.c_str(), R_OK) != 0)
        return Error{ErrorCode::cannotRead, "The file cannot be read. Check who may read it.", name};
    const auto head = headOf(file);
    // SQLite file format, 1.3.1: the header string with its final zero.
    if (!head || std::string_view(head->data(), 16) != std::string_view("SQLite format 3\0", 16))
        return Error{ErrorCode::cannotRead, "This is not a plan: plans are GeoPackage files.", name};
    return Done{};
}

} // namespace fw
