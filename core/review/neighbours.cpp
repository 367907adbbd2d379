// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/neighbours.h"

#include "base/sorted.h"

#include <algorithm>
#include <array>
#include <iterator>
#include <map>

namespace fw {

namespace {

// Point scales of the usual projections stay within a hundredth of one: a search by plane metres grown by
// that finds all that ground metres would.
constexpr double kScaleRoom = 1.01;
constexpr double kBucketM = 256;

Box pointBox(PlanePoint p) { return {p.x, p.y, p.x, p.y}; }
Box around(PlanePoint p, double m) { return pointBox(p).grown(m); }

PlanePoint placeOf(const Study& study, const SmallCellPart& s) {
    const MountPart* m = study.mount(s.mount);
    return m ? m->at : PlanePoint{};
}

} // namespace

Neighbours::Neighbours(const Study& study) : m_study(study) {
    buildSites();
    buildHangs();
}

void Neighbours::buildSites() {
    std::map<ItemId, SiteSpot> spots;
    for (const MacroCell& c : m_study.macroCells()) {
        SiteSpot& s = spots[c.site];
        const bool higher = !s.topSector || c.antennaAmsl > s.topAmsl ||
                            (c.antennaAmsl == s.topAmsl && c.sector < s.topSector);
        if (higher) {
            s.topSector = c.sector;
            s.topAmsl = c.antennaAmsl;
        }
        s.layers.push_back(c.layer);
    }
    for (auto& [id, s] : spots) {
        const MacroSite* site = m_study.plan().macroSites.find(id);
        if (!site) continue;
        s.id = id;
        s.at = site->at;
        std::sort(s.layers.begin(), s.layers.end());
        s.layers.erase(std::unique(s.layers.begin(), s.layers.end()), s.layers.end());
        m_sites.push_back(std::move(s));
    }
    m_spacing.resize(m_sites.size());
}

void Neighbours::buildHangs() {
    for (const SmallCellPart& s : m_study.smallCells()) {
        m_byRadio.push_back({s.radio, s.radio, s.id});
        m_byMount.push_back({s.mount, s.radio, s.id});
        m_radios.push_back(s.radio);
        m_mounts.push_back(s.mount);
    }
    std::sort(m_byRadio.begin(), m_byRadio.end());
    std::sort(m_byMount.begin(), m_byMount.end());
    sortUnique(m_radios);
    sortUnique(m_mounts);
}

void Neighbours::smallsNear(PlanePoint at, double radiusM, std::vector<std::uint32_t>& out) const {
    const auto cells = m_study.smallCells();
    if (!m_smallIndex) {
        std::vector<Box> boxes;
        boxes.reserve(cells.size());
        for (const SmallCellPart& s : cells) boxes.push_back(pointBox(placeOf(m_study, s)));
        m_smallIndex.emplace(boxes, kBucketM);
    }
    const double r = radiusM * kScaleRoom;
    m_smallIndex->query(around(at, r), out);
    std::erase_if(out, [&](std::uint32_t i) { return planeDistance(placeOf(m_study, cells[i]), at) > r; });
}

void Neighbours::sitesNear(PlanePoint at, double radiusM, std::vector<std::uint32_t>& out) const {
    if (!m_siteIndex) {
        std::vector<Box> boxes;
        boxes.reserve(m_sites.size());
        for (const SiteSpot& s : m_sites) boxes.push_back(pointBox(s.at));
        m_siteIndex.emplace(boxes, kBucketM);
    }
    const double r = radiusM * kScaleRoom;
    m_siteIndex->query(around(at, r), out);
    std::erase_if(out, [&](std::uint32_t i) { return planeDistance(m_sites[i].at, at) > r; });
}

void Neighbours::buildLines() const {
    std::vector<Box> boxes;
    for (const OverheadLine& line : m_study.plan().overheadLines) {
        for (std::size_t k = 0; k + 1 < line.path.size(); ++k) {
            Box b = pointBox(line.path[k]);
            b.add(line.path[k + 1]);
            boxes.push_back(b);
            m_lineBoxes.push_back({line.id, k});
        }
    }
    m_lineIndex.emplace(boxes, kBucketM / 4);
}

std::vector<ItemId> Neighbours::linesNear(PlanePoint at, double radiusM) const {
    if (!m_lineIndex) buildLines();
    const double r = radiusM * kScaleRoom;
    std::vector<std::uint32_t> hits;
    m_lineIndex->query(around(at, r), hits);
    std::vector<ItemId> out;
    for (const std::uint32_t h : hits) {
        const LineBox& b = m_lineBoxes[h];
        const Line& path = m_study.plan().overheadLines.find(b.line)->path;
        if (nearestOn({path[b.segment], path[b.segment + 1]}, at).distanceM <= r) out.push_back(b.line);
    }
    sortUnique(out);
    return out;
}

const SiteSpot* Neighbours::site(ItemId id) const {
    const auto it = std::lower_bound(m_sites.begin(), m_sites.end(), id,
                                     [](const SiteSpot& s, ItemId v) { return s.id < v; });
    return it != m_sites.end() && it->id == id ? &*it : nullptr;
}

const Neighbours::Spacing& Neighbours::planeSpacing(const SiteSpot& site) const {
    std::optional<Spacing>& kept = m_spacing[static_cast<std::size_t>(&site - m_sites.data())];
    if (kept) return *kept;
    std::array<std::pair<double, std::uint32_t>, 3> best; // ascending by plane distance
    std::size_t n = 0;
    for (std::uint32_t i = 0; i < m_sites.size(); ++i) {
        if (&m_sites[i] == &site) continue;
        const std::pair<double, std::uint32_t> p{planeDistance(m_sites[i].at, site.at), i};
        if (n == best.size() && !(p < best[n - 1])) continue;
        std::size_t k = n < best.size() ? n++ : n - 1;
        for (; k > 0 && p < best[k - 1]; --k) best[k] = best[k - 1];
        best[k] = p;
    }
    kept.emplace();
    for (std::size_t k = 0; k < n; ++k) {
        kept->nearest.push_back(best[k].second);
        kept->planeM += best[k].first / static_cast<double>(n);
    }
    return *kept;
}

std::optional<double> Neighbours::spacingBoundM(const SiteSpot& site) const {
    const Spacing& s = planeSpacing(site);
    if (s.nearest.empty()) return std::nullopt;
    return s.planeM * kScaleRoom;
}

std::optional<double> Neighbours::spacingM(const SiteSpot& site) const {
    const Spacing& s = planeSpacing(site);
    if (s.nearest.empty()) return std::nullopt;
    if (!s.groundM) {
        double sum = 0;
        for (const std::uint32_t i : s.nearest) sum += m_study.frame().groundDistance(site.at, m_sites[i].at);
        m_spacing[static_cast<std::size_t>(&site - m_sites.data())]->groundM =
            sum / static_cast<double>(s.nearest.size());
    }
    return s.groundM;
}

namespace {

template <class Hangs>
auto rangeOf(const Hangs& hangs, ItemId owner) {
    const auto less = [](const auto& h, ItemId v) { return h.owner < v; };
    const auto more = [](ItemId v, const auto& h) { return v < h.owner; };
    return std::pair{std::lower_bound(hangs.begin(), hangs.end(), owner, less),
                     std::upper_bound(hangs.begin(), hangs.end(), owner, more)};
}

} // namespace

std::vector<ItemId> Neighbours::smallsOfRadio(ItemId radio) const {
    std::vector<ItemId> out;
    const auto [from, to] = rangeOf(m_byRadio, radio);
    for (auto it = from; it != to; ++it) out.push_back(it->small);
    return out;
}

std::vector<ItemId> Neighbours::smallsOfMount(ItemId mount) const {
    std::vector<ItemId> out;
    const auto [from, to] = rangeOf(m_byMount, mount);
    for (auto it = from; it != to; ++it) out.push_back(it->small);
    sortUnique(out);
    return out;
}

std::vector<ItemId> Neighbours::radiosOfMount(ItemId mount) const {
    std::vector<ItemId> out;
    const auto [from, to] = rangeOf(m_byMount, mount);
    for (auto it = from; it != to; ++it) out.push_back(it->radio);
    sortUnique(out);
    return out;
}

} // namespace fw
