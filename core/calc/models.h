// SPDX-License-Identifier: GPL-3.0-or-later
// What a model of the calculator is made of, and the explicit table of all of them. To add one: write its
// entry into the file of its group, or a new group here and in models.cpp; add reference cases with their
// source.
#pragma once

#include "base/units.h"
#include "calc/calc.h"

#include <map>
#include <string>
#include <vector>

namespace fw::calc {

/// Checked inputs of one calculation, in the units of their InputInfo.
struct Given {
    [[nodiscard]] double number(const std::string& name) const { return lists.at(name).front(); }
    [[nodiscard]] int whole(const std::string& name) const { return static_cast<int>(number(name)); }
    [[nodiscard]] const std::vector<double>& list(const std::string& name) const { return lists.at(name); }
    [[nodiscard]] const std::string& choice(const std::string& name) const { return choices.at(name); }

    std::map<std::string, std::vector<double>> lists;
    std::map<std::string, std::string> choices;
};

/// Appends the steps, the last of which is the result, and remarks.
using Run = Status (*)(const Given& in, Working& out);
struct Model {
    ModelInfo info;
    Run run = nullptr;
};

// Inputs the models share.
InputInfo frequency(double lowGHz, double highGHz); ///< f_GHz, f_MHz, f_Hz
InputInfo metres(const std::string& stem, std::string what, double low,
                 double high); ///< stem_m, stem_km; > 0
InputInfo kilometres(const std::string& stem, std::string what, double low,
                     double high);                                            ///< stem_km, stem_m; > 0
InputInfo plain(std::string name, std::string what, std::string unit);        ///< any number
InputInfo decibelInput(std::string name, std::string what, std::string unit); ///< -500 to 500
InputInfo positive(std::string name, std::string what, std::string unit);     ///< > 0
InputInfo wholeNumber(std::string name, std::string what, double least, double most);
InputInfo oneOf(std::string name, std::string what,
                std::vector<std::string> choices); ///< first is the default
InputInfo withDefault(InputInfo input, std::string value);
InputInfo stated(InputInfo input, double low, double high);    ///< the range its source states
InputInfo bounded(InputInfo input, double least, double most); ///< what is taken at all
/// Between two bounds that are themselves impossible; computed as near to them as `margin`.
InputInfo between(InputInfo input, double above, double below, double margin);
InputInfo speedOfLight();                  ///< c, m/s
InputInfo shareOfPlaces(std::string what); ///< p_pct, as far as the inverse normal is good
inline constexpr double kAny = 1e12;       ///< a bound that is none

/// Inputs `f_GHz`, and with `c` the wavelength (m).
Hertz hertz(const Given& in);
double lambda(const Given& in);

void step(Working& out, std::string what, std::string formula, double value, std::string unit);
/// Adds a remark when a free-space path ends before the far field of the antennas can begin: farFieldM() of
/// the greater gain (dBi).
void remarkNearField(Working& out, double distanceM, double gainDbi, Hertz f);
/// Adds a remark when the value leaves a stated range.
void remarkRange(Working& out, const std::string& name, double value, const std::string& unit, double low,
                 double high);

// The groups, each in a file of its own.
std::vector<Model> freeSpaceModels();
std::vector<Model> diffractionModels();
std::vector<Model> profileModels();
std::vector<Model> streetModels();
std::vector<Model> shortRangeModels();
std::vector<Model> urbanModels();
std::vector<Model> simulationModels();
std::vector<Model> hataModels();
std::vector<Model> entryModels();
std::vector<Model> clutterModels();
std::vector<Model> antennaModels();
std::vector<Model> sectorModels();
std::vector<Model> carrierModels();
std::vector<Model> linkModels();
std::vector<Model> smallCellModels();
std::vector<Model> rainModels();
std::vector<Model> hopModels();

/// All of them, in display order. Built once.
const std::vector<Model>& allModels();

} // namespace fw::calc
