// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/copied_text.h"

#include "base/text.h"
#include "delivery/csv_field.h"
#include "plan/enum_names.h"
#include "plan/validate.h"

#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <set>

namespace fw {

namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kLargest = 32u << 20;
constexpr int kDeepest = 12;

// The stored form of an edit is the stored form of items; here it is written as text.
Json itemsToJson(const std::vector<Item>& items) {
    Edit edit;
    for (const Item& item : items) edit.changes.emplace_back(Put{item});
    return Json::from_cbor(toBytes(edit)).at("changes");
}

Error notOurs() {
    return {ErrorCode::badInput,
            CORE_TEXT("The clipboard holds nothing that a plan can take. Copy mounts or congestion areas "
                      "from a plan first.")};
}
Error broken(const std::string& what) {
    return {ErrorCode::damaged, fmt::format("What was copied cannot be read: {} Copy it again.", what)};
}

Result<std::vector<Item>> itemsFromJson(const Json& list) {
    const Json map = {{"version", 1}, {"text", ""}, {"changes", list}};
    auto edit = editFromBytes(Json::to_cbor(map));
    if (!edit) return broken(edit.error().sentence());
    std::vector<Item> items;
    for (Change& change : edit->changes) {
        Put* put = std::get_if<Put>(&change);
        if (!put) return broken("it holds more than items.");
        if (const Status s = validate(put->item); !s.ok()) return broken(s.error().sentence());
        items.push_back(std::move(put->item));
    }
    return items;
}

// An item twice, or one that names an item which is not in the copy, would paste as something else.
Status isSound(const CopiedItems& copied) {
    std::set<ItemId> ids;
    for (const auto* list : {&copied.items, &copied.named})
        for (const Item& item : *list)
            if (!idOf(item) || !ids.insert(idOf(item)).second) return broken("an item is there twice.");
    for (const Item& item : copied.items) {
        const Radio* r = std::get_if<Radio>(&item);
        const SmallCell* s = std::get_if<SmallCell>(&item);
        const SiteWorks* w = std::get_if<SiteWorks>(&item);
        if ((r && !ids.count(r->mount)) || (s && !ids.count(s->radio)) || (w && !ids.count(w->mount)))
            return broken("it is not complete.");
    }
    return Done{};
}

Result<CopiedItems> copiedFrom(const Json& all) {
    if (!all.is_object() || all.value("schema", Json()) != kCopiedSchema) return notOurs();
    const Json version = all.value("version", Json());
    if (!version.is_number_unsigned() || version.get<std::uint64_t>() < 1)
        return broken("it has no version.");
    if (version.get<std::uint64_t>() > kCopiedVersion)
        return Error{ErrorCode::newer,
                     fmt::format("This was copied by a newer program (version {} of the form; this one reads "
                                 "up to {}).",
                                 version.get<std::uint64_t>(), kCopiedVersion)};
    const Json epsg = all.value("epsg", Json()), items = all.value("items", Json()),
               named = all.value("named", Json());
    if (!epsg.is_number_unsigned() || epsg.get<std::uint64_t>() > 1000000 || !items.is_array() ||
        !named.is_array())
        return broken("a part of it is missing.");
    CopiedItems out;
    out.epsg = epsg.get<int>();
    auto read = itemsFromJson(items);
    if (!read) return read.error();
    out.items = std::move(*read);
    auto readNamed = itemsFromJson(named);
    if (!readNamed) return readNamed.error();
    out.named = std::move(*readNamed);
    if (const Status s = isSound(out); !s.ok()) return s.error();
    return out;
}

} // namespace

std::string copiedJson(const CopiedItems& copied) {
    const Json all = {{"schema", kCopiedSchema},
                      {"version", kCopiedVersion},
                      {"epsg", copied.epsg},
                      {"items", itemsToJson(copied.items)},
                      {"named", itemsToJson(copied.named)}};
    return all.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

Result<CopiedItems> copiedFromJson(std::string_view text) {
    if (text.size() > kLargest) return notOurs();
    try {
        // What we write is nested 9 deep at most; deeper values are passed over, so that nothing that walks
        // them runs out of stack.
        const auto shallow = [](int depth, Json::parse_event_t, Json&) { return depth <= kDeepest; };
        const Json all = Json::parse(text.begin(), text.end(), shallow, false);
        if (all.is_discarded()) return notOurs();
        return copiedFrom(all);
    } catch (const std::exception& e) {
        return broken(std::string(e.what()) + ".");
    }
}

// ---- rows for people and other programs

namespace {

struct Value {
    const char* key;
    const char* head;
    std::string text;
    bool number = false;
};
// One line of the table; every line has the same columns.
struct Row {
    std::vector<PlanePoint> outline; // of an area; else empty
    std::optional<PlanePoint> at;
    std::vector<Value> values;
};

std::string decimals(double v, int n) { return fmt::format("{:.{}f}", v == 0 ? 0.0 : v, n); }

Row rowOf(const Item& item, const CopiedItems& copied, const Frame& frame) {
    const auto find = [&](ItemId id) -> const Item* {
        for (const Item& i : copied.items)
            if (idOf(i) == id) return &i;
        return nullptr;
    };
    const Mount* m = std::get_if<Mount>(&item);
    const Radio* r = std::get_if<Radio>(&item);
    const SmallCell* s = std::get_if<SmallCell>(&item);
    const CongestionArea* a = std::get_if<CongestionArea>(&item);
    const Item* owner = s ? find(s->radio) : r ? find(r->mount) : nullptr;
    const Item* home = s && owner ? find(std::get<Radio>(*owner).mount) : owner;
    Row row;
    if (m) row.at = m->at;
    if (home) row.at = std::get<Mount>(*home).at;
    if (const FibrePoint* p = std::get_if<FibrePoint>(&item)) row.at = p->at;
    if (const PowerTap* p = std::get_if<PowerTap>(&item)) row.at = p->at;
    if (a) {
        row.at = centroidOf(a->area);
        row.outline = a->area.outer;
    }
    std::optional<GeoPoint> geo;
    if (row.at)
        if (const auto g = frame.toGeo(*row.at)) geo = *g;
    const auto number = [](bool there, double v, int n) { return there ? decimals(v, n) : std::string(); };
    const auto text = [](bool there, const std::string& v) { return there ? v : std::string(); };
    row.values = {
        {"item", "Item", nameOf(kindOf(item))},
        {"name", "Name", labelOf(item)},
        {"on", "On", text(owner, owner ? labelOf(*owner) : "")},
        {"latitude_deg", "Latitude (deg)", number(geo.has_value(), geo ? geo->latDeg : 0, 7), true},
        {"longitude_deg", "Longitude (deg)", number(geo.has_value(), geo ? geo->lonDeg : 0, 7), true},
        {"east_m", "East (m)", number(row.at.has_value(), row.at ? row.at->x : 0, 3), true},
        {"north_m", "North (m)", number(row.at.has_value(), row.at ? row.at->y : 0, 3), true},
        {"epsg", "EPSG", std::to_string(copied.epsg), true},
        {"kind", "Kind", text(m, m ? enumName(m->kind) : "")},
        {"height_m", "Height (m)", number(m, m ? m->height.m : 0, 2), true},
        {"faces_deg", "Faces (deg true)", number(m && m->faces, m && m->faces ? m->faces->deg : 0, 1), true},
        {"azimuth_deg", "Azimuth (deg true)", number(r, r ? r->azimuth.deg : 0, 1), true},
        {"tilt_deg", "Tilt (deg down)", number(r, r ? r->tiltDeg : 0, 1), true},
        {"total_power_dbm", "Power (dBm)", number(r, r ? r->totalPowerDbm : 0, 1), true},
        {"technology", "Technology", text(s, s ? enumName(s->carrier.technology) : "")},
        {"channel", "Channel", number(s, s ? s->carrier.channel : 0, 0), true},
        {"bandwidth_mhz", "Bandwidth (MHz)", number(s, s ? s->carrier.bandwidthMHz : 0, 1), true},
        {"bias_db", "Bias (dB)", number(s, s ? s->biasDb : 0, 1), true},
        {"pci", "PCI", number(s, s ? s->pci : 0, 0), true},
        {"demand_factor", "Demand factor", number(a, a ? a->demandFactor : 0, 2), true},
    };
    return row;
}

std::vector<Row> rowsOf(const CopiedItems& copied, const Frame& frame) {
    std::vector<Row> rows;
    for (const Item& item : copied.items)
        if (!std::holds_alternative<SiteWorks>(item)) rows.push_back(rowOf(item, copied, frame));
    return rows;
}

Json degreesOf(GeoPoint p) {
    const auto seven = [](double deg) { return std::round(deg * 1e7) / 1e7 + 0.0; };
    return {seven(p.lonDeg), seven(p.latDeg)};
}

// Null outside the system's domain.
Json geometryOf(const Row& row, const Frame& frame) {
    if (!row.at) return nullptr;
    if (row.outline.empty()) {
        const auto geo = frame.toGeo(*row.at);
        return geo ? Json{{"type", "Point"}, {"coordinates", degreesOf(*geo)}} : Json();
    }
    Json ring = Json::array();
    for (const PlanePoint& p : row.outline) {
        const auto geo = frame.toGeo(p);
        if (!geo) return nullptr;
        ring.push_back(degreesOf(*geo));
    }
    ring.push_back(ring.front());
    return {{"type", "Polygon"}, {"coordinates", Json::array({ring})}};
}

} // namespace

std::string copiedCsv(const CopiedItems& copied, const Frame& frame) {
    std::string out;
    for (const Row& row : rowsOf(copied, frame)) {
        const auto line = [&](auto&& field) {
            std::string text;
            for (std::size_t k = 0; k < row.values.size(); ++k) text += (k ? "," : "") + field(row.values[k]);
            return text + "\r\n";
        };
        if (out.empty()) out = line([](const Value& v) { return csvField(v.head, false); });
        out += line([](const Value& v) { return csvField(v.text, v.number); });
    }
    return out;
}

std::string copiedGeoJson(const CopiedItems& copied, const Frame& frame) {
    Json features = Json::array();
    for (const Row& row : rowsOf(copied, frame)) {
        Json properties = Json::object();
        for (const Value& v : row.values) {
            if (v.text.empty()) continue;
            if (v.number)
                properties[v.key] = Json::parse(v.text);
            else
                properties[v.key] = v.text;
        }
        features.push_back({{"type", "Feature"},
                            {"geometry", geometryOf(row, frame)},
                            {"properties", std::move(properties)}});
    }
    const Json all = {{"type", "FeatureCollection"}, {"features", std::move(features)}};
    return all.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace fw
