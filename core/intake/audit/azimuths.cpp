// SPDX-License-Identifier: GPL-3.0-or-later
// Equal azimuths: two sectors of a site within kSameDeg that share a carrier, or three and more sectors that
// all look one way. Zero angles: every sector of a site, two at least, at azimuth 0 and without any tilt.
// Source of the limits: own judgement. Sectors that share a direction on different carriers are usual: an
// antenna a band.
#include "intake/audit/view.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>

namespace fw {

namespace {

constexpr double kSameDeg = 5;

using CarrierKey = std::pair<Technology, std::int32_t>;

std::set<CarrierKey> carriersOf(const AuditView& view, const Sector& s) {
    std::set<CarrierKey> out;
    for (const Cell* c : view.cellsOf(s.id)) out.insert({c->carrier.technology, c->carrier.channel});
    return out;
}

bool shareOne(const std::set<CarrierKey>& a, const std::set<CarrierKey>& b) {
    return std::any_of(a.begin(), a.end(), [&](const CarrierKey& k) { return b.contains(k); });
}

double apart(const Sector& a, const Sector& b) { return std::fabs(wrap180(a.azimuth.deg - b.azimuth.deg)); }

bool zeroAngles(const Sector& s) {
    return s.azimuth.deg == 0 && s.mechanicalTiltDeg == 0 && s.electricalTiltDeg == 0;
}

bool allZero(const std::vector<const Sector*>& sectors) {
    return sectors.size() >= 2 &&
           std::all_of(sectors.begin(), sectors.end(), [](const Sector* s) { return zeroAngles(*s); });
}

// Until the true azimuths are known: evenly round, from north, in the order of names.
Edit spread(const AuditView& view, ItemId site, std::vector<const Sector*> sectors) {
    std::stable_sort(sectors.begin(), sectors.end(),
                     [](const Sector* a, const Sector* b) { return a->name < b->name; });
    Edit edit;
    edit.text = fmt::format("Spread the sectors of {} evenly", view.name(site));
    for (std::size_t k = 0; k < sectors.size(); ++k) {
        Sector s = *sectors[k];
        s.azimuth =
            TrueAzimuth::of(std::round(360.0 * static_cast<double>(k) / static_cast<double>(sectors.size())));
        edit.changes.push_back(Put{s});
    }
    return edit;
}

std::vector<ItemId> idsOf(const std::vector<const Sector*>& sectors) {
    std::vector<ItemId> ids;
    ids.reserve(sectors.size());
    for (const Sector* s : sectors) ids.push_back(s->id);
    return ids;
}

std::string spreadProposal(const std::string& site) {
    return fmt::format("Find out the azimuths of {}; until then they can be spread evenly from north in the "
                       "order of their names.",
                       site);
}

AuditFinding oneWay(const AuditView& view, const MacroSite& site, const std::vector<const Sector*>& sectors,
                    double widest) {
    AuditFinding f;
    f.subjects = {site.id};
    const auto ids = idsOf(sectors);
    f.subjects.insert(f.subjects.end(), ids.begin(), ids.end());
    f.measured = {widest, "deg"};
    f.limit = {kSameDeg, "deg"};
    f.source = kOwn;
    f.text = fmt::format("All {} sectors of {} look towards {:.0f} deg true.", sectors.size(),
                         view.name(site.id), sectors.front()->azimuth.deg);
    f.proposal = spreadProposal(view.name(site.id));
    f.edit = spread(view, site.id, sectors);
    return f;
}

AuditFinding pairOf(const AuditView& view, const MacroSite& site, const Sector& a, const Sector& b) {
    AuditFinding f;
    f.subjects = {site.id, a.id, b.id};
    f.measured = {apart(a, b), "deg"};
    f.limit = {kSameDeg, "deg"};
    f.source = kOwn;
    f.text = fmt::format("{} and {} of {} share a carrier and look towards {:.0f} and {:.0f} deg true.",
                         view.name(a.id), view.name(b.id), view.name(site.id), a.azimuth.deg, b.azimuth.deg);
    f.proposal = fmt::format("Find out which of the two azimuths is wrong; measurements of {} tell it.",
                             view.name(site.id));
    return f;
}

} // namespace

void checkEqualAzimuths(const AuditView& view, AuditFindings& out) {
    for (const MacroSite& site : view.plan().macroSites) {
        const auto& sectors = view.sectorsOf(site.id);
        if (sectors.size() < 2 || allZero(sectors)) continue; // that is the other check's
        double widest = 0;
        std::vector<std::set<CarrierKey>> carriers;
        for (const Sector* a : sectors) {
            carriers.push_back(carriersOf(view, *a));
            for (const Sector* b : sectors) widest = std::max(widest, apart(*a, *b));
        }
        if (sectors.size() >= 3 && widest <= kSameDeg) {
            out.push_back(oneWay(view, site, sectors, widest));
            continue;
        }
        for (std::size_t i = 0; i < sectors.size(); ++i)
            for (std::size_t k = i + 1; k < sectors.size(); ++k)
                if (apart(*sectors[i], *sectors[k]) <= kSameDeg && shareOne(carriers[i], carriers[k]))
                    out.push_back(pairOf(view, site, *sectors[i], *sectors[k]));
    }
}

void checkZeroAngles(const AuditView& view, AuditFindings& out) {
    for (const MacroSite& site : view.plan().macroSites) {
        const auto& sectors = view.sectorsOf(site.id);
        if (!allZero(sectors)) continue;
        AuditFinding f;
        f.subjects = {site.id};
        const auto ids = idsOf(sectors);
        f.subjects.insert(f.subjects.end(), ids.begin(), ids.end());
        f.measured = {static_cast<double>(sectors.size()), "sectors"};
        f.limit = {1, "sectors"};
        f.source = kOwn;
        f.text = fmt::format("All {} sectors of {} have azimuth 0 and no tilt.", sectors.size(),
                             view.name(site.id));
        f.proposal = spreadProposal(view.name(site.id));
        f.edit = spread(view, site.id, sectors);
        out.push_back(std::move(f));
    }
}

} // namespace fw
