// SPDX-License-Identifier: GPL-3.0-or-later
// Swapped sectors: the bearings from the site to where a cell was measured lie, in the median, 30 deg nearer
// to another sector's azimuth than to its own, and within 60 deg of that other. It takes 30 points of a cell
// in 5 squares of 50 m. The median leaves out what was measured by reflection, up to half of the points.
// Source of the limits: own judgement.
#include "calibration/measured_point.h"
#include "intake/audit/view.h"

#include <cmath>
#include <fmt/format.h>
#include <set>

namespace fw {

namespace {

constexpr std::size_t kLeastPoints = 30, kLeastSquares = 5;
constexpr double kSquareM = 50, kClearlyDeg = 30, kWithinDeg = 60, kTooNearM = 20;

using CarrierKey = std::pair<Technology, std::int32_t>;

// Grid bearings from the site, by cell.
using Bearings = std::map<ItemId, std::vector<double>>;

Bearings bearingsOf(const AuditView& view) {
    const auto& points = view.evidence().measured;
    Bearings out;
    std::map<ItemId, std::set<std::pair<double, double>>> squares;
    for (const MatchedPoint& m :
         matchPoints(view.plan(), points, view.plan().settings->model.macroReachM).matched) {
        const PlanePoint at = points[m.point].at;
        const MacroSite* site = view.siteOf(*view.plan().cells.find(m.cell));
        if (planeDistance(site->at, at) < kTooNearM) continue; // the bearing is mostly the place's error
        out[m.cell].push_back(gridAzimuth(site->at, at).deg);
        squares[m.cell].insert({std::floor(at.x / kSquareM), std::floor(at.y / kSquareM)});
    }
    std::erase_if(out, [&](const auto& each) {
        return each.second.size() < kLeastPoints || squares[each.first].size() < kLeastSquares;
    });
    return out;
}

double medianOff(const std::vector<double>& bearings, double azimuth) {
    std::vector<double> off;
    off.reserve(bearings.size());
    for (const double b : bearings) off.push_back(std::fabs(wrap180(b - azimuth)));
    return medianOf(std::move(off));
}

struct Suspect {
    const Cell* cell;
    const Cell* like; ///< the cell before whose sector it was measured
    double ownDeg, likeDeg;
    std::size_t points;
};

// Among the cells of one carrier of a site, those that were measured before another's sector.
std::map<ItemId, Suspect> suspectsAmong(const AuditView& view, const MacroSite& site,
                                        const std::vector<const Cell*>& cells, const Bearings& bearings) {
    std::map<ItemId, Suspect> out;
    const auto azimuthOf = [&](const Cell& c) {
        return view.frame()->toGrid(view.plan().sectors.find(c.sector)->azimuth, site.at).deg;
    };
    for (const Cell* c : cells) {
        const auto it = bearings.find(c->id);
        if (it == bearings.end()) continue;
        Suspect s{c, c, medianOff(it->second, azimuthOf(*c)), HUGE_VAL, it->second.size()};
        for (const Cell* other : cells) {
            if (other->sector == c->sector) continue;
            const double off = medianOff(it->second, azimuthOf(*other));
            if (off < s.likeDeg) {
                s.like = other;
                s.likeDeg = off;
            }
        }
        if (s.likeDeg <= kWithinDeg && s.ownDeg - s.likeDeg >= kClearlyDeg) out.emplace(c->id, s);
    }
    return out;
}

// The ring of suspects that begins with one: each was measured where the next one's sector looks. Empty when
// it does not close.
std::vector<const Suspect*> ringFrom(const std::map<ItemId, Suspect>& suspects, ItemId first) {
    std::vector<const Suspect*> ring;
    for (ItemId at = first;;) {
        const auto it = suspects.find(at);
        if (it == suspects.end() || ring.size() > suspects.size()) return {};
        ring.push_back(&it->second);
        at = it->second.like->id;
        if (at == first) return ring;
    }
}

AuditFinding findingOf(const AuditView& view, const MacroSite& site, const Suspect& s) {
    AuditFinding f;
    f.subjects = {s.cell->id, s.like->sector, site.id};
    f.measured = {s.ownDeg - s.likeDeg, "deg"};
    f.limit = {kClearlyDeg, "deg"};
    f.source = "own judgement";
    f.text = fmt::format("{} points of {} lie mostly {:.0f} deg off its own azimuth but only {:.0f} deg off "
                         "that of {}.",
                         s.points, view.name(s.cell->id), s.ownDeg, s.likeDeg, view.name(s.like->sector));
    f.proposal = fmt::format("Have the feeders of {} looked at, and the azimuths in the inventory.",
                             view.name(site.id));
    return f;
}

void checkCarrier(const AuditView& view, const MacroSite& site, const std::vector<const Cell*>& cells,
                  const Bearings& bearings, AuditFindings& out) {
    const auto suspects = suspectsAmong(view, site, cells, bearings);
    std::set<ItemId> told;
    for (const auto& [id, suspect] : suspects) {
        if (told.contains(id)) continue;
        AuditFinding f = findingOf(view, site, suspect);
        if (const auto ring = ringFrom(suspects, id); !ring.empty()) {
            std::string names;
            Edit edit;
            f.subjects.clear();
            for (const Suspect* s : ring) {
                told.insert(s->cell->id);
                f.subjects.push_back(s->cell->id);
                Cell moved = *s->cell;
                moved.sector = s->like->sector;
                edit.changes.push_back(Put{moved});
                names += (names.empty() ? "" : ", ") + view.name(s->cell->id);
            }
            f.subjects.push_back(site.id);
            edit.text = fmt::format("Swap the sectors of {}", names);
            f.proposal = fmt::format("Measured points agree when {} change sectors: feeders or rows are "
                                     "swapped.",
                                     names);
            f.edit = std::move(edit);
        }
        out.push_back(std::move(f));
    }
}

} // namespace

void checkSwappedSectors(const AuditView& view, AuditFindings& out) {
    if (!view.frame() || view.evidence().measured.empty()) return;
    const Bearings bearings = bearingsOf(view);
    if (bearings.empty()) return;
    for (const MacroSite& site : view.plan().macroSites) {
        std::map<CarrierKey, std::vector<const Cell*>> carriers;
        for (const Sector* s : view.sectorsOf(site.id))
            for (const Cell* c : view.cellsOf(s->id))
                carriers[{c->carrier.technology, c->carrier.channel}].push_back(c);
        for (const auto& [key, cells] : carriers) checkCarrier(view, site, cells, bearings, out);
    }
}

} // namespace fw
