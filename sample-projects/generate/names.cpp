// SPDX-License-Identifier: GPL-3.0-or-later
#include "names.h"

#include "base/random.h"

#include <utility>

namespace fw::town {

std::vector<std::string> streetNames(std::uint64_t seed) {
    static const char* const first[] = {
        "Rope",       "Cooper",  "Gull",    "Tern",     "Anchor",  "Lantern",   "Chandler", "Salt",
        "Kelp",       "Cinder",  "Barley",  "Orchard",  "Well",    "Fuller",    "Tanner",   "Weaver",
        "Glass",      "Bell",    "Dove",    "Heron",    "Plover",  "Sandpiper", "Curlew",   "Petrel",
        "Shearwater", "Net",     "Sail",    "Mast",     "Keel",    "Oar",       "Beacon",   "Signal",
        "Gorse",      "Heather", "Thrift",  "Samphire", "Fennel",  "Mallow",    "Bracken",  "Fern",
        "Rowan",      "Alder",   "Hazel",   "Juniper",  "Myrtle",  "Quince",    "Medlar",   "Walnut",
        "Linden",     "Poplar",  "Cistern", "Fountain", "Pump",    "Mill",      "Granary",  "Brewer",
        "Baker",      "Candle",  "Copper",  "Tin",      "Slate",   "Chalk",     "Flint",    "Marl",
        "Cobble",     "Ballast", "Compass", "Sextant",  "Almanac", "Tide",      "Ebb",      "Spring",
        "Neap",       "Harvest", "Saffron", "Indigo",   "Madder",  "Ochre",     "Amber",    "Jet"};
    static const char* const last[] = {"Street",  "Lane", "Row",  "Walk",  "Rise",  "Close",
                                       "Terrace", "Hill", "Yard", "Steps", "Green", "Passage"};
    std::vector<std::string> names;
    for (const char* const a : first)
        for (const char* const b : last) names.push_back(std::string(a) + " " + b);
    Random random(seed);
    for (std::size_t i = names.size() - 1; i > 0; --i)
        std::swap(names[i], names[random.below(static_cast<std::uint32_t>(i + 1))]);
    return names;
}

} // namespace fw::town
