// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/json_out.h"

#include <charconv>
#include <cmath>
#include <fmt/format.h>

namespace fw::cli {

Json number(double v, int decimals) {
    static constexpr double kPower[] = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8};
    if (!std::isfinite(v)) return nullptr;
    const double p = kPower[decimals];
    // Beyond 2^53 there are no decimals left to round.
    const double r = std::fabs(v) * p < 9e15 ? std::round(v * p) / p : v;
    return r == 0 ? 0.0 : r;
}

Json number(const std::optional<double>& v, int decimals) { return v ? number(*v, decimals) : Json(nullptr); }

Json figure(double v) {
    if (!std::isfinite(v)) return nullptr;
    const std::string text = fmt::format("{:.9g}", v);
    double r = 0;
    std::from_chars(text.data(), text.data() + text.size(), r);
    return r == 0 ? 0.0 : r;
}

Json quantity(double v, const std::string& unit) { return {{"value", number(v)}, {"unit", unit}}; }

Json item(const Plan& plan, ItemId id) {
    if (!id) return nullptr;
    const auto kind = plan.kindOf(id);
    return {{"id", id.v}, {"kind", kind ? nameOf(*kind) : "unknown"}, {"name", plan.label(id)}};
}

Json head(const char* what, int version) {
    return {{"schema", fmt::format("fringewright.{}", what)}, {"version", version}};
}

Json head(const char* what, int version, const Plan& plan) {
    Json out = head(what, version);
    const PlanSettings& s = *plan.settings;
    out["plan"] = {{"name", s.name}, {"date", s.date.iso()}, {"variant", item(plan, s.activeVariant)}};
    return out;
}

Json working(const Working& w) {
    Json inputs = Json::array(), steps = Json::array();
    for (const WorkingInput& i : w.inputs)
        inputs.push_back(
            {{"name", i.name}, {"value", figure(i.value)}, {"unit", i.unit}, {"origin", i.origin}});
    for (const WorkingStep& s : w.steps)
        steps.push_back(
            {{"what", s.what}, {"formula", s.formula}, {"value", figure(s.value)}, {"unit", s.unit}});
    return {{"title", w.title},
            {"inputs", std::move(inputs)},
            {"steps", std::move(steps)},
            {"source", w.source},
            {"remarks", w.remarks}};
}

std::string written(const Json& json) {
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace fw::cli
