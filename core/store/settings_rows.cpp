// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/settings_rows.h"

#include "plan/fields.h"
#include "store/number_list.h"

#include <charconv>
#include <fmt/format.h>
#include <map>

namespace fw {

namespace {

constexpr const char* kLimit = "limit ";

std::string asText(const std::string& v) { return v; }
std::string asText(double v) { return numberText(v); }
std::string asText(int v) { return std::to_string(v); }
std::string asText(ItemId v) { return v ? std::to_string(v.v) : std::string(); }
std::string asText(const Date& v) { return v.iso(); }

template <class N>
bool wholeFrom(const std::string& text, N& v) {
    const auto [end, failed] = std::from_chars(text.data(), text.data() + text.size(), v);
    return failed == std::errc{} && end == text.data() + text.size();
}
bool fromText(const std::string& text, std::string& v) {
    v = text;
    return true;
}
bool fromText(const std::string& text, double& v) {
    const auto number = numberFrom(text);
    if (number) v = *number;
    return number.has_value();
}
bool fromText(const std::string& text, int& v) { return wholeFrom(text, v); }
bool fromText(const std::string& text, ItemId& v) {
    v = {};
    return text.empty() || wholeFrom(text, v.v);
}
bool fromText(const std::string& text, Date& v) {
    const auto date = Date::parse(text);
    if (date) v = *date;
    return date.ok();
}

Error broken(const std::string& name, const std::string& value) {
    return {ErrorCode::damaged, fmt::format("The setting \"{}\" cannot be read: \"{}\".", name, value)};
}

} // namespace

std::string createSettingsSql() {
    return fmt::format("CREATE TABLE {} (fid INTEGER PRIMARY KEY NOT NULL, name TEXT UNIQUE, value TEXT)",
                       kSettingsTable);
}

Result<PlanSettings> readSettings(Database& db, std::vector<std::string>& notes) {
    auto rows = db.prepare(fmt::format("SELECT name, value FROM {} WHERE name IS NOT NULL", kSettingsTable));
    if (!rows) return rows.error();
    std::map<std::string, std::string> values;
    for (;;) {
        auto row = rows->step();
        if (!row) return row.error();
        if (!*row) break;
        values[rows->text(0)] = rows->text(1);
    }
    PlanSettings settings;
    Status status = Done{};
    forEachSetting(settings, [&](const char* name, auto& value) {
        const auto it = values.find(name);
        if (it == values.end())
            notes.push_back(fmt::format("The setting \"{}\" is not in the file; its default is used.", name));
        else if (!fromText(it->second, value) && status.ok())
            status = broken(name, it->second);
    });
    if (!status.ok()) return status.error();
    for (const auto& [name, value] : values) {
        if (name.rfind(kLimit, 0) != 0) continue;
        if (!fromText(value, settings.profile.limits[name.substr(std::string_view(kLimit).size())]))
            return broken(name, value);
    }
    return settings;
}

Status writeSettings(Database& db, const PlanSettings& settings) {
    auto put = db.prepare(fmt::format("INSERT INTO {} (name, value) VALUES (?1, ?2) "
                                      "ON CONFLICT (name) DO UPDATE SET value=?2 WHERE value IS NOT ?2",
                                      kSettingsTable));
    if (!put) return put.error();
    Status status = Done{};
    const auto write = [&](const std::string& name, const std::string& value) {
        if (!status.ok()) return;
        put->bind(1, std::string_view(name));
        put->bind(2, std::string_view(value));
        status = put->run();
    };
    forEachSetting(settings, [&](const char* name, const auto& value) { write(name, asText(value)); });
    for (const auto& [name, limit] : settings.profile.limits) write(kLimit + name, numberText(limit));
    if (!status.ok()) return status;

    std::vector<std::string> gone;
    auto rows = db.prepare(fmt::format("SELECT name FROM {} WHERE substr(name, 1, 6) = '{}' ORDER BY name",
                                       kSettingsTable, kLimit));
    if (!rows) return rows.error();
    for (;;) {
        auto row = rows->step();
        if (!row) return row.error();
        if (!*row) break;
        const std::string name = rows->text(0);
        if (!settings.profile.limits.count(name.substr(6))) gone.push_back(name);
    }
    auto remove = db.prepare(fmt::format("DELETE FROM {} WHERE name=?", kSettingsTable));
    if (!remove) return remove.error();
    for (const std::string& name : gone) {
        remove->bind(1, std::string_view(name));
        if (Status s = remove->run(); !s.ok()) return s;
    }
    return Done{};
}

} // namespace fw
