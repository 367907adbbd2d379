// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/calc.h"

#include "calc/models.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <optional>

namespace fw {
namespace {

using calc::Given;
using calc::Model;

Error refused(const std::string& model, const std::string& why) { return {ErrorCode::badInput, why, model}; }

// Number of single letters to change, add or drop; capitals count as small letters.
std::size_t lettersApart(std::string_view a, std::string_view b) {
    const auto small = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t swap = diagonal + (small(a[i - 1]) != small(b[j - 1]) ? 1 : 0);
            diagonal = row[j];
            row[j] = std::min({row[j] + 1, row[j - 1] + 1, swap});
        }
    }
    return row[b.size()];
}

// " Did you mean x?" when a name is near, else nothing.
std::string suggestion(std::string_view given, const std::vector<std::string>& names) {
    const std::string* best = nullptr;
    std::size_t fewest = std::max<std::size_t>(2, given.size() / 2) + 1;
    for (const std::string& name : names) {
        const std::size_t n = lettersApart(given.substr(0, 64), name);
        if (n < fewest) {
            fewest = n;
            best = &name;
        }
    }
    return best ? fmt::format(" Did you mean \"{}\"?", *best) : "";
}

std::optional<double> numberIn(std::string_view text) {
    while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    if (!text.empty() && text.front() == '+') text.remove_prefix(1);
    double v = 0;
    const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), v);
    if (fault != std::errc{} || end != text.data() + text.size() || !std::isfinite(v)) return std::nullopt;
    return v;
}

// Why a value cannot be, or nothing.
std::optional<std::string> impossible(const InputInfo& in, const std::string& name, double v) {
    if (in.kind == InputKind::whole && v != std::floor(v))
        return fmt::format("{} = {:g} must be a whole number.", name, v);
    if (v <= in.above || v >= in.below)
        return fmt::format("{} = {:g} is not possible: it must be more than {:g} and less than {:g}.", name,
                           v, in.above, in.below);
    if (std::isfinite(in.above) && (v < in.least || v > in.most))
        return fmt::format("{} = {:.10g} is too near to {:g} to be computed.", name, v,
                           v < in.least ? in.above : in.below);
    if (in.positive && v <= 0) return fmt::format("{} = {:g} must be above 0.", name, v);
    if (v < in.least || v > in.most) {
        if (in.least > -1e12 && in.most < 1e12)
            return fmt::format("{} = {:g} is not possible: it must be {:g} to {:g}.", name, v, in.least,
                               in.most);
        return v < in.least && in.least > -1e12
                   ? fmt::format("{} = {:g} is not possible: it must be {:g} or more.", name, v, in.least)
                   : fmt::format("{} = {:g} is beyond what can be computed.", name, v);
    }
    if (in.positive && v < 1e-9) return fmt::format("{} = {:g} is beyond what can be computed.", name, v);
    return std::nullopt;
}

struct Entry {
    std::string name; ///< as given: the input's own or an alias
    std::string text;
    double factor = 1;
    bool entered = true;
};

// The entry for an input, by its own name, an alias or its default.
Result<Entry> entryFor(const Model& m, const InputInfo& in,
                       const std::map<std::string, std::string>& inputs) {
    std::optional<Entry> found;
    const auto look = [&](const std::string& name, double factor) {
        const auto at = inputs.find(name);
        if (at == inputs.end()) return true;
        if (found) return false;
        found = Entry{name, at->second, factor, true};
        return true;
    };
    bool once = look(in.name, 1);
    for (const InputAlias& a : in.aliases) once = look(a.name, a.factor) && once;
    if (!once)
        return refused(m.info.name, fmt::format("{} is given twice, in two units; give it once.", in.what));
    if (found) return *found;
    if (in.fallback.empty())
        return refused(m.info.name, fmt::format("{} is missing ({}{}{}).", in.name, in.what,
                                                in.unit.empty() ? "" : ", ", in.unit));
    return Entry{in.name, in.fallback, 1, false};
}

std::optional<Error> takeNumbers(const Model& m, const InputInfo& in, const Entry& entry, Given& given,
                                 Working& out) {
    std::vector<double> values;
    std::string_view rest = entry.text;
    for (bool more = true; more;) {
        const auto bar = in.kind == InputKind::list ? rest.find_first_of(",|") : std::string_view::npos;
        const std::string_view part = rest.substr(0, bar);
        const auto v = numberIn(part);
        if (!v) return refused(m.info.name, fmt::format("{} = \"{}\" is not a number.", entry.name, part));
        // The limits hold for the input's own unit; the message repeats what was typed.
        if (const auto why = impossible(in, in.name, *v * entry.factor)) return refused(m.info.name, *why);
        values.push_back(*v * entry.factor);
        more = bar != std::string_view::npos;
        if (more) rest.remove_prefix(bar + 1);
    }
    for (const double v : values) {
        const std::size_t before = out.remarks.size();
        calc::remarkRange(out, in.name, v, in.unit, in.low, in.high);
        if (out.remarks.size() > before) break; // one remark a list
    }
    for (const double v : values)
        out.inputs.push_back({in.name, v, in.unit, entry.entered ? "entered" : "default"});
    given.lists[in.name] = std::move(values);
    return std::nullopt;
}

std::optional<Error> takeChoice(const Model& m, const InputInfo& in, const Entry& entry, Given& given,
                                Working& out) {
    const auto at = std::find(in.choices.begin(), in.choices.end(), entry.text);
    if (at == in.choices.end())
        return refused(m.info.name, fmt::format("{} = \"{}\" is not one of {}.", in.name, entry.text,
                                                fmt::join(in.choices, ", ")));
    given.choices[in.name] = *at;
    out.inputs.push_back({fmt::format("{} = {}", in.name, *at), static_cast<double>(at - in.choices.begin()),
                          "", entry.entered ? "entered" : "default"});
    return std::nullopt;
}

std::optional<Error> checkNames(const Model& m, const std::map<std::string, std::string>& inputs) {
    std::vector<std::string> known, own;
    for (const InputInfo& in : m.info.inputs) {
        own.push_back(in.name);
        known.push_back(in.name);
        for (const InputAlias& a : in.aliases) known.push_back(a.name);
    }
    for (const auto& [name, text] : inputs)
        if (std::find(known.begin(), known.end(), name) == known.end())
            return refused(m.info.name, fmt::format("there is no input \"{}\".{} Inputs: {}.", name,
                                                    suggestion(name, known), fmt::join(own, ", ")));
    return std::nullopt;
}

std::optional<Error> checkLists(const Model& m, const Given& given) {
    std::size_t points = 0;
    for (const InputInfo& in : m.info.inputs) {
        if (in.kind != InputKind::list) continue;
        const std::size_t n = given.list(in.name).size();
        if (points && n != points && n != 1)
            return refused(m.info.name, fmt::format("{} has {} values where the lists before have {}.",
                                                    in.name, n, points));
        points = std::max(points, n);
    }
    return std::nullopt;
}

const Model* find(std::string_view name) {
    for (const Model& m : calc::allModels())
        if (m.info.name == name) return &m;
    return nullptr;
}

} // namespace

std::vector<ModelInfo> models() {
    std::vector<ModelInfo> out;
    for (const Model& m : calc::allModels()) out.push_back(m.info);
    return out;
}

Result<Working> calculate(std::string_view name, const std::map<std::string, std::string>& inputs) {
    const Model* m = find(name);
    if (!m) {
        std::vector<std::string> names;
        for (const Model& each : calc::allModels()) names.push_back(each.info.name);
        return Error{ErrorCode::badInput,
                     fmt::format("there is no model \"{}\".{}", name, suggestion(name, names))};
    }
    if (auto fault = checkNames(*m, inputs)) return *fault;
    Working out;
    out.title = m->info.title;
    out.source = m->info.source;
    Given given;
    for (const InputInfo& in : m->info.inputs) {
        const auto entry = entryFor(*m, in, inputs);
        if (!entry) return entry.error();
        auto fault = in.kind == InputKind::choice ? takeChoice(*m, in, *entry, given, out)
                                                  : takeNumbers(*m, in, *entry, given, out);
        if (fault) return *fault;
    }
    if (auto fault = checkLists(*m, given)) return *fault;
    if (auto done = m->run(given, out); !done) return refused(m->info.name, done.error().sentence());
    if (out.steps.empty() || !std::isfinite(out.steps.back().value))
        return refused(m->info.name, "these inputs have no result.");
    return out;
}

} // namespace fw
