// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/dwell_out.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw::cli {

const Dwell* stayOf(const std::vector<Dwell>& dwells, ItemId small) {
    const auto it =
        std::find_if(dwells.begin(), dwells.end(), [small](const Dwell& d) { return d.small == small; });
    return it == dwells.end() || it->chords.empty() ? nullptr : &*it;
}

Json dwellJson(const Dwell* d) {
    if (!d) return nullptr;
    return {{"longest", number(d->longestS, 3)}, {"median", number(d->medianS, 3)}};
}

Json streetsJson(const Dwell* d) {
    if (!d) return nullptr;
    const std::string note = noteOf(*d);
    return {{"speed_kmh", number(d->speedKmh)},     {"stretches", d->chords.size()},
            {"longest_m", number(d->longestM, 3)},  {"median_m", number(d->medianM, 3)},
            {"short_under_s", number(kShortStayS)}, {"note", note.empty() ? Json(nullptr) : Json(note)}};
}

std::string dwellText(const Dwell* d, const std::string& indent) {
    if (!d) return {};
    return fmt::format("{}on streets at {:g} km/h: median stay {:.1f} s, longest {:.1f} s{}\n", indent,
                       d->speedKmh, d->medianS, d->longestS,
                       d->allAreShort()    ? ": all stays short, fast users are better kept on the macro"
                       : d->mostAreShort() ? ": short stays"
                                           : "");
}

std::string dwellFoot(const std::vector<Dwell>& dwells) {
    if (std::none_of(dwells.begin(), dwells.end(), [](const Dwell& d) { return d.mostAreShort(); }))
        return {};
    return fmt::format("Short stays: most stretches of street are left within {:g} s; each handover costs "
                       "signalling.\n",
                       kShortStayS);
}

} // namespace fw::cli
