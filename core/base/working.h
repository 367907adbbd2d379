// SPDX-License-Identifier: GPL-3.0-or-later
// The steps behind a figure, so that whoever sees it can open it.
#pragma once

#include <string>
#include <vector>

namespace fw {

struct WorkingInput {
    std::string name;   ///< as the formula writes it
    double value = 0;   ///< in `unit`
    std::string unit;   ///< empty for a pure number
    std::string origin; ///< where it comes from: "entered", "plan", "profile", a source
};

struct WorkingStep {
    std::string what;    ///< plain words
    std::string formula; ///< as text, may be empty
    double value = 0;    ///< result of the step, in `unit`
    std::string unit;
};

struct Working {
    std::string title;
    std::vector<WorkingInput> inputs;
    std::vector<WorkingStep> steps;   ///< the last one is the result
    std::string source;               ///< edition and clause, or "common practice"
    std::vector<std::string> remarks; ///< outside the stated range, assumptions
};

} // namespace fw
