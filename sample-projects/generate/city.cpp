// SPDX-License-Identifier: GPL-3.0-or-later
#include "city.h"

#include "mounts.h"
#include "names.h"
#include "network.h"
#include "pieces.h"

#include "base/log_exp.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

namespace {

// South-west corner: whole tiles of 512 m in the open ocean.
constexpr PlanePoint kCityOrigin{512.0 * 976, 512.0 * 7900};
constexpr double kMargin = 40; // the rim stays unbuilt so that bent blocks do not leave the area

double heightAt(const CitySpec& spec, PlanePoint p) {
    if (!spec.hilly) return 0;
    return 32 + 22 * noise(71, p.x / 1900, p.y / 1900) + 8 * noise(72, p.x / 600, p.y / 600);
}

// Quarters as squares of a chequered town: dense in the middle, gardens outside.
std::vector<District> quarters(const CitySpec& spec, int perSide) {
    Random random(spec.seed * 31 + 7);
    std::vector<District> out;
    for (int y = 0; y < perSide; ++y)
        for (int x = 0; x < perSide; ++x) {
            const double dx = (x + 0.5) / perSide - 0.5, dy = (y + 0.5) / perSide - 0.5;
            const double far = std::sqrt(dx * dx + dy * dy) + random.between(-0.1, 0.1);
            const double turn = rounded(random.between(-40, 40), 1);
            if (far < 0.10)
                out.push_back({"Core", Style::oldTown, false, 0, 70, 52, 8, 5, 3, 5});
            else if (far < 0.24)
                out.push_back({"Ring", Style::grid, true, turn, 100, 70, 16, 10, 4, 7});
            else if (far < 0.30 || random.chance(0.08))
                out.push_back({"Slabs", Style::slabs, true, turn, 200, 150, 18, 10, 7, 13});
            else if (random.chance(0.07))
                out.push_back({"Works", Style::industry, true, turn, 150, 100, 16, 9, 1, 3});
            else if (far < 0.46)
                out.push_back({"Rows", Style::terraces, random.chance(0.7), turn, 120, 54, 12, 7, 2, 3});
            else
                out.push_back({"Gardens", Style::suburb, random.chance(0.5), turn, 120, 60, 11, 6, 1, 2});
        }
    return out;
}

// Main streets between the quarters, and every quarter's own.
Layout layOutAll(const CitySpec& spec, const std::vector<District>& districts, int perSide) {
    Layout all;
    const double side = spec.sideM / perSide;
    for (int y = 0; y < perSide; ++y)
        for (int x = 0; x < perSide; ++x) {
            const auto index = static_cast<std::size_t>(y * perSide + x);
            const double x0 = x * side + 11, y0 = y * side + 11, x1 = (x + 1) * side - 11,
                         y1 = (y + 1) * side - 11;
            Layout one =
                layOut({{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, {}, {districts[index]}, spec.seed + index);
            for (BoardStreet& s : one.streets) {
                s.district = static_cast<int>(index);
                all.streets.push_back(std::move(s));
            }
            for (Block& b : one.blocks) {
                b.district = static_cast<int>(index);
                all.blocks.push_back(std::move(b));
            }
        }
    for (int k = 1; k < perSide; ++k) {
        all.streets.push_back({"", {0, k * side}, {spec.sideM, k * side}, 22, 14, 0, 0});
        all.streets.push_back({"", {k * side, 0}, {k * side, spec.sideM}, 22, 14, 0, 0});
    }
    return all;
}

// From the middle outwards, ever more patchily: the core is built up, the rim has fields between its
// quarters.
std::vector<Block> outwards(std::vector<Block> blocks, const CitySpec& spec) {
    Random random(spec.seed + 1);
    const PlanePoint middle{spec.sideM / 2, spec.sideM / 2};
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t i = 0; i < blocks.size(); ++i)
        order.emplace_back(
            planeDistance(centroidOf({blocks[i].area, {}}), middle) + random.between(0, 0.3) * spec.sideM, i);
    std::sort(order.begin(), order.end());
    std::vector<Block> out;
    for (const auto& [far, i] : order) out.push_back(std::move(blocks[i]));
    return out;
}

void addSites(Build& b, const CitySpec& spec) {
    const int perSide = static_cast<int>(std::ceil(std::sqrt(static_cast<double>(spec.sites))));
    const double side = spec.sideM / perSide;
    Random random(spec.seed * 17 + 3);
    std::vector<SiteSpec> sites;
    for (int y = 0; y < perSide; ++y)
        for (int x = 0; x < perSide && sites.size() < spec.sites; ++x) {
            SiteSpec s{"Site",
                       {(x + random.between(0.3, 0.7)) * side, (y + random.between(0.3, 0.7)) * side},
                       0,
                       {}};
            const double turn = rounded(random.between(0, 120), 1);
            for (int k = 0; k < 3; ++k) {
                const bool full = random.chance(0.08);
                s.sectors.push_back({turn + 120 * k,
                                     full ? random.between(0.79, 0.86) : random.between(0.2, 0.6),
                                     random.between(0.1, 0.4), 0});
            }
            sites.push_back(std::move(s));
        }
    addMacros(b, sites, spec.seed + 5);
}

void addMounts(Build& b, const CitySpec& spec, ItemId variant) {
    const std::vector<PlanePoint> noTrees;
    const SpotFinder finder(b, noTrees, {});
    Random random(spec.seed * 13 + 11);
    for (int tries = 0; b.plan.mounts.size() < spec.mounts && tries < 200000; ++tries) {
        const double reach = spec.sideM * 0.33;
        const PlanePoint centre{spec.sideM / 2, spec.sideM / 2};
        const PlanePoint p =
            centre + directionDeg(random.between(0, 360)) * (reach * std::sqrt(random.unit()));
        const auto spot = random.chance(0.75) ? finder.pole(p, random) : finder.wall(p, random);
        if (!spot) continue;
        Mount m;
        m.id = b.next();
        m.name = "M-" + std::to_string(b.plan.mounts.size() + 1);
        m.kind = spot->kind;
        m.at = b.plane(spot->at);
        m.height = {spot->heightM};
        if (spot->faces) m.faces = b.azimuthOf(*spot->faces);
        m.linesSurveyed = true;
        b.plan.mounts.put(m);
        if (b.plan.radios.size() >= spec.chosen ||
            (b.plan.mounts.size() - 1) % (spec.mounts / std::max<std::size_t>(1, spec.chosen)) != 0)
            continue;
        Radio r;
        r.id = b.next();
        r.mount = m.id;
        r.name = m.name + "a";
        r.azimuth = m.faces.value_or(TrueAzimuth::of(random.below(360)));
        b.plan.radios.put(r);
        SmallCell s;
        s.id = b.next();
        s.radio = r.id;
        s.variant = variant;
        s.name = r.name + "-L18";
        s.carrier = lowBandCarrier();
        s.pci = static_cast<std::int32_t>(r.id.v % 504);
        b.plan.smallCells.put(s);
    }
}

} // namespace

std::shared_ptr<const Terrain> cityTerrain(const CitySpec& spec) {
    if (!spec.hilly) return std::make_shared<const Terrain>();
    constexpr double kCellM = 20;
    const int n = static_cast<int>(spec.sideM / kCellM) + 50;
    Grid<float> grid(kCityOrigin.x - 25 * kCellM, kCityOrigin.y - 25 * kCellM, kCellM, n, n);
    for (int row = 0; row < n; ++row)
        for (int col = 0; col < n; ++col)
            grid.at(col, row) =
                static_cast<float>(rounded(heightAt(spec, grid.centre(col, row) - kCityOrigin), 0.25));
    return std::make_shared<const Terrain>(Terrain{std::move(grid), 0});
}

Plan makeCity(const CitySpec& spec) {
    const int perSide = std::max(1, static_cast<int>(spec.sideM / 500));
    Country country{[](PlanePoint) { return 1e6; }, [&](PlanePoint p) { return heightAt(spec, p); },
                    [](PlanePoint, Style) { return 1.0; },
                    Box{kMargin, kMargin, spec.sideM - kMargin, spec.sideM - kMargin}};
    Fabric fabric(std::move(country), quarters(spec, perSide), spec.seed);
    const Layout layout = layOutAll(spec, fabric.districts(), perSide);
    fabric.addStreets(layout, streetNames(spec.seed));
    fabric.buildUpTo(outwards(layout.blocks, spec), spec.buildings);

    Build b{fabric, kCityOrigin, cityTerrain(spec), {}, {}, 0};
    const ItemId variant = b.next();
    b.plan.variants.put({variant, "A"});
    addSites(b, spec);
    addMounts(b, spec, variant);
    addStreets(b);
    addScenery(b, {});
    PlanSettings s;
    s.name = "Bench city";
    s.operatorName = "Merrow Mobile";
    s.uid = "00000000-0000-4000-8000-000000000001";
    s.date = {2026, 6, 1};
    s.epsg = 32627;
    s.workArea = {kCityOrigin.x, kCityOrigin.y, kCityOrigin.x + spec.sideM, kCityOrigin.y + spec.sideM};
    s.activeVariant = variant;
    b.plan.settings = std::make_shared<const PlanSettings>(s);
    return std::move(b.plan);
}

} // namespace fw::town
