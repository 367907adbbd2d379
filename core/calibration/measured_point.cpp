// SPDX-License-Identifier: GPL-3.0-or-later
#include "calibration/measured_point.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {

namespace {

constexpr double kClearlyNearer = 2;

struct Candidate {
    ItemId cell, site;
    PlanePoint at;
    Technology technology = Technology::lte;
};

enum class CellMatch { found, unknown, ambiguous };
struct Choice {
    CellMatch outcome = CellMatch::unknown;
    ItemId cell;
};

Choice nearest(const std::vector<Candidate>& among, const MeasuredPoint& p, double reachM) {
    const Candidate* best = nullptr;
    double bestM = reachM, secondM = HUGE_VAL;
    for (const Candidate& c : among) {
        if (p.technology && *p.technology != c.technology) continue;
        const double d = planeDistance(c.at, p.at);
        if (d > reachM) continue;
        if (!best || d < bestM) {
            if (best) secondM = bestM;
            best = &c;
            bestM = d;
        } else {
            secondM = std::min(secondM, d);
        }
    }
    if (!best) return {};
    if (secondM < kClearlyNearer * bestM || secondM == bestM) return {CellMatch::ambiguous, {}};
    return {CellMatch::found, best->cell};
}

class Matcher {
public:
    explicit Matcher(const Plan& plan) {
        for (const Cell& c : plan.cells) {
            const Sector* s = plan.sectors.find(c.sector);
            const MacroSite* site = s ? plan.macroSites.find(s->site) : nullptr;
            if (!site) continue;
            const Candidate candidate{c.id, site->id, site->at, c.carrier.technology};
            m_byPci[{c.pci, c.carrier.channel}].push_back(candidate);
            if (!c.name.empty()) m_byName[c.name].push_back(candidate);
        }
    }
    [[nodiscard]] Choice of(const MeasuredPoint& p, double reachM) const {
        if (!p.cell.empty()) {
            const auto it = m_byName.find(p.cell);
            if (it == m_byName.end()) return {};
            if (it->second.size() > 1) return {CellMatch::ambiguous, {}};
            return {CellMatch::found, it->second.front().cell};
        }
        if (!p.pci || !p.channel) return {};
        const auto it = m_byPci.find({*p.pci, *p.channel});
        return it == m_byPci.end() ? Choice{} : nearest(it->second, p, reachM);
    }

private:
    std::map<std::pair<std::int32_t, std::int32_t>, std::vector<Candidate>> m_byPci;
    std::map<std::string, std::vector<Candidate>> m_byName;
};

} // namespace

Matching matchPoints(const Plan& plan, std::span<const MeasuredPoint> points, double reachM) {
    const Matcher matcher(plan);
    Matching out;
    for (std::size_t i = 0; i < points.size(); ++i) {
        const MeasuredPoint& p = points[i];
        // Written so that NaN fails it too.
        if (!(p.rsrpDbm >= kLowestRsrpDbm && p.rsrpDbm <= kHighestRsrpDbm) || !std::isfinite(p.at.x) ||
            !std::isfinite(p.at.y)) {
            ++out.notALevel;
            continue;
        }
        const Choice c = matcher.of(p, reachM);
        if (c.outcome == CellMatch::found) out.matched.push_back({i, c.cell});
        out.unknownCell += c.outcome == CellMatch::unknown;
        out.ambiguous += c.outcome == CellMatch::ambiguous;
    }
    return out;
}

} // namespace fw
