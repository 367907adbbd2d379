// SPDX-License-Identifier: GPL-3.0-or-later
// What can hurt somebody at a site, in our own words. Guidance for a sheet, never a method statement.
#pragma once

#include <string>
#include <vector>

namespace fw {

/// What is true of one site. A hazard that the plan cannot rule out counts as present.
struct SiteHazards {
    bool height = false;    ///< work over 2 m
    bool roof = false;      ///< roof or parapet
    bool structure = false; ///< something is fixed to a building
    bool pole = false;
    bool electricity = false; ///< a supply is connected
    bool battery = false;
    bool rf = false;        ///< something transmits
    bool digging = false;   ///< rod, trench or pole foundation
    bool lines = false;     ///< overhead lines near, or not surveyed
    bool lightning = false; ///< exposed to storms: outdoors at height
    bool fibre = false;
    bool street = false; ///< the public passes below
};

struct Caution {
    std::string topic; ///< one or two words
    std::string text;  ///< one sentence, ends by naming who decides
};

/// The cautions that match, most lethal first. Each defers to local codes and licensed or competent people.
std::vector<Caution> cautionsFor(const SiteHazards& site);

/// Stands on every page that carries cautions or distances.
const std::string& deferPhrase();

} // namespace fw
