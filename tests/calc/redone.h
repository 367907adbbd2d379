// SPDX-License-Identifier: GPL-3.0-or-later
// A working done again from what it prints.
#pragma once

#include "calc/calc.h"
#include "catch.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <string>
#include <vector>

namespace fwtest {

using namespace fw;
using Inputs = std::map<std::string, std::string>;

inline double lg(double x) { return std::log10(x); }
inline double ratio(double db) { return std::pow(10.0, db / 10.0); }
inline double edgeLoss(double nu) {
    return nu <= -0.78 ? 0.0 : 6.9 + 20 * lg(std::sqrt((nu - 0.1) * (nu - 0.1) + 1) + nu - 0.1);
}

// A figure as `calc` prints it.
inline double printed(double v) {
    const double size = std::fabs(v);
    if (size == 0 || (size >= 1e-3 && size < 1e9)) return std::round(v * 1e6) / 1e6;
    const double unit = std::pow(10.0, std::floor(lg(size)) - 5);
    return std::round(v / unit) * unit;
}

// The steps of a working by the words they begin with, and its inputs by name.
class Sheet {
public:
    explicit Sheet(const Working& w) : m_w(w) {}
    double operator()(const std::string& words) const {
        for (const WorkingStep& s : m_w.steps)
            if (s.what.compare(0, words.size(), words) == 0) return printed(s.value);
        FAIL(m_w.title << ": no step \"" << words << "\"");
        return 0;
    }
    [[nodiscard]] double in(const std::string& name) const {
        for (const WorkingInput& i : m_w.inputs)
            if (i.name == name) return i.value;
        FAIL(m_w.title << ": no input \"" << name << "\"");
        return 0;
    }
    [[nodiscard]] bool has(const std::string& words) const {
        return std::any_of(m_w.steps.begin(), m_w.steps.end(),
                           [&](const WorkingStep& s) { return s.what.compare(0, words.size(), words) == 0; });
    }

private:
    const Working& m_w;
};

struct Redone {
    const char* model;
    Inputs in;
    std::function<double(const Sheet&)> again; ///< the result from the steps before it
};

// The models of a part, each once or more, so that every branch of its formula is met.
void addDiffraction(std::vector<Redone>& out);
void addOutdoors(std::vector<Redone>& out);
void addHata(std::vector<Redone>& out);

} // namespace fwtest
