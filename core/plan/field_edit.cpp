// SPDX-License-Identifier: GPL-3.0-or-later
// One field of one item, by name.
#include "base/text.h"
#include "plan/edit_makers.h"
#include "plan/enum_names.h"
#include "plan/fields.h"

#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <string_view>

namespace fw {

namespace {

std::optional<double> numberIn(const FieldValue& value) {
    if (const double* d = std::get_if<double>(&value)) return *d;
    if (const std::int32_t* i = std::get_if<std::int32_t>(&value)) return *i;
    return std::nullopt;
}

bool isAzimuth(std::string_view field) { return field == "azimuth_deg"; }

// Puts a value into a field of its type; false when it does not fit.
bool assign(std::string_view field, const FieldValue& value, double& out) {
    const auto number = numberIn(value);
    if (!number) return false;
    out = isAzimuth(field) ? wrap360(*number) : *number;
    return true;
}
bool assign(std::string_view, const FieldValue& value, std::int32_t& out) {
    const auto number = numberIn(value);
    if (!number || std::floor(*number) != *number ||
        std::fabs(*number) > std::numeric_limits<std::int32_t>::max())
        return false;
    out = static_cast<std::int32_t>(*number);
    return true;
}
bool assign(std::string_view, const FieldValue& value, bool& out) {
    const bool* b = std::get_if<bool>(&value);
    if (b) out = *b;
    return b != nullptr;
}
bool assign(std::string_view, const FieldValue& value, std::string& out) {
    const std::string* s = std::get_if<std::string>(&value);
    if (s) out = *s;
    return s != nullptr;
}
bool assign(std::string_view, const FieldValue& value, ItemId& out) {
    if (std::holds_alternative<std::monostate>(value)) {
        out = {};
        return true;
    }
    const ItemId* id = std::get_if<ItemId>(&value);
    if (id) out = *id;
    return id != nullptr;
}
bool assign(std::string_view, const FieldValue& value, std::optional<double>& out) {
    out = numberIn(value);
    return out || std::holds_alternative<std::monostate>(value);
}
// Whole numbers up to 2^53 are exact as fractions, and no identity has more than 36 bits.
bool assign(std::string_view, const FieldValue& value, std::optional<std::int64_t>& out) {
    out.reset();
    const auto number = numberIn(value);
    if (!number) return std::holds_alternative<std::monostate>(value);
    if (std::floor(*number) != *number || std::fabs(*number) > 9007199254740992.0) return false;
    out = static_cast<std::int64_t>(*number);
    return true;
}
bool assign(std::string_view, const FieldValue& value, std::optional<TrueAzimuth>& out) {
    out.reset();
    if (const auto number = numberIn(value)) out = TrueAzimuth::of(*number);
    return out || std::holds_alternative<std::monostate>(value);
}
bool assign(std::string_view, const FieldValue& value, std::vector<double>& out) {
    const auto* list = std::get_if<std::vector<double>>(&value);
    if (list) out = *list;
    return list != nullptr;
}
bool assign(std::string_view, const FieldValue& value, PlanePoint& out) {
    const PlanePoint* p = std::get_if<PlanePoint>(&value);
    if (p) out = *p;
    return p != nullptr;
}
bool assign(std::string_view, const FieldValue& value, Date& out) {
    const std::string* s = std::get_if<std::string>(&value);
    if (!s) return false;
    const auto date = Date::parse(*s);
    if (date) out = *date;
    return date.ok();
}
template <class E>
requires std::is_enum_v<E>
bool assign(std::string_view, const FieldValue& value, E& out) {
    const std::string* s = std::get_if<std::string>(&value);
    const auto named = s ? enumFrom<E>(*s) : std::nullopt;
    if (named) out = *named;
    return named.has_value();
}
// Shapes and lists of ids have makers of their own.
template <class V>
requires std::is_same_v<V, Line> || std::is_same_v<V, Polygon> || std::is_same_v<V, std::vector<ItemId>>
bool assign(std::string_view, const FieldValue&, V&) { return false; }

template <class V>
std::optional<FieldValue> valueOf(const V& v) {
    if constexpr (std::is_enum_v<V>)
        return FieldValue{std::string(enumName(v))};
    else if constexpr (std::is_same_v<V, std::optional<double>>)
        return v ? FieldValue{*v} : FieldValue{};
    else if constexpr (std::is_same_v<V, std::optional<std::int64_t>>)
        return v ? FieldValue{static_cast<double>(*v)} : FieldValue{};
    else if constexpr (std::is_same_v<V, std::optional<TrueAzimuth>>)
        return v ? FieldValue{v->deg} : FieldValue{};
    else if constexpr (std::is_same_v<V, Line> || std::is_same_v<V, Polygon> ||
                       std::is_same_v<V, std::vector<ItemId>>)
        return std::nullopt;
    else
        return FieldValue{v};
}

Error noSuchField(const std::string& label, const std::string& field) {
    return {ErrorCode::badInput, fmt::format("There is no field \"{}\" to set.", field), label};
}
Error wrongType(const std::string& label, const std::string& field) {
    return {ErrorCode::badInput,
            fmt::format("The {} cannot take this value; enter one of the kind it has now.",
                        fieldWords(field).words),
            label};
}

enum class Assigned { absent, unfit, set };

} // namespace

Result<Edit> fieldEdit(const Plan& plan, ItemId id, const std::string& field, const FieldValue& value) {
    auto item = plan.item(id);
    if (!item) return Error{ErrorCode::badInput, CORE_TEXT("The item is no longer in the plan.")};
    const Item before = *item;
    const std::string label = plan.label(id);
    Assigned outcome = Assigned::absent;
    std::visit(
        [&](auto& v) {
            forEachField(v, [&](const char* name, auto& current) {
                if (field == name) outcome = assign(field, value, current) ? Assigned::set : Assigned::unfit;
            });
        },
        *item);
    if (outcome == Assigned::absent) return noSuchField(label, field);
    if (outcome == Assigned::unfit) return wrongType(label, field);
    Edit edit{fmt::format("Change {} of {}", fieldWords(field).words, label), {}};
    if (*item != before) edit.changes.emplace_back(Put{std::move(*item)});
    return edit;
}

Result<Edit> settingEdit(const Plan& plan, const std::string& field, const FieldValue& value) {
    PlanSettings settings = *plan.settings;
    Assigned outcome = Assigned::absent;
    forEachSetting(settings, [&](const char* name, auto& current) {
        if (field == name) outcome = assign(field, value, current) ? Assigned::set : Assigned::unfit;
    });
    const std::string label = CORE_TEXT("settings of the plan");
    if (outcome == Assigned::absent) return noSuchField(label, field);
    if (outcome == Assigned::unfit) return wrongType(label, field);
    Edit edit{fmt::format("Change {} of the plan", fieldWords(field).words), {}};
    if (settings != *plan.settings) edit.changes.emplace_back(PutSettings{std::move(settings)});
    return edit;
}

std::optional<FieldValue> fieldValue(const Plan& plan, ItemId id, const std::string& field) {
    const auto item = plan.item(id);
    std::optional<FieldValue> found;
    if (!item) return found;
    std::visit(
        [&](const auto& v) {
            forEachField(v, [&](const char* name, const auto& current) {
                if (field == name) found = valueOf(current);
            });
        },
        *item);
    return found;
}

} // namespace fw
