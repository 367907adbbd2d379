// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/choice_costs.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <vector>

namespace fw {
namespace {

constexpr double kMostCost = 1e9;

// One line of the table: where it stands, and in what unit.
struct CostKey {
    const char* section;
    const char* key;
    const char* unit;
    double least;
    double* value;
};

std::vector<CostKey> keysOf(CostTable& c) {
    return {{"mount", "pole", "a mount", 0, &c.mount[0]},
            {"mount", "wall", "a mount", 0, &c.mount[1]},
            {"mount", "parapet", "a mount", 0, &c.mount[2]},
            {"mount", "roof", "a mount", 0, &c.mount[3]},
            {"radio", "each", "a radio", 0, &c.radio},
            {"fibre", "connection", "a mount", 0, &c.fibreConnection},
            {"fibre", "per_m", "a metre", 0, &c.fibrePerM},
            {"power", "connection", "a mount", 0, &c.powerConnection},
            {"power", "per_m", "a metre", 0, &c.powerPerM},
            {"earth", "rod", "a mount", 0, &c.earthRod},
            {"runs", "unknown_m", "m, of a run that nothing tells", 0, &c.unknownRunM},
            {"runs", "detour", "times the straight line to the nearest point", 1, &c.detour}};
}

Error refusal(std::size_t line, std::string text) {
    return {ErrorCode::badInput, fmt::format("line {}: {}", line, text), "cost table"};
}
std::size_t lineOf(const toml::node& n) { return n.source().begin.line; }

std::optional<Error> readKey(const std::string& section, const std::string& key, const toml::node& node,
                             const std::vector<CostKey>& keys) {
    const auto at = std::find_if(keys.begin(), keys.end(),
                                 [&](const CostKey& k) { return section == k.section && key == k.key; });
    if (at == keys.end())
        return refusal(lineOf(node),
                       fmt::format("there is no cost called '{}.{}'; remove the line or correct its name.",
                                   section, key));
    if (!node.is_number())
        return refusal(lineOf(node), fmt::format("'{}.{}' must be a number ({}).", section, key, at->unit));
    const double v = *node.value<double>();
    if (!(v >= at->least && v <= kMostCost))
        return refusal(lineOf(node), fmt::format("'{}.{}' is {}; allowed are {} to {:.0f}.", section, key, v,
                                                 at->least, kMostCost));
    *at->value = v;
    return std::nullopt;
}

Result<CostTable> read(std::string_view text) {
    const toml::table root = toml::parse(text);
    CostTable out;
    const auto keys = keysOf(out);
    for (const auto& [section, node] : root) {
        const std::string name(section.str());
        if (name == "currency") {
            if (!node.is_string()) return refusal(lineOf(node), "'currency' must be text in quotes.");
            out.currency = **node.as_string();
            continue;
        }
        if (!node.is_table())
            return refusal(lineOf(node),
                           fmt::format("'{}' stands outside every table; only 'currency' may.", name));
        for (const auto& [key, value] : *node.as_table())
            if (auto e = readKey(name, std::string(key.str()), value, keys)) return *e;
    }
    return out;
}

struct Run {
    double m = 0;
    RunFrom from = RunFrom::unknown;
};

template <class T>
Run runTo(const Table<T>& points, PlanePoint at, std::optional<double> entered, const CostTable& costs) {
    if (entered) return {*entered, RunFrom::mount};
    double best = std::numeric_limits<double>::infinity();
    for (const T& p : points) best = std::min(best, planeDistance(p.at, at));
    if (!std::isfinite(best)) return {costs.unknownRunM, RunFrom::unknown};
    return {best * costs.detour, RunFrom::nearestPoint};
}

} // namespace

MountCost costOf(const Plan& plan, const Mount& m, const CostTable& costs) {
    MountCost out;
    out.mount = costs.mount[static_cast<std::size_t>(m.kind)];
    const Run fibre = runTo(plan.fibrePoints, m.at, m.fibreM, costs);
    out.fibreM = fibre.m;
    out.fibreFrom = fibre.from;
    out.fibre = costs.fibreConnection + out.fibreM * costs.fibrePerM;
    const Run power = runTo(plan.powerTaps, m.at, m.powerM, costs);
    out.powerM = power.m;
    out.powerFrom = power.from;
    out.power = costs.powerConnection + out.powerM * costs.powerPerM;
    out.earth = costs.earthRod;
    return out;
}

const char* originOf(const CostTable& costs) {
    return costs == CostTable{} ? "cost table: invented, replace with yours" : "cost table";
}

Result<CostTable> costsFromToml(std::string_view text) {
    try {
        return read(text);
    } catch (const toml::parse_error& e) {
        return refusal(e.source().begin.line, fmt::format("this is not TOML: {}.", e.description()));
    } catch (const std::exception& e) {
        return Error{ErrorCode::badInput, fmt::format("cannot be read: {}.", e.what()), "cost table"};
    }
}

} // namespace fw
