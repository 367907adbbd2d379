// SPDX-License-Identifier: GPL-3.0-or-later
// Reading measured cuts.
#include "radio/antenna.h"

#include "base/ascii.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <string>

namespace fw {
namespace {

constexpr std::string_view kAround = " \t\r\""; // of a field

enum class Column { unknown, loss, gain };

struct RawRow {
    int number = 0;
    double angleDeg = 0;
    double value = 0;
};
struct RawCut {
    Column column = Column::unknown;
    std::vector<RawRow> rows;
};
struct Reading {
    std::optional<double> gainDbi;
    RawCut horizontal, vertical;
    RawCut* section = nullptr;
};

Error refused(int row, const std::string& why) {
    return {ErrorCode::badInput, why, fmt::format("row {}", row)};
}

std::optional<double> number(std::string_view field, bool decimalComma) {
    std::string text(field);
    if (decimalComma) std::replace(text.begin(), text.end(), ',', '.');
    const char* begin = text.data();
    if (!text.empty() && text.front() == '+') ++begin;
    double v = 0;
    const auto [end, fault] = std::from_chars(begin, text.data() + text.size(), v);
    if (fault != std::errc{} || end != text.data() + text.size() || !std::isfinite(v)) return std::nullopt;
    return v;
}

struct Fields {
    std::vector<std::string_view> items;
    bool decimalComma = false;
};
Fields split(std::string_view line) {
    const char separator = line.find(';') != line.npos ? ';' : line.find('\t') != line.npos ? '\t' : ',';
    Fields out{{}, separator != ','};
    while (true) {
        const auto at = line.find(separator);
        out.items.push_back(trimmed(line.substr(0, at), kAround));
        if (at == line.npos) break;
        line.remove_prefix(at + 1);
    }
    while (out.items.size() > 1 && out.items.back().empty()) out.items.pop_back();
    return out;
}

bool startsWith(std::string_view s, std::string_view start) { return s.substr(0, start.size()) == start; }

// A row without numbers: a section's name or a header.
std::optional<Error> takeWords(Reading& in, const Fields& fields, int row) {
    const std::string first = lowered(fields.items[0]);
    if (startsWith(first, "horizontal") || startsWith(first, "vertical")) {
        in.section = first[0] == 'h' ? &in.horizontal : &in.vertical;
        return std::nullopt;
    }
    if (fields.items.size() == 2 && first.find("angle") != first.npos) {
        const std::string second = lowered(fields.items[1]);
        const Column column = second.find("gain") != second.npos ? Column::gain
                              : second.find("loss") != second.npos || second.find("atten") != second.npos
                                  ? Column::loss
                                  : Column::unknown;
        if (in.section) {
            in.section->column = column;
        } else {
            in.horizontal.column = in.vertical.column = column;
        }
        return std::nullopt;
    }
    return refused(row, fmt::format("\"{}\" is neither a number nor a section; expected \"horizontal\", "
                                    "\"vertical\" or two numbers: angle, value.",
                                    fields.items[0]));
}

std::optional<Error> takeRow(Reading& in, std::string_view line, int row) {
    const Fields fields = split(line);
    const auto angle = number(fields.items[0], fields.decimalComma);
    if (!angle) {
        if (fields.items.size() == 2 && lowered(fields.items[0]) == "gain_dbi") {
            in.gainDbi = number(fields.items[1], fields.decimalComma);
            if (!in.gainDbi)
                return refused(row, fmt::format("\"{}\" is not a gain in dBi.", fields.items[1]));
            return std::nullopt;
        }
        return takeWords(in, fields, row);
    }
    if (fields.items.size() != 2)
        return refused(row,
                       fmt::format("{} fields where two are expected: angle, value.", fields.items.size()));
    const auto value = number(fields.items[1], fields.decimalComma);
    if (!value) return refused(row, fmt::format("\"{}\" is not a number.", fields.items[1]));
    if (std::fabs(*angle) > 360.0)
        return refused(row, fmt::format("angle {} is outside -360 to 360 deg.", *angle));
    if (!in.section)
        return refused(row, "numbers before the first section; start with \"horizontal\" or \"vertical\".");
    in.section->rows.push_back({row, *angle, *value});
    return std::nullopt;
}

Column settledColumn(const RawCut& raw) {
    if (raw.column != Column::unknown) return raw.column;
    const bool anyPositive =
        std::any_of(raw.rows.begin(), raw.rows.end(), [](const RawRow& r) { return r.value > 0; });
    return anyPositive ? Column::loss : Column::gain;
}

double greatestValue(const RawCut& raw) {
    double most = raw.rows.front().value;
    for (const RawRow& r : raw.rows) most = std::max(most, r.value);
    return most;
}

// Every direction needs a point near by: else the interpolation would make up a beam.
std::optional<Error> checkGaps(const std::vector<CutPoint>& cut, std::string_view name, bool frontOnly) {
    for (std::size_t k = 0; k < cut.size(); ++k) {
        const double from = cut[k].angleDeg, to = cut[(k + 1) % cut.size()].angleDeg;
        const double gap = cut.size() == 1 ? 360.0 : wrap360(to - from);
        const bool behind = from >= 90.0 && from + gap <= 270.0;
        if (gap > 30.0 && !(frontOnly && behind))
            return Error{
                ErrorCode::badInput,
                fmt::format(
                    "the {} cut has no point between {:g} and {:g} deg; give one at least every 30 deg.",
                    name, from, to)};
    }
    return std::nullopt;
}

Result<std::vector<CutPoint>> settledCut(const RawCut& raw, std::string_view name) {
    if (raw.rows.empty()) return Error{ErrorCode::badInput, fmt::format("there is no {} cut.", name)};
    const bool isGain = settledColumn(raw) == Column::gain;
    const double peak = isGain ? greatestValue(raw) : 0;
    struct Numbered {
        CutPoint point;
        int row;
    };
    std::vector<Numbered> points;
    for (const RawRow& r : raw.rows) {
        const double loss = isGain ? peak - r.value : r.value;
        if (loss < 0)
            return refused(r.number,
                           fmt::format("loss {} is negative: losses count from the maximum.", r.value));
        if (loss > 300)
            return refused(r.number, fmt::format("{} dB below the maximum is no antenna's loss.", loss));
        points.push_back({{wrap360(r.angleDeg), loss}, r.number});
    }
    std::stable_sort(points.begin(), points.end(), [](const Numbered& a, const Numbered& b) {
        return a.point.angleDeg < b.point.angleDeg;
    });
    std::vector<CutPoint> cut;
    for (const Numbered& p : points) {
        if (!cut.empty() && cut.back().angleDeg == p.point.angleDeg) {
            if (std::fabs(cut.back().lossDb - p.point.lossDb) >
                0.05) // a turn's first and last reading may differ a little
                return refused(p.row, fmt::format("angle {:g} deg stands twice with different values.",
                                                  p.point.angleDeg));
            continue;
        }
        cut.push_back(p.point);
    }
    if (auto gap = checkGaps(cut, name, name == "vertical")) return *gap;
    return cut;
}

} // namespace

Result<CutTable> readCutCsv(std::string_view text) {
    if (startsWith(text, "\xEF\xBB\xBF")) text.remove_prefix(3);
    Reading in;
    for (int row = 1; !text.empty(); ++row) {
        const auto end = text.find('\n');
        const std::string_view line = trimmed(text.substr(0, end), kAround);
        text.remove_prefix(end == text.npos ? text.size() : end + 1);
        if (line.empty() || line.front() == '#') continue;
        if (auto fault = takeRow(in, line, row)) return *fault;
    }
    auto horizontal = settledCut(in.horizontal, "horizontal");
    if (!horizontal) return horizontal.error();
    auto vertical = settledCut(in.vertical, "vertical");
    if (!vertical) return vertical.error();
    CutTable out;
    out.horizontal = std::move(*horizontal);
    out.vertical = std::move(*vertical);
    if (in.gainDbi) {
        out.gainDbi = *in.gainDbi;
    } else if (in.horizontal.column == Column::gain && in.vertical.column == Column::gain) {
        out.gainDbi = std::max(greatestValue(in.horizontal), greatestValue(in.vertical));
    }
    // A column of relative gains has its maximum at 0: taken for dBi it would make a weak antenna of any.
    if (!in.gainDbi && out.gainDbi <= 0) {
        return Error{ErrorCode::badInput, "the maximum gain is not stated; add a row \"gain_dbi, <dBi>\"."};
    }
    return out;
}

} // namespace fw
