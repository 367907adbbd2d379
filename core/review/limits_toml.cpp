// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/limits.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <optional>

namespace fw {

namespace {

std::string ruleOf(const std::string& limit) { return limit.substr(0, limit.find('.')); }
std::string keyOf(const std::string& limit) { return limit.substr(limit.find('.') + 1); }

// Basic strings of TOML: quote, backslash and control characters are escaped.
std::string quoted(const std::string& s) {
    std::string out = "\"";
    for (const char c : s) {
        if (c == '"' || c == '\\')
            (out += '\\') += c;
        else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f)
            out += fmt::format("\\u{:04x}", static_cast<unsigned>(static_cast<unsigned char>(c)));
        else
            out += c;
    }
    return out + '"';
}

std::string number(double v) {
    const std::string s = fmt::format("{}", v);
    return s.find_first_of(".e") == std::string::npos ? s + ".0" : s;
}

Error refusal(std::size_t line, std::string text) {
    return {ErrorCode::badInput, fmt::format("line {}: {}", line, text), "rule profile"};
}
std::size_t lineOf(const toml::node& n) { return n.source().begin.line; }

const LimitInfo* findLimit(const std::string& name) {
    const auto& t = limitTable();
    const auto it = std::find_if(t.begin(), t.end(), [&](const LimitInfo& l) { return l.name == name; });
    return it == t.end() ? nullptr : &*it;
}
bool knownRule(const std::string& rule) {
    const auto& t = limitTable();
    return std::any_of(t.begin(), t.end(), [&](const LimitInfo& l) { return ruleOf(l.name) == rule; });
}

std::optional<Error> readLimit(const std::string& rule, const std::string& key, const toml::node& node,
                               RuleProfile& out) {
    const std::string name = rule + '.' + key;
    const LimitInfo* l = findLimit(name);
    if (!l)
        return refusal(lineOf(node), fmt::format("'{}' has no limit called '{}'; remove the line or correct "
                                                 "its name.",
                                                 rule, key));
    if (!node.is_number())
        return refusal(lineOf(node), fmt::format("'{}' must be a number of {}.", name, l->unit));
    const double v = *node.value<double>();
    if (!(v >= l->min && v <= l->max))
        return refusal(lineOf(node),
                       fmt::format("'{}' is {} {}; allowed are {} to {}.", name, v, l->unit, l->min, l->max));
    if (v != l->value) out.limits[name] = v;
    return std::nullopt;
}

std::optional<Error> readRule(const std::string& rule, const toml::node& node, RuleProfile& out) {
    if (!node.is_table())
        return refusal(lineOf(node), fmt::format("'{}' stands outside every table; only 'name' may.", rule));
    if (!knownRule(rule)) return refusal(lineOf(node), fmt::format("there is no rule called '{}'.", rule));
    for (const auto& [key, value] : *node.as_table())
        if (auto e = readLimit(rule, std::string(key.str()), value, out)) return e;
    return std::nullopt;
}

Result<RuleProfile> read(std::string_view text) {
    const toml::table root = toml::parse(text);
    RuleProfile out;
    for (const auto& [key, value] : root) {
        if (key.str() != "name") {
            if (auto e = readRule(std::string(key.str()), value, out)) return *e;
            continue;
        }
        if (!value.is_string()) return refusal(lineOf(value), "'name' must be text in quotes.");
        out.name = **value.as_string();
    }
    return out;
}

} // namespace

std::string profileToToml(const RuleProfile& profile) {
    const Limits limits(profile);
    std::string out =
        "# Limits of the review. Every line: value, unit, allowed range, where the default comes "
        "from.\n# Planning guidance only: the law, local codes and licensed practice come "
        "first.\n\n";
    out += "name = " + quoted(profile.name) + "\n";
    std::string rule;
    for (const LimitInfo& l : limitTable()) {
        if (const std::string r = ruleOf(l.name); r != rule) {
            rule = r;
            out += "\n[" + rule + "]\n";
        }
        out += fmt::format("{} = {} # {}, {} to {}; {}\n", keyOf(l.name), number(limits[l.name]), l.unit,
                           l.min, l.max, l.origin);
    }
    return out;
}

Result<RuleProfile> profileFromToml(std::string_view text) {
    try {
        return read(text);
    } catch (const toml::parse_error& e) {
        return refusal(e.source().begin.line, fmt::format("this is not TOML: {}.", e.description()));
    } catch (const std::exception& e) {
        return Error{ErrorCode::badInput, fmt::format("cannot be read: {}.", e.what()), "rule profile"};
    }
}

} // namespace fw
