// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"

#include "radio/free_space.h"

#include <fmt/format.h>
#include <iterator>
#include <utility>

namespace fw::calc {

const std::vector<Model>& allModels() {
    static const std::vector<Model> all = [] {
        std::vector<Model> out;
        for (auto* group :
             {&freeSpaceModels, &diffractionModels, &profileModels, &streetModels, &shortRangeModels,
              &urbanModels, &simulationModels, &hataModels, &entryModels, &clutterModels, &antennaModels,
              &sectorModels, &carrierModels, &linkModels, &smallCellModels, &rainModels, &hopModels}) {
            auto some = group();
            out.insert(out.end(), std::make_move_iterator(some.begin()), std::make_move_iterator(some.end()));
        }
        return out;
    }();
    return all;
}

InputInfo plain(std::string name, std::string what, std::string unit) {
    InputInfo in;
    in.name = std::move(name);
    in.what = std::move(what);
    in.unit = std::move(unit);
    return in;
}

InputInfo decibelInput(std::string name, std::string what, std::string unit) {
    InputInfo in = plain(std::move(name), std::move(what), std::move(unit));
    in.least = -500; // beyond any level or loss, and well inside what powers can be computed from
    in.most = 500;
    return in;
}

InputInfo positive(std::string name, std::string what, std::string unit) {
    InputInfo in = plain(std::move(name), std::move(what), std::move(unit));
    in.positive = true;
    return in;
}

InputInfo stated(InputInfo input, double low, double high) {
    input.low = low;
    input.high = high;
    return input;
}
InputInfo bounded(InputInfo input, double least, double most) {
    input.least = least;
    input.most = most;
    return input;
}
InputInfo between(InputInfo input, double above, double below, double margin) {
    input.above = above;
    input.below = below;
    return bounded(std::move(input), above + margin, below - margin);
}
InputInfo speedOfLight() {
    return withDefault(positive("c", "speed of light to compute with", "m/s"), "299792458");
}
InputInfo shareOfPlaces(std::string what) {
    return between(withDefault(positive("p_pct", std::move(what), "%"), "50"), 0, 100, 1e-7);
}

Hertz hertz(const Given& in) { return {in.number("f_GHz") * 1e9}; }
double lambda(const Given& in) { return in.number("c") / (in.number("f_GHz") * 1e9); }

InputInfo frequency(double lowGHz, double highGHz) {
    InputInfo in = stated(positive("f_GHz", "frequency", "GHz"), lowGHz, highGHz);
    in.aliases = {{"f_MHz", 1e-3}, {"f_Hz", 1e-9}};
    return in;
}

InputInfo metres(const std::string& stem, std::string what, double low, double high) {
    InputInfo in = stated(positive(stem + "_m", std::move(what), "m"), low, high);
    in.aliases = {{stem + "_km", 1e3}};
    return in;
}

InputInfo kilometres(const std::string& stem, std::string what, double low, double high) {
    InputInfo in = stated(positive(stem + "_km", std::move(what), "km"), low, high);
    in.aliases = {{stem + "_m", 1e-3}};
    return in;
}

InputInfo wholeNumber(std::string name, std::string what, double least, double most) {
    InputInfo in = plain(std::move(name), std::move(what), "");
    in.kind = InputKind::whole;
    in.least = least;
    in.most = most;
    return in;
}

InputInfo oneOf(std::string name, std::string what, std::vector<std::string> choices) {
    InputInfo in = plain(std::move(name), std::move(what), "");
    in.kind = InputKind::choice;
    in.fallback = choices.front();
    in.choices = std::move(choices);
    return in;
}

InputInfo withDefault(InputInfo input, std::string value) {
    input.fallback = std::move(value);
    return input;
}

void step(Working& out, std::string what, std::string formula, double value, std::string unit) {
    out.steps.push_back({std::move(what), std::move(formula), value, std::move(unit)});
}

void remarkNearField(Working& out, double distanceM, double gainDbi, Hertz f) {
    const double from = farFieldM({gainDbi}, f);
    if (distanceM >= from) return;
    out.remarks.push_back(
        fmt::format("{:g} m is not in the far field, which begins at {:.3g} m at the earliest; "
                    "nearer, free space does not hold (IEEE Std 145, from memory).",
                    distanceM, from));
}

void remarkRange(Working& out, const std::string& name, double value, const std::string& unit, double low,
                 double high) {
    if (value >= low && value <= high) return;
    const std::string tail = unit.empty() ? "" : " " + unit;
    if (low == high) {
        out.remarks.push_back(
            fmt::format("{} = {:g}{} is not the {:g}{} it is stated for.", name, value, tail, low, tail));
        return;
    }
    const bool openAbove = high == std::numeric_limits<double>::infinity();
    const bool openBelow = low == -std::numeric_limits<double>::infinity();
    const std::string range = openAbove   ? fmt::format("{:g}{} and more", low, tail)
                              : openBelow ? fmt::format("{:g}{} and less", high, tail)
                                          : fmt::format("{:g} to {:g}{}", low, high, tail);
    out.remarks.push_back(
        fmt::format("{} = {:g}{} is outside the stated range {}.", name, value, tail, range));
}

} // namespace fw::calc
