// SPDX-License-Identifier: GPL-3.0-or-later
// Macros, congestion, lines, fibre and power of Port Merrow.
#include "port_merrow_parts.h"

#include "pieces.h"
#include "port_merrow_map.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

const std::vector<SiteSpec>& portMerrowSites() {
    static const std::vector<SiteSpec> sites = {
        {"Harbour Exchange",
         {1530, 1420},
         0,
         {{30, .52, .33, .22}, {150, .81, .24, .14}, {270, .57, .38, .25}}},
        {"Ropers Loft", {1110, 1010}, 0, {{70, .82, .31, 0}, {190, .49, .22, 0}, {310, .41, .18, 0}}},
        {"Lantern House", {1290, 610}, 0, {{10, .80, .27, 0}, {130, .22, 0, 0}, {250, .44, .19, 0}}},
        {"Exchange North", {1270, 1900}, 0, {{50, .46, .29, .18}, {170, .80, .35, .21}, {290, .39, .21, 0}}},
        {"Garden Corner", {2080, 1960}, 0, {{20, .35, .17, 0}, {140, .31, .20, 0}, {260, .58, .36, .24}}},
        {"Station House", {2040, 1430}, 0, {{60, .47, .26, 0}, {180, .33, .15, 0}, {300, .59, .34, 0}}},
        {"Eastgate Towers", {2620, 1560}, 0, {{20, .55, .37, 0}, {140, .48, .30, 0}, {255, .83, .42, 0}}},
        {"Larch Court", {2960, 1990}, 0, {{80, .28, .12, 0}, {200, .51, .33, 0}, {320, .30, 0, 0}}},
        {"Quay Silo", {2380, 860}, 34, {{0, .27, .11, 0}, {110, .21, 0, 0}, {280, .24, .10, 0}}},
        {"Strand Mast", {2980, 1060}, 28, {{340, .38, .17, 0}, {170, .29, 0, 0}}},
        {"Ropewalk Works", {640, 1500}, 26, {{40, .43, .19, 0}, {160, .37, .16, 0}, {300, .26, .10, 0}}},
        {"Fishergate", {740, 930}, 24, {{40, .40, .18, 0}, {160, .31, .13, 0}, {280, .20, 0, 0}}},
        {"Westhill Mast", {640, 2030}, 25, {{20, .33, .14, 0}, {130, .41, .21, 0}, {260, .22, 0, 0}}},
        {"Priory Mast", {1760, 2480}, 27, {{0, .29, .12, 0}, {120, .38, .19, 0}, {240, .42, .20, 0}}},
        {"Fernside Mast", {1080, 2540}, 26, {{30, .25, 0, 0}, {150, .40, .18, 0}, {270, .30, .13, 0}}},
        {"Larkfield Mast", {2560, 2560}, 28, {{210, .36, .16, 0}, {20, .21, 0, 0}}}};
    return sites;
}

void addCongestionAreas(Build& b) {
    const auto area = [&](const char* name, std::initializer_list<PlanePoint> corners, double factor) {
        CongestionArea out;
        out.id = b.next();
        out.name = name;
        for (const PlanePoint& p : corners) out.area.outer.push_back(b.plane(p));
        out.demandFactor = factor;
        b.plan.congestionAreas.put(std::move(out));
    };
    area("Fish Market and old quays",
         {{1230, 760}, {1440, 740}, {1470, 960}, {1540, 1080}, {1370, 1160}, {1240, 1020}}, 1.4);
    area("Exchange Street shops", {{1190, 1600}, {1600, 1610}, {1620, 1790}, {1400, 1800}, {1180, 1770}},
         1.3);
}

namespace {

// A line over the verge of the longest street of a quarter, or of one by name, `nth` longest.
Line overStreet(const Build& b, int district, const char* name, int nth, double fromShare, double toShare) {
    std::vector<const TownStreet*> streets;
    for (const TownStreet& s : b.fabric.streets())
        if (name ? s.name == name : s.district == district) streets.push_back(&s);
    std::stable_sort(streets.begin(), streets.end(), [](const TownStreet* x, const TownStreet* y) {
        return lengthOf(x->path) > lengthOf(y->path);
    });
    if (static_cast<std::size_t>(nth) >= streets.size()) return {};
    const TownStreet& street = *streets[static_cast<std::size_t>(nth)];
    const auto n = static_cast<double>(street.path.size() - 1);
    const auto from = static_cast<std::size_t>(n * fromShare), to = static_cast<std::size_t>(n * toShare);
    Line out;
    for (std::size_t i = from; i <= to; i += 3) {
        const std::size_t k = std::min(i + 1, street.path.size() - 1);
        const PlanePoint d = unit(street.path[k] - street.path[k - 1]);
        out.push_back(street.path[i] + leftOf(d) * (street.carriageM / 2 + 1));
    }
    return out;
}

} // namespace

std::vector<Line> addOverheadLines(Build& b) {
    std::vector<Line> all;
    const auto add = [&](const char* name, const Line& path, double lowestM,
                         std::optional<double> kilovolts) {
        if (path.size() < 2) return;
        OverheadLine line{b.next(), name, {}, {lowestM}, kilovolts};
        for (const PlanePoint& p : path) line.path.push_back(b.plane(p));
        b.plan.overheadLines.put(std::move(line));
        all.push_back(path);
    };
    // Quarters by their place in the town's list: 13 Fishergate, 7 Ropewalk, 6 Westhill, 1 Fernside.
    add("Mill Hill 11 kV", overStreet(b, -1, "Mill Hill", 0, 0.05, 0.95), 7.6, 11);
    add("Upper Terrace 11 kV", overStreet(b, -1, "Upper Terrace", 0, 0.4, 1), 8.2, 11);
    add("Strand Road 11 kV", overStreet(b, -1, "Strand Road", 0, 0.1, 0.9), 7.8, 11);
    add("Fishergate low voltage 1", overStreet(b, 13, nullptr, 0, 0, 1), 6.1, 0.4);
    add("Fishergate low voltage 2", overStreet(b, 13, nullptr, 1, 0, 1), 6.0, 0.4);
    add("Fishergate low voltage 3", overStreet(b, 13, nullptr, 2, 0, 1), 6.2, 0.4);
    add("Ropewalk low voltage", overStreet(b, 7, nullptr, 1, 0.1, 0.9), 6.3, 0.4);
    add("Westhill line", overStreet(b, 6, nullptr, 0, 0, 1), 6.5, std::nullopt);
    return all;
}

void addFibreAndPower(Build& b) {
    int number = 0;
    double next = 60;
    for (const TownStreet& street : b.fabric.streets()) {
        if (street.rank != 0) continue;
        double done = 0;
        for (std::size_t i = 0; i + 1 < street.path.size(); ++i) {
            const PlanePoint a = street.path[i], d = street.path[i + 1] - a;
            for (; next < done + length(d); next += 210) {
                const PlanePoint p =
                    a + unit(d) * (next - done) + leftOf(unit(d)) * (street.carriageM / 2 + 0.8);
                b.plan.fibrePoints.put({b.next(), "F-" + std::to_string(++number), b.plane(p)});
            }
            done += length(d);
        }
        next = 60;
    }
    number = 0;
    Random random(808);
    for (const TownStreet& street : b.fabric.streets()) {
        if (street.rank > 1 || street.path.size() < 4 || !random.chance(0.5)) continue;
        const std::size_t i = 1 + random.below(static_cast<std::uint32_t>(street.path.size() - 2));
        const PlanePoint d = unit(street.path[i + 1 < street.path.size() ? i + 1 : i] - street.path[i - 1]);
        const PlanePoint p = street.path[i] + leftOf(d) * -(street.carriageM / 2 + 1.2);
        const bool three = random.chance(0.25);
        b.plan.powerTaps.put(
            {b.next(), "E-" + std::to_string(++number), b.plane(p), three ? 400.0 : 230.0, three ? 3 : 1});
    }
}

} // namespace fw::town
