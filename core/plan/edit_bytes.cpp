// SPDX-License-Identifier: GPL-3.0-or-later
// Edits as CBOR (RFC 8949): a map of version, text and changes; each change a map with one key.
#include "plan/edit.h"
#include "plan/enum_names.h"
#include "plan/fields.h"
#include "plan/tables.h"

#include <fmt/format.h>
#include <limits>
#include <nlohmann/json.hpp>

namespace fw {

namespace {

using Json = nlohmann::json;

constexpr int kVersion = 1;
constexpr std::size_t kDeepest = 12; // what we write is nested 9 deep at most

// ---- values to CBOR

template <class V>
Json toJson(const V& v) {
    if constexpr (std::is_enum_v<V>)
        return enumName(v);
    else
        return v;
}
Json toJson(ItemId v) { return v.v; }
Json toJson(const Date& v) { return v.iso(); }
Json toJson(const PlanePoint& p) { return Json::array({p.x, p.y}); }
Json toJson(const std::optional<double>& v) { return v ? Json(*v) : Json(nullptr); }
Json toJson(const std::optional<std::int64_t>& v) { return v ? Json(*v) : Json(nullptr); }
Json toJson(const std::optional<TrueAzimuth>& v) { return v ? Json(v->deg) : Json(nullptr); }
Json toJson(const std::vector<ItemId>& ids) {
    Json list = Json::array();
    for (const ItemId id : ids) list.push_back(id.v);
    return list;
}
Json toJson(const Line& line) {
    Json list = Json::array();
    for (const PlanePoint& p : line) list.push_back(toJson(p));
    return list;
}
Json toJson(const Polygon& p) {
    Json rings = Json::array({toJson(p.outer)});
    for (const Ring& hole : p.holes) rings.push_back(toJson(hole));
    return rings;
}

// ---- values from CBOR: false when the value does not fit

bool fromJson(const Json& j, double& v) {
    if (!j.is_number()) return false;
    v = j.get<double>();
    return true;
}
bool fromJson(const Json& j, std::string& v) {
    if (!j.is_string()) return false;
    v = j.get<std::string>();
    return true;
}
bool fromJson(const Json& j, bool& v) {
    if (!j.is_boolean()) return false;
    v = j.get<bool>();
    return true;
}
bool fromJson(const Json& j, std::int32_t& v) {
    if (!j.is_number_integer()) return false;
    if (j.is_number_unsigned() && j.get<std::uint64_t>() > std::numeric_limits<std::int32_t>::max())
        return false;
    const auto wide = j.get<std::int64_t>();
    v = static_cast<std::int32_t>(wide);
    return wide == v;
}
bool fromJson(const Json& j, ItemId& v) {
    if (!j.is_number_unsigned()) return false;
    const auto wide = j.get<std::uint64_t>();
    v.v = static_cast<std::uint32_t>(wide);
    return wide == v.v;
}
bool fromJson(const Json& j, Date& v) {
    if (!j.is_string()) return false;
    const auto date = Date::parse(j.get<std::string>());
    if (date) v = *date;
    return date.ok();
}
bool fromJson(const Json& j, PlanePoint& p) {
    return j.is_array() && j.size() == 2 && fromJson(j[0], p.x) && fromJson(j[1], p.y);
}
bool fromJson(const Json& j, std::optional<double>& v) {
    v.reset();
    return j.is_null() || fromJson(j, v.emplace());
}
bool fromJson(const Json& j, std::optional<std::int64_t>& v) {
    v.reset();
    if (j.is_null()) return true;
    if (!j.is_number_integer()) return false;
    if (j.is_number_unsigned() && j.get<std::uint64_t>() > std::numeric_limits<std::int64_t>::max())
        return false;
    v = j.get<std::int64_t>();
    return true;
}
bool fromJson(const Json& j, std::optional<TrueAzimuth>& v) {
    v.reset();
    return j.is_null() || fromJson(j, v.emplace().deg);
}
template <class E>
requires std::is_enum_v<E>
bool fromJson(const Json& j, E& v) {
    if (!j.is_string()) return false;
    const auto value = enumFrom<E>(j.get_ref<const std::string&>());
    if (value) v = *value;
    return value.has_value();
}
template <class T>
bool fromJson(const Json& j, std::vector<T>& list) {
    if (!j.is_array()) return false;
    list.clear();
    list.resize(j.size());
    for (std::size_t k = 0; k < list.size(); ++k)
        if (!fromJson(j[k], list[k])) return false;
    return true;
}
bool fromJson(const Json& j, Polygon& p) {
    if (!j.is_array() || j.empty() || !fromJson(j[0], p.outer)) return false;
    p.holes.resize(j.size() - 1);
    for (std::size_t k = 1; k < j.size(); ++k)
        if (!fromJson(j[k], p.holes[k - 1])) return false;
    return true;
}

bool fromJson(const Json& j, std::map<std::string, double>& limits) {
    if (!j.is_object()) return false;
    for (const auto& [name, value] : j.items())
        if (!fromJson(value, limits[name])) return false;
    return true;
}

// ---- items and changes

Error malformed(const std::string& what) {
    return {ErrorCode::damaged, fmt::format("The stored edit cannot be read: {}.", what)};
}

// Reads named fields out of a map; every key must be asked for.
class MapReader {
public:
    explicit MapReader(const Json& map) : m_map(map) {}
    template <class V>
    void operator()(const char* name, V& value) {
        ++m_asked;
        if (!m_fault.empty()) return;
        const auto it = m_map.find(name);
        if (it == m_map.end() && mayBeLeftOut(name))
            --m_asked; // it keeps its default
        else if (it == m_map.end())
            m_fault = fmt::format("\"{}\" is missing", name);
        else if (!fromJson(*it, value))
            m_fault = fmt::format("\"{}\" is not what it should be", name);
    }
    [[nodiscard]] Status done() const {
        if (!m_fault.empty()) return malformed(m_fault);
        if (m_map.size() != m_asked) return malformed("it holds a field that is not known");
        return Done{};
    }

private:
    const Json& m_map;
    std::size_t m_asked = 0;
    std::string m_fault;
};

template <class T>
Json fieldsToJson(const T& v) {
    Json map = Json::object();
    map["id"] = v.id.v;
    forEachField(v, [&](const char* name, const auto& value) { map[name] = toJson(value); });
    return map;
}

Json itemToJson(const Item& item) {
    return std::visit([](const auto& v) { return fieldsToJson(v); }, item);
}

template <class T>
Status fieldsFromJson(const Json& map, T& v) {
    if (!map.is_object()) return malformed("an item has no fields");
    MapReader read(map);
    read("id", v.id);
    forEachField(v, read);
    return read.done();
}

template <std::size_t I = 0>
std::optional<Item> emptyItem(const std::string& kind) {
    if constexpr (I < std::variant_size_v<Item>) {
        if (kind == nameOf(static_cast<Kind>(I))) return Item(std::in_place_index<I>);
        return emptyItem<I + 1>(kind);
    } else {
        return std::nullopt;
    }
}

// The mount's own "kind" must not clash with the kind of item: the latter stands outside its map.
Result<Item> itemFromJson(const Json& map) {
    const auto kind = map.find("item");
    const auto fields = map.find("fields");
    if (kind == map.end() || !kind->is_string() || fields == map.end() || !fields->is_object() ||
        map.size() != 2)
        return malformed("an item has no kind or no fields");
    auto item = emptyItem(kind->get<std::string>());
    if (!item) return malformed("the kind of an item is not known");
    if (Status s = std::visit([&](auto& v) { return fieldsFromJson(*fields, v); }, *item); !s.ok())
        return s.error();
    return std::move(*item);
}

Json allSettings(const PlanSettings& settings) {
    Json map = Json::object();
    forEachSetting(settings, [&](const char* name, const auto& value) { map[name] = toJson(value); });
    return map;
}

Json settingsToJson(const PlanSettings& settings) {
    static const Json usual = allSettings({});
    Json map = allSettings(settings);
    for (const auto& [name, value] : usual.items())
        if (mayBeLeftOut(name) && map.at(name) == value) map.erase(name);
    map["limits"] = settings.profile.limits;
    return map;
}

Result<PlanSettings> settingsFromJson(const Json& map) {
    PlanSettings settings;
    MapReader read(map);
    forEachSetting(settings, read);
    read("limits", settings.profile.limits);
    if (Status s = read.done(); !s.ok()) return s.error();
    return settings;
}

Json changeToJson(const Change& change) {
    Json map = Json::object();
    if (const Put* put = std::get_if<Put>(&change)) {
        Json fields = itemToJson(put->item);
        map["put"] = {{"item", nameOf(kindOf(put->item))}, {"fields", std::move(fields)}};
    } else if (const Remove* remove = std::get_if<Remove>(&change)) {
        map["remove"] = remove->id.v;
    } else if (const PutBuildings* many = std::get_if<PutBuildings>(&change)) {
        Json list = Json::array();
        for (const Building& b : *many->buildings) list.push_back(fieldsToJson(b));
        map["put_buildings"] = std::move(list);
    } else if (const RemoveBuildings* gone = std::get_if<RemoveBuildings>(&change)) {
        map["remove_buildings"] = toJson(*gone->ids);
    } else {
        map["settings"] = settingsToJson(std::get<PutSettings>(change).settings);
    }
    return map;
}

Result<Change> buildingsFromJson(const Json& list) {
    if (!list.is_array()) return malformed("a change holds no list of buildings");
    auto all = std::make_shared<std::vector<Building>>(list.size());
    for (std::size_t k = 0; k < list.size(); ++k)
        if (Status s = fieldsFromJson(list[k], (*all)[k]); !s.ok()) return s.error();
    return Change{PutBuildings{std::move(all)}};
}

Result<Change> changeFromJson(const Json& map) {
    if (!map.is_object() || map.size() != 1) return malformed("a change is not a map with one key");
    const auto only = map.begin(); // not items(): what that gives lives no longer than the line
    const std::string& key = only.key();
    const Json& value = *only;
    if (key == "remove") {
        ItemId id;
        if (!fromJson(value, id)) return malformed("the number of an item to remove is not one");
        return Change{Remove{id}};
    }
    if (key == "put_buildings") return buildingsFromJson(value);
    if (key == "remove_buildings") {
        std::vector<ItemId> ids;
        if (!fromJson(value, ids)) return malformed("the numbers of buildings to remove are none");
        return Change{RemoveBuildings{std::make_shared<const std::vector<ItemId>>(std::move(ids))}};
    }
    if (!value.is_object()) return malformed("a change holds no map");
    if (key == "put") {
        auto item = itemFromJson(value);
        if (!item) return item.error();
        return Change{Put{std::move(*item)}};
    }
    if (key != "settings") return malformed("a change is of a kind that is not known");
    auto settings = settingsFromJson(value);
    if (!settings) return settings.error();
    return Change{PutSettings{std::move(*settings)}};
}

// The library's reader calls itself for every level; hostile bytes could nest until the stack ends. This walk
// over the heads of RFC 8949, 3 keeps no stack but a short list and also refuses lengths beyond the input.
bool isShallow(const std::vector<std::uint8_t>& bytes) {
    std::vector<std::uint64_t> open; // items still to come, per level
    std::size_t at = 0;
    while (at < bytes.size()) {
        const unsigned major = bytes[at] >> 5, low = bytes[at] & 31u;
        ++at;
        std::uint64_t n = low;
        if (low >= 24) {
            if (low > 27) return false; // indefinite lengths are never written
            const std::size_t width = std::size_t{1} << (low - 24);
            if (bytes.size() - at < width) return false;
            n = 0;
            for (std::size_t k = 0; k < width; ++k) n = n << 8 | bytes[at++];
        }
        if (major == 6) return false; // tags are never written
        if (major == 2 || major == 3) {
            if (n > bytes.size() - at) return false;
            at += static_cast<std::size_t>(n);
        }
        if ((major == 4 || major == 5) && n > 0) {
            if (n > bytes.size() - at || open.size() == kDeepest) return false;
            open.push_back(major == 5 ? 2 * n : n);
            continue;
        }
        while (!open.empty() && --open.back() == 0) open.pop_back();
        if (open.empty()) return at == bytes.size();
    }
    return false;
}

Result<Edit> editFromJson(const Json& map) {
    if (!map.is_object() || map.size() != 3) return malformed("it is not a map of version, text and changes");
    std::int32_t version = 0;
    Edit edit;
    MapReader read(map);
    read("version", version);
    read("text", edit.text);
    const auto changes = map.find("changes");
    if (changes == map.end() || !changes->is_array()) return malformed("it has no list of changes");
    if (version > kVersion)
        return Error{ErrorCode::newer,
                     fmt::format("The stored edit is of version {}; this program reads up to version {}.",
                                 version, kVersion)};
    if (version != kVersion) return malformed("its version is not a number from 1 up");
    for (const Json& one : *changes) {
        auto change = changeFromJson(one);
        if (!change) return change.error();
        edit.changes.push_back(std::move(*change));
    }
    return edit;
}

} // namespace

std::vector<std::uint8_t> toBytes(const Edit& edit) {
    Json changes = Json::array();
    for (const Change& change : edit.changes) changes.push_back(changeToJson(change));
    const Json map = {{"version", kVersion}, {"text", edit.text}, {"changes", std::move(changes)}};
    return Json::to_cbor(map);
}

Result<Edit> editFromBytes(const std::vector<std::uint8_t>& bytes) {
    if (!isShallow(bytes)) return malformed("it is cut short or not in the form this program writes");
    try {
        const Json map = Json::from_cbor(bytes, true, false);
        if (map.is_discarded()) return malformed("it is not CBOR");
        return editFromJson(map);
    } catch (const std::exception& e) {
        return malformed(e.what());
    }
}

} // namespace fw
