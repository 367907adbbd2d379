// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/calc.h"

#include "commands/commands.h"
#include "commands/json_out.h"
#include "commands/nearest.h"
#include "commands/working_text.h"

#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace fw::cli {
namespace {

const char* wordFor(InputKind kind) {
    switch (kind) {
    case InputKind::number:
        return "number";
    case InputKind::whole:
        return "whole number";
    case InputKind::choice:
        return "choice";
    case InputKind::list:
        return "list of numbers";
    }
    return "?";
}

std::string rangeText(const InputInfo& in) {
    if (in.kind == InputKind::choice) return fmt::format("{}", fmt::join(in.choices, ", "));
    if (in.low == in.high) return fmt::format("stated for {:g}", in.low);
    if (std::isfinite(in.above)) return fmt::format("more than {:g} and less than {:g}", in.above, in.below);
    const bool low = std::isfinite(in.low), high = std::isfinite(in.high);
    if (low && high) return fmt::format("{:g} to {:g}", in.low, in.high);
    if (low) return fmt::format("{:g} or more", in.low);
    if (high) return fmt::format("up to {:g}", in.high);
    return in.positive ? "above 0" : "";
}

std::string inputText(const InputInfo& in) {
    std::string line = fmt::format("    {:<18} {}", in.name, in.what);
    if (!in.unit.empty()) line += fmt::format(" ({})", in.unit);
    if (const std::string range = rangeText(in); !range.empty()) line += "; " + range;
    if (in.kind == InputKind::list) line += "; values parted by , or |";
    if (!in.fallback.empty()) line += fmt::format("; else {}", in.fallback);
    for (const InputAlias& a : in.aliases) line += fmt::format("; or {}", a.name);
    return line + "\n";
}

std::string modelText(const ModelInfo& m, const Ink& ink) {
    std::string out = fmt::format("{}  {}\n", ink.bold(m.name), m.title);
    for (const InputInfo& in : m.inputs) out += inputText(in);
    const std::string unit = m.unit.empty() ? "" : fmt::format(" ({})", m.unit);
    return out + fmt::format("    gives: {}{}\n    source: {}\n", m.result, unit, m.source);
}

Json inputJson(const InputInfo& in) {
    Json aliases = Json::array();
    for (const InputAlias& a : in.aliases)
        aliases.push_back({{"name", a.name}, {"factor", figure(a.factor)}});
    return {{"name", in.name},
            {"what", in.what},
            {"unit", in.unit},
            {"kind", wordFor(in.kind)},
            {"default", in.fallback.empty() ? Json(nullptr) : Json(in.fallback)},
            {"choices", in.choices},
            {"low", figure(in.low)},
            {"high", figure(in.high)},
            {"above_zero", in.positive},
            {"aliases", std::move(aliases)}};
}

Json modelJson(const ModelInfo& m) {
    Json inputs = Json::array();
    for (const InputInfo& in : m.inputs) inputs.push_back(inputJson(in));
    return {{"name", m.name},     {"title", m.title}, {"inputs", std::move(inputs)},
            {"result", m.result}, {"unit", m.unit},   {"source", m.source}};
}

std::vector<ModelInfo> wanted(const std::string& name) {
    std::vector<ModelInfo> all = models();
    if (name.empty()) return all;
    std::vector<std::string> names;
    for (const ModelInfo& m : all) {
        if (m.name == name) return {m};
        names.push_back(m.name);
    }
    throw Failure{exitUsage, fmt::format("There is no model \"{}\".{}", name, didYouMean(name, names))};
}

int list(const CalcRequest& request) {
    const auto all = wanted(request.model);
    if (request.json) {
        Json out = head("models", 1);
        out["models"] = Json::array();
        for (const ModelInfo& m : all) out["models"].push_back(modelJson(m));
        deliver(written(out));
        return exitClean;
    }
    const Ink ink;
    std::string text;
    for (const ModelInfo& m : all) text += (text.empty() ? "" : "\n") + modelText(m, ink);
    deliver(text);
    return exitClean;
}

} // namespace

int runCalc(const CalcRequest& request) {
    if (request.list) return list(request);
    const Working w = take(calculate(request.model, request.inputs), exitUsage);
    if (request.json) {
        Json out = head("calc", 1);
        out["model"] = request.model;
        out["result"] = {{"value", figure(w.steps.back().value)}, {"unit", w.steps.back().unit}};
        out["working"] = working(w);
        deliver(written(out));
        return exitClean;
    }
    deliver(workingText(w, ""));
    return exitClean;
}

} // namespace fw::cli
