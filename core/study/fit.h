// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "study/study.h"

#include <string>
#include <vector>

namespace fw {

/// How well a small cell fits, 0 to 100, with the terms it is made of.
struct Fit {
    ItemId small;
    double value = 0; ///< 0..100, weighted mean of the terms
    struct Term {
        std::string name;  ///< relief, fringe share, outlook, isolation, practicality
        double score = 0;  ///< 0..1
        double weight = 0; ///< as set; only ratios count
        double measured = 0;
        std::string unit;
        std::string says; ///< one line in words
    };
    std::vector<Term> terms;
    bool buildable = true; ///< false once the review has a blocking finding; does not change the number
};

Fit fitOf(const Study& study, ItemId small);
/// The steps behind the number.
Working workingOf(const Study& study, const Fit& fit);

} // namespace fw
