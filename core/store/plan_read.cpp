// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_read.h"

#include "plan/validate.h"
#include "store/closer_look.h"
#include "store/meta.h"
#include "store/plan_references.h"
#include "store/plan_schema.h"
#include "store/row_scan.h"
#include "store/rows.h"
#include "store/settings_rows.h"

#include <algorithm>
#include <unistd.h>
#include <unordered_set>

namespace fw {

namespace {

// An error's sentence as the clause of a fault.
std::string clauseOf(const Error& e) {
    std::string text = e.text;
    if (text.ends_with('.')) text.pop_back();
    return text;
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

void putInto(Plan& plan, Item item) {
    std::visit(
        [&](auto& v) {
            using T = std::remove_cvref_t<decltype(v)>;
            if constexpr (std::is_same_v<T, Building>)
                plan.scenery.putBuildings({std::move(v)});
            else
                tableOf<T>(plan).put(std::move(v));
        },
        item);
}

class PlanReader {
public:
    PlanReader(Database& db, FaultSink& sink) : m_db(db), m_sink(sink) {}

    Result<OpenPlan> read() {
        auto unfit = lookAtSchema(m_db, m_sink);
        if (!unfit) return unfit.error();
        m_unfit = std::move(*unfit);
        if (Status s = readCounters(); !s.ok()) return s.error();
        if (Status s = readStructure(); !s.ok()) return s.error();
        if (Status s = readTheSettings(); !s.ok()) return s.error();
        Status status = readBuildings();
        forEachTable(m_open.plan, [&](auto& table) {
            if (!status.ok()) return;
            std::vector<ItemOf<decltype(table)>> items;
            status = readAll(items);
            table.assign(std::move(items));
        });
        if (!status.ok()) return status.error();
        if (Status s = finish(); !s.ok()) return s.error();
        return std::move(m_open);
    }

private:
    // A sound row whose own number cannot be kept.
    struct Homeless {
        Item item;
        PlanFault fault;
    };

    Status take(PlanFault fault) { return m_sink.take(std::move(fault)); }

    Status readCounters() {
        const auto meta = readMeta(m_db);
        if (meta) {
            m_lastId = meta->lastId;
            return Done{};
        }
        const auto ours = m_db.hasTable("fringewright_meta");
        if (!m_sink.goesOn() || meta.error().code == ErrorCode::newer || !ours || !*ours) return meta.error();
        PlanFault fault;
        fault.what = clauseOf(meta.error());
        fault.mend = Mend::writeCounters;
        fault.table = "fringewright_meta";
        if (meta.error().code == ErrorCode::cannotRead) {
            fault.table.clear();
            fault.what =
                "it does not say of itself that it is a GeoPackage, and other programs will not open it";
            fault.mend = Mend::rebuild;
        }
        return take(std::move(fault));
    }

    Status readStructure() {
        if (!m_sink.goesOn()) return m_db.checkStructure();
        auto lines = m_db.structureFaults(100);
        if (!lines) return lines.error();
        for (std::string& line : *lines) {
            PlanFault fault;
            fault.what = "the file's structure is broken: " + std::move(line);
            fault.mend = Mend::rebuild;
            if (Status s = take(std::move(fault)); !s.ok()) return s;
        }
        return Done{};
    }

    Status readTheSettings() {
        if (m_unfit.contains(kSettingsTable)) return Done{};
        auto settings = readSettings(m_db, m_sink);
        if (!settings) return settings.error();
        m_open.plan.settings = std::make_shared<const PlanSettings>(std::move(*settings));
        return Done{};
    }

    Status readBuildings() {
        std::vector<Building> buildings;
        if (Status s = readAll(buildings); !s.ok()) return s;
        m_open.plan.scenery.putBuildings(std::move(buildings));
        return Done{};
    }

    // Columns that a table lacks; each is told.
    template <class T>
    Result<std::set<std::string>> missingColumns(const std::string& table) {
        const auto there = m_db.columnsOf(table);
        if (!there) return there.error();
        std::set<std::string> missing;
        std::vector<std::string> wanted = columnsOf<T>();
        wanted.insert(wanted.begin(), "uid");
        if (kBorrowsPlace<T>) wanted.emplace_back("geom"); // not read, but written
        for (const std::string& name : wanted) {
            if (there->contains(name)) continue;
            missing.insert(name);
            PlanFault fault;
            fault.table = table;
            fault.field = name;
            fault.what = fmt::format("its table {} has no column {}", table, name);
            fault.mend = name == "uid" ? Mend::rebuild : Mend::addColumn;
            if (Status s = take(std::move(fault)); !s.ok()) return s.error();
        }
        return missing;
    }

    template <class T>
    Status readAll(std::vector<T>& items) {
        const std::string table = layerOf(kindOfType<T>()).table;
        if (m_unfit.contains(table)) return Done{};
        const auto there = m_db.hasTable(table);
        if (!there) return there.error();
        if (!*there) {
            PlanFault fault;
            fault.table = table;
            fault.what = fmt::format("its table {} is missing", table);
            fault.mend = Mend::addTable;
            return take(std::move(fault));
        }
        const auto missing = missingColumns<T>(table);
        if (!missing) return missing.error();
        if (missing->contains("uid")) return Done{};
        m_strangers = 0;
        if (Status s = scan(scanOf<T>(table, *missing), table, items); !s.ok()) return s;
        const auto before = [](const T& a, const T& b) { return a.id < b.id; };
        if (!std::is_sorted(items.begin(), items.end(), before))
            std::sort(items.begin(), items.end(), before);
        return noteStrangers(table);
    }

    // Defaults stand in for columns that are not there.
    template <class T>
    RowScan scanOf(const std::string& table, const std::set<std::string>& missing) {
        std::string select = "SELECT _rowid_, uid";
        int at = 3;
        for (const std::string& name : columnsOf<T>())
            select += missing.contains(name) ? fmt::format(", ?{}", at++) : ", " + sqlName(name);
        const auto bind = [missing](Statement& statement) {
            int to = 3;
            const T plain{};
            forEachField(plain, [&](const char* name, const auto& value) {
                if (!missing.contains(name)) return;
                if (isGeometry(name))
                    ++to; // no place is a default
                else
                    ValueBinder(statement, to++, 0)(name, value);
            });
        };
        return {m_db, select + " FROM " + sqlName(table), bind};
    }

    template <class T>
    Status scan(RowScan rows, const std::string& table, std::vector<T>& items) {
        const auto visit = [&](const Statement& row) { return readRow(row, table, items); };
        if (!m_sink.goesOn()) return rows.each(visit);
        const auto trouble = rows.eachReadable(visit);
        if (!trouble) return trouble.error();
        if (trouble->empty()) return Done{};
        PlanFault fault;
        fault.table = table;
        fault.what = "some of its rows cannot be read: " + *trouble;
        if (fault.what.ends_with('.')) fault.what.pop_back();
        fault.mend = Mend::rebuild;
        return take(std::move(fault));
    }

    template <class T>
    Status readRow(const Statement& row, const std::string& table, std::vector<T>& items) {
        if (row.isNull(1)) {
            ++m_strangers;
            return Done{};
        }
        PlanFault fault;
        fault.table = table;
        fault.row = row.integer(0);
        fault.uid = row.integer(1);
        const bool names = row.isInteger(1) && fault.uid >= 1 && fault.uid <= std::int64_t{kHighestId};
        if (!names && !m_sink.goesOn()) {
            fault.what = kNoNumber;
            return take(std::move(fault));
        }
        T item{};
        item.id = {names ? static_cast<std::uint32_t>(fault.uid) : 1};
        ValueReader reader(row, 2);
        forEachField(item, reader);
        if (!reader.fault().empty()) return setAside(std::move(fault), reader.fault());
        if constexpr (std::is_same_v<T, Building>) item = asKept(std::move(item));
        if (Status s = lookAtShapes(item, fault, row); !s.ok()) return s;
        Item checked(std::move(item));
        if (Status s = validate(checked); !s.ok()) {
            fault.label = s.error().context;
            return setAside(std::move(fault), clauseOf(s.error()));
        }
        if (m_sink.goesOn()) {
            if (!names || !m_seen.insert(idOf(checked).v).second) {
                fault.what = names ? "another item has this uid, too" : kNoNumber;
                m_homeless.push_back({std::move(checked), std::move(fault)});
                return Done{};
            }
        }
        m_ids.push_back(idOf(checked));
        items.push_back(std::move(std::get<T>(checked)));
        return Done{};
    }

    Status setAside(PlanFault fault, std::string what) {
        fault.what = std::move(what);
        fault.mend = Mend::removeRow;
        if (fault.uid >= 1 && fault.uid <= std::int64_t{kHighestId})
            m_aside.insert(static_cast<std::uint32_t>(fault.uid));
        return take(std::move(fault));
    }

    template <class T>
    Status lookAtShapes(T& item, const PlanFault& where, const Statement& row) {
        Status status = Done{};
        const std::int32_t epsg = m_open.plan.settings->epsg;
        forEachField(item, [&](const char* name, auto& value) {
            if constexpr (std::is_same_v<std::remove_cvref_t<decltype(value)>, Polygon>) {
                if (turned(value)) status = noteTurned(where);
                if (status.ok() && m_sink.goesOn()) status = m_closer.polygon(where, value);
            }
            if (status.ok() && m_sink.goesOn() && isGeometry(name))
                status = m_closer.system(where, row.blob(geometryColumn<T>()), epsg ? epsg : -1);
        });
        return status;
    }

    template <class T>
    static int geometryColumn() {
        const auto names = columnsOf<T>();
        return 2 + static_cast<int>(std::find_if(names.begin(), names.end(),
                                                 [](const std::string& n) { return isGeometry(n.c_str()); }) -
                                    names.begin());
    }

    Status noteTurned(PlanFault where) {
        where.severity = PlanFault::Severity::note;
        where.what = fmt::format("In {} the corners of uid {} ran the wrong way round; they were turned.",
                                 where.table, where.uid);
        return take(std::move(where));
    }

    Status noteStrangers(const std::string& table) {
        if (m_strangers == 0) return Done{};
        PlanFault note;
        note.severity = PlanFault::Severity::note;
        note.table = table;
        note.what = fmt::format("{} rows of {} have no uid and were passed over.", m_strangers, table);
        return take(std::move(note));
    }

    Status finish() {
        std::sort(m_ids.begin(), m_ids.end());
        const auto twice = std::adjacent_find(m_ids.begin(), m_ids.end());
        if (twice != m_ids.end()) {
            PlanFault fault;
            fault.what = fmt::format("two items have the uid {}", twice->v);
            if (Status s = take(std::move(fault)); !s.ok()) return s;
        }
        ItemId& last = m_open.plan.lastId;
        last = m_ids.empty() ? m_lastId : std::max(m_lastId, m_ids.back());
        if (last != m_lastId && m_sink.goesOn())
            if (Status s = warnOfLastId(last); !s.ok()) return s;
        for (Homeless& each : m_homeless)
            if (Status s = giveNumber(std::move(each)); !s.ok()) return s;
        return settleReferences(m_open.plan, m_aside, m_sink);
    }

    Status warnOfLastId(ItemId last) {
        PlanFault fault;
        fault.severity = PlanFault::Severity::warning;
        fault.table = "fringewright_meta";
        fault.what =
            fmt::format("it counts items up to {}, but there is one with the uid {}", m_lastId.v, last.v);
        fault.mend = Mend::writeCounters;
        return take(std::move(fault));
    }

    Status giveNumber(Homeless each) {
        ItemId& last = m_open.plan.lastId;
        if (last.v >= kHighestId) return setAside(std::move(each.fault), each.fault.what);
        last = m_open.plan.nextId();
        each.fault.mend = Mend::newNumber;
        each.fault.number = last.v;
        std::visit([&](auto& item) { item.id = last; }, each.item);
        putInto(m_open.plan, std::move(each.item));
        return take(std::move(each.fault));
    }

    static constexpr const char* kNoNumber = "the uid cannot name an item";

    Database& m_db;
    FaultSink& m_sink;
    CloserLook m_closer{m_sink};
    OpenPlan m_open;
    ItemId m_lastId;
    std::set<std::string> m_unfit;
    std::vector<ItemId> m_ids;
    std::unordered_set<std::uint32_t> m_seen, m_aside;
    std::vector<Homeless> m_homeless;
    std::size_t m_strangers = 0;
};

} // namespace

Result<OpenPlan> readPlan(Database& db, FaultSink& sink) { return PlanReader(db, sink).read(); }

Status checkHull(Database& db) {
    FirstFault sink;
    const auto schema = lookAtSchema(db, sink);
    if (!schema) return schema.error();
    return db.checkStructure();
}

Result<OpenPlan> readPlan(Database& db) {
    FirstFault sink;
    auto open = readPlan(db, sink);
    if (open) open->notes = std::move(sink.notes);
    return open;
}

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
