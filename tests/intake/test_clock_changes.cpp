// SPDX-License-Identifier: GPL-3.0-or-later
// The days on which clocks change, against the system's time zone database.
#include "catch.h"
#include "intake/clock_changes.h"
#include "intake/value_reader.h"

#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <optional>
#include <set>
#include <string>

using namespace fw;

namespace {

// The process's time zone for as long as it lives.
class Zone {
public:
    explicit Zone(const char* name) {
        if (const char* before = std::getenv("TZ")) m_before = before;
        setenv("TZ", name, 1);
        tzset();
    }
    ~Zone() {
        if (m_before)
            setenv("TZ", m_before->c_str(), 1);
        else
            unsetenv("TZ");
        tzset();
    }
    Zone(const Zone&) = delete;
    Zone& operator=(const Zone&) = delete;

private:
    std::optional<std::string> m_before;
};

struct HourOfDay {
    std::int32_t day, hour;
    auto operator<=>(const HourOfDay&) const = default;
};

} // namespace

TEST_CASE("hours that stand twice or not at all are those of the time zone database", "[counters][clock]") {
    if (!std::filesystem::exists("/usr/share/zoneinfo/Europe/Berlin")) {
        WARN("no time zone database here");
        return;
    }
    // 2024-01-01 and twelve years on; one zone for each rule that clock_changes.h names.
    constexpr std::time_t kFrom = 1704067200, kHour = 3600, kHours = 24 * 366 * 12;
    for (const char* name : {"Europe/Berlin", "Europe/Dublin", "Europe/Athens", "America/New_York",
                             "Australia/Sydney", "Pacific/Auckland"}) {
        CAPTURE(name);
        const Zone zone(name);
        std::set<HourOfDay> seen;
        int twice = 0;
        for (std::time_t k = 0; k < kHours; ++k) {
            const std::time_t at = kFrom + k * kHour;
            std::tm local{};
            localtime_r(&at, &local);
            const auto day = static_cast<std::int32_t>((at + local.tm_gmtoff) / 86400);
            if (seen.insert({day, local.tm_hour}).second) continue;
            ++twice;
            CAPTURE(dayText(day), local.tm_hour);
            CHECK(mayRepeat(day, local.tm_hour));
        }
        CHECK(twice == 12);
        int missing = 0;
        for (std::int32_t day = seen.begin()->day + 1; day < seen.rbegin()->day; ++day)
            for (std::int32_t hour = 0; hour < 24; ++hour)
                if (!seen.contains({day, hour})) {
                    ++missing;
                    CAPTURE(dayText(day), hour);
                    CHECK(mayBeSkipped(day, hour));
                }
        CHECK(missing == 12);
    }
}

TEST_CASE("other days and hours are no clock change", "[counters][clock]") {
    int repeats = 0, skips = 0;
    // 2025-12-29, a Monday, and a year on: three Sundays of three hours, four of four.
    for (std::int32_t day = 20451; day < 20451 + 371; ++day)
        for (std::int32_t hour = 0; hour < 24; ++hour) {
            repeats += mayRepeat(day, hour) ? 1 : 0;
            skips += mayBeSkipped(day, hour) ? 1 : 0;
            if (mayRepeat(day, hour) || mayBeSkipped(day, hour)) CHECK(weekday(day) == 6);
        }
    CHECK(repeats == 9);
    CHECK(skips == 16);
}
