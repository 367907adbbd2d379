// SPDX-License-Identifier: GPL-3.0-or-later
// Random weeks against a plain computation that shares nothing with the collector.
#include "base/random.h"
#include "intake/counter_week.h"

#include <map>
#include <set>

using namespace fw;
using namespace fwtest;

namespace {

// cell -> day -> hour -> use; the later row has replaced the earlier.
using UseByCell = std::map<std::string, std::map<int, std::map<int, double>>>;

struct PlainWeek {
    std::vector<double> daily;
    std::map<int, int> hours; ///< how often each was the busy one
    int leftOut = 0;
};
PlainWeek plainOf(const std::map<int, std::map<int, double>>& days, int networkHour) {
    PlainWeek out;
    for (const auto& [day, hours] : days) {
        const bool has = networkHour < 0 || hours.count(networkHour);
        if (hours.size() < 20 || !has) {
            ++out.leftOut;
            continue;
        }
        int best = networkHour < 0 ? hours.begin()->first : networkHour;
        if (networkHour < 0)
            for (const auto& [h, use] : hours)
                if (use > hours.at(best)) best = h;
        out.daily.push_back(hours.at(best));
        ++out.hours[best];
    }
    return out;
}

int plainNetworkHour(const UseByCell& table) {
    double most = -1;
    int best = -1;
    for (int h = 0; h < 24; ++h) {
        double total = 0;
        for (const auto& [cell, days] : table) {
            double sum = 0;
            int n = 0;
            for (const auto& [day, hours] : days)
                if (hours.size() >= 20 && hours.count(h)) {
                    sum += hours.at(h);
                    ++n;
                }
            if (n > 0) total += sum / n;
        }
        if (total > most) {
            most = total;
            best = h;
        }
    }
    return best;
}

} // namespace

TEST_CASE("random weeks with gaps and duplicates agree with a plain computation", "[counters][random]") {
    const std::uint64_t seed = 20260413;
    CAPTURE(seed);
    Random random(seed);
    for (int round = 0; round < 60; ++round) {
        CAPTURE(round);
        CounterCollector collector;
        UseByCell table;
        std::int64_t identical = 0, conflicts = 0;
        const int cells = 1 + static_cast<int>(random.below(5)),
                  days = 1 + static_cast<int>(random.below(20));
        const double gaps = random.between(0, 0.25);
        std::set<std::pair<int, int>> seen; // hours that stand in the file at all
        std::vector<CounterSample> samples;
        for (int c = 0; c < cells; ++c)
            for (int d = 0; d < days; ++d)
                for (int h = 0; h < 24; ++h) {
                    if (random.chance(gaps)) continue;
                    // Few values, so that equals are met.
                    const std::string name = "PM0" + std::to_string(c);
                    samples.push_back(sampleAt(name, kMonday + d, h, random.below(21) / 20.0));
                    if (random.chance(0.02)) samples.push_back(samples.back());
                    if (random.chance(0.02))
                        samples.push_back(sampleAt(name, kMonday + d, h, random.below(21) / 20.0));
                }
        // Any order: but equal keys keep theirs, since the later row counts.
        for (std::size_t k = samples.size(); k > 1; --k)
            std::swap(samples[k - 1], samples[random.below(static_cast<std::uint32_t>(k))]);
        for (const CounterSample& s : samples) {
            auto& hours = table[s.cell][s.at.day];
            const double use = *s.figures[0];
            const auto at = hours.find(s.at.hour);
            if (at != hours.end()) ++(at->second == use ? identical : conflicts);
            hours[s.at.hour] = use;
            seen.insert({s.at.day, s.at.hour});
            collector.add(s);
        }
        if (samples.empty()) continue;
        std::set<int> clock;
        for (const auto& [day, hour] : seen) clock.insert(hour);
        if (clock.size() < 24) continue; // the rule of shorter days is another case
        for (const bool network : {false, true}) {
            CounterOptions options;
            options.rule = network ? BusyHourRule::network : BusyHourRule::daily;
            const auto r = finished(collector, options);
            REQUIRE(r.summary.identical == identical);
            REQUIRE(r.summary.conflicts == conflicts);
            REQUIRE(r.cells.size() == table.size());
            const int at = plainNetworkHour(table);
            std::size_t k = 0;
            const auto first = *seen.begin(), last = *seen.rbegin();
            const int span = (last.first - first.first) * 24 + last.second - first.second + 1;
            for (const auto& [name, byDay] : table) {
                const CounterCell& c = r.cells[k++];
                const PlainWeek plain = plainOf(byDay, network ? at : -1);
                int has = 0;
                for (const auto& [day, hours] : byDay) has += static_cast<int>(hours.size());
                REQUIRE(c.cell == name);
                REQUIRE(c.missingHours == span - has);
                REQUIRE(c.load.dailyDlPrbUse == plain.daily);
                REQUIRE(c.daysLeftOut == plain.leftOut);
                if (plain.daily.empty()) {
                    REQUIRE_FALSE(c.load.dlPrbUse);
                    continue;
                }
                double sum = 0;
                for (const double v : plain.daily) sum += v;
                // Two orders of at most 20 additions.
                REQUIRE(*c.load.dlPrbUse ==
                        Approx(sum / static_cast<double>(plain.daily.size())).margin(1e-13));
                REQUIRE(plain.hours.at(c.load.hour) >= 1);
                for (const auto& [hour, times] : plain.hours) REQUIRE(times <= plain.hours.at(c.load.hour));
            }
        }
    }
}
