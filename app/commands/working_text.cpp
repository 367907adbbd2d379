// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/working_text.h"

#include <cmath>
#include <fmt/format.h>

namespace fw::cli {

std::string figureText(double v, const std::string& unit) {
    const double size = std::fabs(v);
    std::string text =
        size != 0 && (size < 1e-3 || size >= 1e9) ? fmt::format("{:.6g}", v) : fmt::format("{:.6f}", v);
    if (text.find('.') != std::string::npos && text.find('e') == std::string::npos) {
        text.erase(text.find_last_not_of('0') + 1);
        if (text.back() == '.') text.pop_back();
    }
    if (text == "-0") text = "0";
    return unit.empty() || unit == "1" ? text : text + " " + unit;
}

std::string workingText(const Working& w, const std::string& indent) {
    std::string out = fmt::format("{}{}\n", indent, w.title);
    for (const WorkingInput& i : w.inputs) {
        // A choice has its value in its name.
        const bool choice = i.name.find(" = ") != std::string::npos;
        const std::string what =
            choice ? i.name : fmt::format("{} = {}", i.name, figureText(i.value, i.unit));
        out += fmt::format("{}  {:<40} {}\n", indent, what, i.origin);
    }
    for (const WorkingStep& s : w.steps) {
        const bool last = &s == &w.steps.back();
        const std::string how = s.formula.empty() ? s.what : fmt::format("{}: {}", s.what, s.formula);
        out += fmt::format("{}{} {}\n{}      = {}\n", indent, last ? "=>" : "  ", how, indent,
                           figureText(s.value, s.unit));
    }
    if (!w.source.empty()) out += fmt::format("{}Source: {}\n", indent, w.source);
    for (const std::string& remark : w.remarks) out += fmt::format("{}Note: {}\n", indent, remark);
    return out;
}

} // namespace fw::cli
