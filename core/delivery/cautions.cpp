// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/cautions.h"

#include "base/text.h"

namespace fw {

std::vector<Caution> cautionsFor(const SiteHazards& site) {
    std::vector<Caution> out;
    const auto when = [&out](bool present, const char* topic, const char* text) {
        if (present) out.push_back({topic, text});
    };
    when(site.lines, CORE_TEXT("Overhead lines"),
         CORE_TEXT("Treat every line as live; keep people, ladders and lifting gear at the distance that "
                   "local code and its owner set."));
    when(site.electricity, CORE_TEXT("Electricity"),
         CORE_TEXT("Switch off, lock off and prove dead before touching a terminal; a licensed electrician "
                   "connects the supply under local code."));
    when(site.height, CORE_TEXT("Height"),
         CORE_TEXT("Only trained people, clipped to a rated anchor, in fit weather, with a rescue plan, as "
                   "the local code for work at height asks."));
    when(site.height, CORE_TEXT("Falling things"),
         CORE_TEXT(
             "Close off the ground below and tie tools and parts to lanyards, as local site rules ask."));
    when(site.rf, CORE_TEXT("Radio waves"),
         CORE_TEXT("Switch off, or prove power reduced, before working in front of any antenna; the local "
                   "limit and its competent assessor set the distance."));
    when(site.digging, CORE_TEXT("Digging"),
         CORE_TEXT("Get the drawings, trace services and dig by hand near them before driving a rod; their "
                   "owners and local code decide."));
    when(site.lightning, CORE_TEXT("Lightning"),
         CORE_TEXT("Leave roof, pole and ladder at the first thunder; earthing and protection are for a "
                   "licensed designer under local code."));
    when(site.roof, CORE_TEXT("Roof edge"),
         CORE_TEXT("Keep to guarded ways, clear of skylights and soft roofing; the owner and a competent "
                   "person say where to stand."));
    when(site.structure, CORE_TEXT("What carries it"),
         CORE_TEXT("Drill or hang nothing before a competent engineer has confirmed that it takes the load "
                   "under local code."));
    when(site.pole, CORE_TEXT("Pole"),
         CORE_TEXT("No work in wind over the limit of the method statement; owner and competent engineer "
                   "confirm foundation and load under local code."));
    when(site.battery, CORE_TEXT("Battery"),
         CORE_TEXT("Insulated tools, no rings, no damaged or wet battery, and a clear way out; the maker and "
                   "local fire code decide."));
    when(site.fibre, CORE_TEXT("Fibre"),
         CORE_TEXT("Never look into a fibre end; collect every offcut, as local laser safety rules ask."));
    when(site.street, CORE_TEXT("Public"),
         CORE_TEXT("Fence, sign and guide people past; beside a road follow a traffic plan that the local "
                   "authority approves."));
    return out;
}

const std::string& deferPhrase() {
    static const std::string phrase = CORE_TEXT("This plan gives planning guidance only; the law, local "
                                                "codes, the owner's rules and the judgement of "
                                                "licensed and competent people on site always come first.");
    return phrase;
}

} // namespace fw
