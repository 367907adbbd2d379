// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "intake/value_reader.h"
#include "plan/new_plan.h"

#include <chrono>
#include <fmt/format.h>

namespace fw::cli {
namespace {

namespace fs = std::filesystem;

// The sheets' magnetic bearings hang on the date, so it is the day where the planner sits, not UTC's.
Date today() {
    const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
    std::tm day{};
    localtime_r(&now, &day);
    return {day.tm_year + 1900, day.tm_mon + 1, day.tm_mday};
}

GeoPoint placeFrom(const std::string& text) {
    const std::size_t comma = text.find(',');
    const auto wrong = [&] {
        return Failure{exitUsage, fmt::format("\"{}\" is no place; write --at \"36.9312, -20.4187\".", text)};
    };
    if (comma == std::string::npos) throw wrong();
    const auto lat = coordinateFrom(text.substr(0, comma), {}, Axis::latitude),
               lon = coordinateFrom(text.substr(comma + 1), {}, Axis::longitude);
    if (!lat || !lon) throw wrong();
    return {*lat, *lon};
}

std::string nameFrom(const fs::path& file) {
    std::string name = file.filename().string();
    for (const char* ending : {".gpkg", ".plan"})
        if (name.ends_with(ending)) name.resize(name.size() - std::string_view(ending).size());
    return name;
}

} // namespace

int runNew(const NewRequest& request) {
    if (request.epsg == 0 && request.at.empty())
        throw Failure{exitUsage,
                      "new: Give the reference system (--epsg N), or a place (--at) whose UTM zone is "
                      "taken."};
    const fs::path file = request.plan;
    std::error_code fault;
    if (fs::exists(file, fault))
        throw Failure{exitFile, fmt::format("{}: There is a file of that name already; it is left as it is.",
                                            request.plan)};
    NewPlan wanted{request.name.empty() ? nameFrom(file) : request.name, request.epsg, today(), {}};
    if (!request.date.empty()) wanted.date = take(Date::parse(request.date), exitUsage);
    if (!request.at.empty()) {
        const GeoPoint at = placeFrom(request.at);
        const Frame frame = take(request.epsg ? Frame::fromEpsg(request.epsg) : Frame::utmFor(at), exitUsage);
        wanted.epsg = frame.epsg();
        wanted.workArea = take(squareRound(frame, at, request.sideKm * 1000), exitUsage);
    }
    const Plan plan = take(newPlan(wanted), exitUsage);
    if (const Status s = savePlan(plan, file); !s.ok()) throw failureOf(s.error());
    deliver(fmt::format("{} is an empty plan in {}. Take files in with \"fringewright add\".\n", request.plan,
                        take(Frame::fromEpsg(wanted.epsg)).name()));
    return exitClean;
}

} // namespace fw::cli
