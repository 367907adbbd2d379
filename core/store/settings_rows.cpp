// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/settings_rows.h"

#include "plan/enum_names.h"
#include "plan/fields.h"
#include "plan/validate.h"
#include "store/number_list.h"

#include <charconv>
#include <fmt/format.h>
#include <map>

namespace fw {

namespace {

constexpr const char* kLimit = "limit ";

std::string asText(const std::string& v) { return v; }
std::string asText(double v) { return numberText(v); }
std::string asText(bool v) { return v ? "yes" : ""; } // of settings that may be left out
std::string asText(int v) { return std::to_string(v); }
std::string asText(ItemId v) { return v ? std::to_string(v.v) : std::string(); }
std::string asText(const Date& v) { return v.iso(); }
template <class E>
requires std::is_enum_v<E> std::string asText(E v) { return enumName(v); }

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
bool fromText(const std::string& text, bool& v) {
    v = text == "yes";
    return v || text.empty() || text == "no";
}
bool fromText(const std::string& text, int& v) { return wholeFrom(text, v); }
bool fromText(const std::string& text, ItemId& v) {
    v = {};
    return text.empty() || wholeFrom(text, v.v);
}
template <class E>
requires std::is_enum_v<E>
bool fromText(const std::string& text, E& v) {
    const auto value = enumFrom<E>(text);
    if (value) v = *value;
    return value.has_value();
}
bool fromText(const std::string& text, Date& v) {
    const auto date = Date::parse(text);
    if (date) v = *date;
    return date.ok();
}

using Values = std::map<std::string, std::string>;

constexpr std::size_t kMostRows = 10000;

PlanFault faultOf(const std::string& setting, std::string what, Mend mend) {
    PlanFault fault;
    fault.table = kSettingsTable;
    fault.label = "settings of the plan";
    fault.field = setting;
    fault.what = std::move(what);
    fault.mend = mend;
    return fault;
}

PlanFault broken(const std::string& name, const std::string& value) {
    constexpr std::size_t kShown = 60;
    const std::string shown = value.size() > kShown ? value.substr(0, kShown) + "..." : value;
    return faultOf(name, fmt::format("the setting \"{}\" cannot be read: \"{}\"", name, shown),
                   Mend::writeSettings);
}

Result<Values> readValues(Database& db, FaultSink& sink) {
    auto rows =
        db.prepare(fmt::format("SELECT name, value FROM {} NOT INDEXED WHERE name IS NOT NULL LIMIT {}",
                               kSettingsTable, kMostRows + 1));
    if (!rows) return rows.error();
    Values values;
    for (std::size_t n = 0;; ++n) {
        auto row = rows->step();
        if (!row) return row.error();
        if (!*row) break;
        if (n == kMostRows) {
            const auto what =
                fmt::format("its table {} has more than {} rows; a plan has some hundred settings",
                            kSettingsTable, kMostRows);
            if (Status s = sink.take(faultOf("", what, Mend::rebuild)); !s.ok()) return s.error();
            break;
        }
        values[rows->text(0)] = rows->text(1);
    }
    return values;
}

Result<PlanSettings> settingsFrom(const Values& values, FaultSink& sink) {
    PlanSettings settings;
    Status status = Done{};
    forEachSetting(settings, [&](const char* name, auto& value) {
        const auto it = values.find(name);
        if (it == values.end() && mayBeLeftOut(name)) return;
        if (it == values.end()) {
            PlanFault note = faultOf(
                name, fmt::format("The setting \"{}\" is not in the file; its default is used.", name),
                Mend::nothing);
            note.severity = PlanFault::Severity::note;
            if (status.ok()) status = sink.take(std::move(note));
            return;
        }
        const auto kept = value;
        if (fromText(it->second, value)) return;
        value = kept;
        if (status.ok()) status = sink.take(broken(name, it->second));
    });
    if (!status.ok()) return status.error();
    for (auto it = values.lower_bound(kLimit); it != values.end() && it->first.starts_with(kLimit); ++it) {
        double limit = 0;
        if (fromText(it->second, limit))
            settings.profile.limits[it->first.substr(std::string_view(kLimit).size())] = limit;
        else if (Status s = sink.take(broken(it->first, it->second)); !s.ok())
            return s.error();
    }
    return settings;
}

// Gives the `at`-th setting the value it has in another plan's settings; its name, or null when there is
// none. The sides of the work area go together.
const char* copySetting(PlanSettings& settings, const PlanSettings& from, int at) {
    const char* name = nullptr;
    int n = 0;
    forEachSetting(settings, [&](const char* each, auto& value) {
        if (n++ != at) return;
        name = each;
        int m = 0;
        forEachSetting(from, [&](const char*, const auto& other) {
            if constexpr (std::is_same_v<std::remove_cvref_t<decltype(other)>,
                                         std::remove_cvref_t<decltype(value)>>)
                if (m == at) value = other;
            ++m;
        });
    });
    if (name && std::string_view(name).starts_with("work_area_")) {
        settings.workArea = from.workArea;
        return "the work area";
    }
    return name;
}

std::string faultIn(const PlanSettings& settings) {
    const Status s = validate(settings);
    return s.ok() ? std::string() : s.error().text;
}

// Puts a default in place of what is at fault: the setting that alone brings the same fault into settings
// that are sound, or without which it is gone; without any, the limits, and then all.
std::string mendOne(PlanSettings& settings, const std::string& fault) {
    const PlanSettings plain;
    const auto culprit = [&](auto&& isIt) -> const char* {
        for (int at = 0;; ++at) {
            PlanSettings one = plain, rest = settings;
            if (!copySetting(one, settings, at)) return nullptr;
            const char* name = copySetting(rest, plain, at);
            if (!isIt(one, rest)) continue;
            settings = std::move(rest);
            return name;
        }
    };
    const char* name =
        culprit([&](const PlanSettings& one, const PlanSettings&) { return faultIn(one) == fault; });
    if (!name)
        name = culprit([&](const PlanSettings&, const PlanSettings& rest) { return faultIn(rest).empty(); });
    if (name) return name;
    const bool limits = !settings.profile.limits.empty();
    if (limits)
        settings.profile.limits.clear();
    else
        settings = {};
    return limits ? "the limits of the rules" : "all settings";
}

} // namespace

std::string createSettingsSql() {
    return fmt::format("CREATE TABLE {} (fid INTEGER PRIMARY KEY NOT NULL, name TEXT UNIQUE, value TEXT)",
                       kSettingsTable);
}

Result<PlanSettings> readSettings(Database& db, FaultSink& sink) {
    const auto there = db.hasTable(kSettingsTable);
    if (!there) return there.error();
    if (!*there) {
        const auto what = fmt::format("its table {} is missing", kSettingsTable);
        if (Status s = sink.take(faultOf("", what, Mend::addTable)); !s.ok()) return s.error();
        return PlanSettings{};
    }
    const auto values = readValues(db, sink);
    if (!values) return values.error();
    auto settings = settingsFrom(*values, sink);
    if (!settings) return settings;
    for (;;) {
        const Status s = validate(*settings);
        if (s.ok()) return settings;
        const std::string& text = s.error().text;
        const std::string name = mendOne(*settings, text);
        if (Status t =
                sink.take(faultOf(name, text.substr(0, text.find_last_not_of('.') + 1), Mend::writeSettings));
            !t.ok())
            return t.error();
    }
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
    static const Values usual = [] {
        Values texts;
        const PlanSettings plain;
        forEachSetting(plain, [&](const char* name, const auto& v) { texts[name] = asText(v); });
        return texts;
    }();
    std::vector<std::string> gone;
    forEachSetting(settings, [&](const char* name, const auto& value) {
        const std::string text = asText(value);
        if (mayBeLeftOut(name) && text == usual.at(name))
            gone.emplace_back(name);
        else
            write(name, text);
    });
    for (const auto& [name, limit] : settings.profile.limits) write(kLimit + name, numberText(limit));
    if (!status.ok()) return status;

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
