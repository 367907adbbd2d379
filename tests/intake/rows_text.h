// SPDX-License-Identifier: GPL-3.0-or-later
// Rows as text, to hold two of them beside each other.
#pragma once

#include "intake/source.h"

#include <algorithm>
#include <fmt/format.h>
#include <string>
#include <vector>

namespace fw::testing {

inline std::string textOf(const SourceValue& v) {
    if (const auto* number = std::get_if<double>(&v)) return fmt::format("{}", *number);
    if (const auto* text = std::get_if<std::string>(&v)) return '"' + *text + '"';
    return "-";
}

inline std::string textOf(const std::vector<PlanePoint>& points) {
    std::string s;
    for (const PlanePoint& p : points) s += fmt::format(" {} {},", p.x, p.y);
    return s;
}

inline std::string textOf(const SourceShape& shape) {
    std::string s = shape.fault + "|" + textOf(shape.points);
    for (const Line& line : shape.lines) s += "|line" + textOf(line);
    for (const Polygon& area : shape.areas) {
        s += "|area" + textOf(area.outer);
        for (const Ring& hole : area.holes) s += " hole" + textOf(hole);
    }
    return s;
}

/// All of a row in the order of its column names, without the columns on `leaveOut`.
inline std::string textOf(const SourceHead& head, const SourceRow& row,
                          const std::vector<std::string>& leaveOut = {}) {
    std::vector<std::string> parts;
    for (std::size_t k = 0; k < head.columns.size(); ++k) {
        const std::string& name = head.columns[k].name;
        const bool left = std::find(leaveOut.begin(), leaveOut.end(), name) != leaveOut.end();
        if (!left && k < row.values.size()) parts.push_back(name + "=" + textOf(row.values[k]));
    }
    std::sort(parts.begin(), parts.end());
    return fmt::format("{}: {}; {}{}", row.number, fmt::join(parts, ", "), textOf(row.shape), row.fault);
}

} // namespace fw::testing
