// SPDX-License-Identifier: GPL-3.0-or-later
// The published models by name: what the desk calculator, the command line and the reference cases run. It is
// the same code the study runs; nothing is computed twice.
#pragma once

#include "base/result.h"
#include "base/working.h"

#include <limits>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace fw {

enum class InputKind {
    number,
    whole,  ///< a whole number
    choice, ///< one of `choices`
    list,   ///< numbers parted by ',' or '|', as many in every list of a model
};

/// The same input in another unit: "f_MHz" for "f_GHz".
struct InputAlias {
    std::string name;
    double factor = 1; ///< times the value gives the input's own unit
};

struct InputInfo {
    std::string name; ///< with its unit at the end: "d3D_m"
    std::string what; ///< plain words
    std::string unit; ///< empty for a pure number
    InputKind kind = InputKind::number;
    std::string fallback;             ///< value when not given; empty: it must be given
    std::vector<std::string> choices; ///< for InputKind::choice
    std::vector<InputAlias> aliases;
    /// The range the source states. Outside it there is a result, with a remark.
    double low = -std::numeric_limits<double>::infinity(), high = std::numeric_limits<double>::infinity();
    /// What is possible at all. Outside it there is no result.
    double least = -1e12, most = 1e12;
    bool positive = false; ///< must be above 0
    /// Bounds that are themselves impossible. Just within them `least` and `most` end what can be computed.
    double above = -std::numeric_limits<double>::infinity(), below = std::numeric_limits<double>::infinity();
};

struct ModelInfo {
    std::string name;  ///< what to call it by: "uma_nlos"
    std::string title; ///< plain words
    std::vector<InputInfo> inputs;
    std::string result; ///< what comes out, plain words
    std::string unit;   ///< of the result
    std::string source; ///< edition and clause, or "common practice"
};

/// All models, in the order of core/calc/models.cpp.
std::vector<ModelInfo> models();

/// Computes one model. Numbers in C notation, whatever the locale. The result is the last step's value;
/// inputs outside the stated range, and what else one should know, stand in the remarks. Refused by a
/// sentence: an unknown model or input (with the nearest name), one that is missing, given twice in two
/// units, not a number, or impossible (a negative distance).
Result<Working> calculate(std::string_view model, const std::map<std::string, std::string>& inputs);

} // namespace fw
