// SPDX-License-Identifier: GPL-3.0-or-later
#include "gui/pack_demo.h"

#include "base/random.h"
#include "delivery/place_text.h"
#include "geo/frame.h"

#include <algorithm>
#include <cmath>
#include <map>

using namespace fw;

namespace fwtest {

namespace {

constexpr double kE0 = 553000, kN0 = 4083000, kTurnDeg = 14;
constexpr double kConvergence = 0.36, kScale = 0.99964, kDeclination = -6.3;

PlanePoint turned(double u, double v) {
    const double a = radians(kTurnDeg);
    return {kE0 + u * std::cos(a) - v * std::sin(a), kN0 + u * std::sin(a) + v * std::cos(a)};
}

// A rough inverse for the demo alone: good to some metres.
GeoPoint roughGeo(PlanePoint p) { return {36.89 + (p.y - kN0) / 111000.0, -20.405 + (p.x - kE0) / 89000.0}; }

struct Town {
    std::vector<MapBlock> blocks;
    std::vector<MapWay> ways;
    std::map<std::uint32_t, SightSolid> solids;
};

void addBlock(Town& t, Random& random, double u, double v, double w, double h) {
    const auto id = ItemId{static_cast<std::uint32_t>(1000 + t.blocks.size())};
    Polygon p{{turned(u, v), turned(u + w, v), turned(u + w, v + h), turned(u, v + h)}, {}};
    if (random.chance(0.4))
        p.outer = {turned(u, v),
                   turned(u + w, v),
                   turned(u + w, v + h * 0.6),
                   turned(u + w * 0.55, v + h * 0.6),
                   turned(u + w * 0.55, v + h),
                   turned(u, v + h)};
    const bool tall = random.chance(0.08);
    const int storeys = tall ? 6 + static_cast<int>(random.below(4)) : 1 + static_cast<int>(random.below(4));
    const double height = 3.1 * storeys + 0.6;
    static const char* kNames[] = {"Harbour Mill", "St Brannoc's Hall", "Customs House", "Ropewalk Court",
                                   "Merrow Baths"};
    std::string name;
    const std::size_t n = t.blocks.size();
    if (n % 29 == 7 && n / 29 < 5) name = kNames[n / 29];
    t.blocks.push_back({p, height, id});
    t.solids[id.v] = {p, height, storeys, name};
}

Town makeTown() {
    Town t;
    Random random(7);
    static const char* kStreets[] = {"Quay Street",  "Chandler Row",   "Lantern Hill", "Ropewalk",
                                     "Saltpan Lane", "Netmakers' Way", "Beacon Road"};
    int name = 0;
    for (int i = -5; i <= 5; ++i) {
        t.ways.push_back(
            {{turned(i * 96 - 6, -560), turned(i * 96 - 6, 560)}, 9, i % 2 == 0 ? kStreets[name++ % 7] : ""});
        t.ways.push_back(
            {{turned(-560, i * 82 - 5), turned(560, i * 82 - 5)}, 8, i % 2 != 0 ? kStreets[name++ % 7] : ""});
    }
    for (int i = -5; i < 5; ++i)
        for (int j = -5; j < 5; ++j) {
            if (random.chance(0.06)) continue; // an open square
            for (int k = 0; k < 4; ++k) {
                const double u = i * 96 + 4 + (k % 2) * 43, v = j * 82 + 4 + (k / 2) * 36;
                if (random.chance(0.1)) continue;
                addBlock(t, random, u + random.between(0, 4), v + random.between(0, 3),
                         random.between(22, 38), random.between(18, 31));
            }
        }
    return t;
}

Skyline lookRound(const Town& t, PlanePoint at, double heightM, ItemId own) {
    Skyline sky;
    for (int k = 0; k < Skyline::kBearings; ++k) {
        auto& b = sky.bearing[static_cast<std::size_t>(k)];
        b.elevationDeg = -2;
        b.distanceM = 400;
        const double a = radians(k * 0.5);
        const PlanePoint end = at + PlanePoint{std::sin(a), std::cos(a)} * 500;
        for (const MapBlock& block : t.blocks)
            for (const auto& span : crossings(block.footprint, at, end)) {
                const double d = span.from * 500;
                if (d < 0.5 && block.id != own) continue;
                const double e = degrees(std::atan2(block.heightM - heightM, std::max(d, 0.5)));
                if (block.heightM > heightM && d < static_cast<double>(b.solidM)) {
                    b.solidM = static_cast<float>(d);
                    b.solid = block.id;
                }
                if (e <= static_cast<double>(b.elevationDeg)) continue;
                b.elevationDeg = static_cast<float>(e);
                b.distanceM = static_cast<float>(d);
                b.cause = block.id;
            }
    }
    return sky;
}

std::string pick(DemoNames names, const char* plain, const char* nasty) {
    return names == DemoNames::plain ? plain : nasty;
}

RadioSheet radioOf(const Town& t, const SiteSheet& s, ItemId id, double azimuth, double tilt, ItemId own,
                   DemoNames names) {
    RadioSheet r;
    r.radio = id;
    r.name = pick(names, id.v % 2 != 0 ? "R-1" : "R-2",
                  "راديو الجدار الشمالي المطل على الميناء القديم 第一無線機 R-1 with a name that nobody "
                  "would type twice but somebody did");
    r.azimuth = TrueAzimuth::of(azimuth);
    r.grid = GridAzimuth::of(azimuth - kConvergence);
    r.azimuthTrue = wholeDegrees(azimuth);
    r.azimuthMagnetic = wholeDegrees(azimuth - kDeclination);
    r.tiltDeg = tilt;
    r.tiltWord = tiltWord(tilt);
    if (tilt > 0) r.meetsGroundM = s.heightAgl / std::tan(radians(tilt));
    r.powerDbm = 37;
    r.powerW = wattsOf(37);
    r.ports = 2;
    r.gainDbi = 8;
    r.hBeamDeg = 65;
    r.vBeamDeg = 30;
    r.antenna = pick(names, "panel, measured cuts",
                     "AntennaNameWithoutAnySpaceThatIsFarLongerThanTheColumnItMustStandIn_rev0000042");
    CellSheet c{
        {id.v + 1}, pick(names, "PM-S104-a", "خلية صغيرة تحمل اسمًا طويلًا جدًا لا ينتهي عند الحد المعقول أبدًا"),
        "LTE",      "B3",
        1300,       1815.0,
        20,         "FDD",
        214,        3,
        0,          0.46,
        14.2};
    r.cells.push_back(c);
    if (id.v % 2 == 0)
        r.cells.push_back(
            {{id.v + 2}, "PM-S104-n", "NR", "n78 or n77", 632628, 3489.42, 40, "TDD", 501, 0, 1, 0.31, 6.0});
    const SightTask task{s.plane, r.grid, kConvergence, kScale, own};
    const auto solid = [&t](ItemId i) -> std::optional<SightSolid> {
        const auto it = t.solids.find(i.v);
        return it == t.solids.end() ? std::nullopt : std::optional(it->second);
    };
    r.marks = sightMarks(*s.skyline, task, solid);
    r.boresight = boresightText(*s.skyline, task, solid);
    return r;
}

void addFindings(SiteSheet& s, DemoNames names) {
    SheetFinding warn{
        "one-way-facing",
        Severity::warn,
        Standing::open,
        "R-1 looks at S-108's antenna 96 m away and in sight, which looks elsewhere; limit 120 m.",
        {},
        {},
        {},
        "Turn to 231 deg true; fit 58 left.",
        "own judgement"};
    SheetFinding stands{"height-window",
                        Severity::note,
                        Standing::stands,
                        "Radiation centre 5.6 m above ground; window 6 to 9 m.",
                        "the owner allows nothing above the cornice",
                        "A. Tarn",
                        "2026-10-19",
                        {},
                        "common practice"};
    s.findings = {warn, stands};
    if (names == DemoNames::plain) return;
    for (int i = 0; i < 40; ++i) {
        SheetFinding f = warn;
        f.severity = i % 3 == 0 ? Severity::block : Severity::note;
        f.text =
            "الموقع يواجه محطة كبيرة على مسافة 120 مترًا، والحد هو 200 متر. " +
            std::string(i % 5 == 0 ? "Eine_sehr_lange_Kette_ohne_Leerzeichen_die_umbrochen_werden_muss_weil_"
                                     "sie_sonst_über_den_Rand_hinausläuft_und_niemand_sie_mehr_lesen_kann. "
                                   : "") +
            "近接する基地局が主ビーム内にあり、見通しがある。";
        s.findings.insert(s.findings.begin(), f);
    }
    SheetFinding endless = stands;
    endless.reason.clear();
    for (int i = 0; i < 400; ++i) endless.reason += "because the council asked for it and ";
    s.findings.push_back(endless);
}

SiteSheet sheetOf(const Town& t, std::uint32_t id, PlanePoint at, MountKind kind, double height,
                  std::vector<double> azimuths, ItemId own, DemoNames names) {
    SiteSheet s;
    s.mount = {id};
    s.plane = at;
    s.geo = roughGeo(at);
    s.geoUri = geoUri(s.geo);
    s.crsName = "WGS 84 / UTM zone 27N";
    s.epsg = 32627;
    s.convergenceDeg = kConvergence;
    s.scale = kScale;
    s.kind = kind;
    s.ownBuilding = own;
    static const char* kWords[] = {"pole", "wall", "parapet", "roof"};
    s.kindWord = kWords[static_cast<int>(kind)];
    s.name = "S-" + std::to_string(id) +
             pick(names, kind == MountKind::pole ? " Lantern Hill lamp" : " Ropewalk corner",
                  " مبنى الجمارك القديم عند مدخل الميناء الشرقي — 旧税関庁舎東側外壁・第三期工事区画 — בית "
                  "המכס הישן — and then an English tail that goes on and on until nobody remembers how it "
                  "began, LlanfairpwllgwyngyllgogerychwyrndrobwllllantysiliogogogochXLlanfairpwllgwyngyll");
    s.support = kind == MountKind::pole
                    ? "pole"
                    : s.kindWord + " of " +
                          pick(names, "block, 4 storeys",
                               "旧税関庁舎東側外壁第三期工事区画旧税関庁舎東側外壁第三期工事区画旧税関庁舎東"
                               "側外壁第三期工事区画旧税関庁舎東側外壁第三期工事区画");
    s.tape = kind == MountKind::pole
                 ? "8.35 m from the north-east corner of block, 3 storeys"
                 : "3.42 m from the left corner, facing the wall from outside (wall 31.10 m long)";
    s.heightAgl = height;
    s.groundAmsl = 12.4;
    s.owner = pick(names, "Port Merrow Harbour Board",
                   "הרשות המקומית של נמל מרו והחברה הכלכלית לפיתוח החוף הצפוני בערבון מוגבל (בפירוק)");
    s.access = "gate on Quay Street, key with the harbour master, weekdays 8 to 16";
    s.consent = "asked, no answer yet";
    s.date = "2026-11-02";
    s.declinationDeg = kDeclination;
    s.declinationText = "6.3 deg west, 2026-11-02, World Magnetic Model 2025";
    s.skyline = std::make_shared<Skyline>(lookRound(t, at, height, own));
    s.things = {{SkylineThing::What::macro, "Beacon Hill", 41, 6.5, 420, true},
                {SkylineThing::What::macro, pick(names, "Fish Market", "سوق السمك المركزي الكبير 中央魚市場"),
                 193, 4.1, 610, false},
                {SkylineThing::What::small, "S-108", 268, 0.4, 96, true}};
    std::uint32_t radio = id * 10 + 1;
    for (const double a : azimuths)
        s.radios.push_back(radioOf(t, s, {radio++}, a, kind == MountKind::roof ? 6 : 3, own, names));
    s.works = {
        {"Backhaul", "F-3, 38 m straight, about 49 m by a route of 1.3 times that (assumed; survey it)"},
        {"Power", "run of 22 m, as surveyed"},
        {"Earth", "rod at the foot possible; electrode by a licensed designer"},
        {"Timing", "satellite antenna at the mount"},
        {"Overhead lines", "not surveyed: take as present"},
        {"Cabinet", pick(names, "wall cabinet 600 mm at street level, with battery",
                         "街路面の壁付けキャビネット（蓄電池付き）")}};
    addFindings(s, names);
    Mount m;
    m.kind = kind;
    m.height = {height};
    SiteWorks w;
    w.cabinet = "with battery";
    s.cautions = cautionsFor(hazardsOf(m, &w));
    s.checks = checksFor(s, true);
    s.signOff = {"Installer", "Planner", "Owner of the structure", "Customer's concurrence"};
    return s;
}

Grid<float> hills(const Box& b, double cell) {
    Grid<float> g(b.x0 - cell / 2, b.y0 - cell / 2, cell, static_cast<int>(b.width() / cell) + 2,
                  static_cast<int>(b.height() / cell) + 2);
    for (int r = 0; r < g.height; ++r)
        for (int c = 0; c < g.width; ++c) {
            const PlanePoint p = g.centre(c, r) - PlanePoint{kE0, kN0};
            const double v =
                18 + 14 * std::sin(p.x / 260.0) * std::cos(p.y / 310.0) + (p.y + p.x * 0.3) * 0.035;
            g.at(c, r) = static_cast<float>(std::max(0.0, v));
        }
    return g;
}

MapContent mapOf(const Town& t, const Box& b, double cell, const std::vector<SiteSheet>& sheets,
                 DemoNames names) {
    MapContent m;
    m.bounds = b;
    m.convergenceDeg = kConvergence;
    m.scale = kScale;
    m.crs = "WGS 84 / UTM zone 27N (EPSG:32627)";
    for (const MapBlock& block : t.blocks)
        if (boundsOf(block.footprint).meets(b)) m.blocks.push_back(block);
    for (const MapWay& w : t.ways)
        if (boundsOf(w.path).meets(b)) m.ways.push_back(w);
    m.congestion = {
        {{turned(-150, -120), turned(110, -130), turned(140, 90), turned(-40, 150), turned(-170, 60)}, {}}};
    m.masts = {{turned(330, 270), "Beacon Hill", {{20, 65}, {140, 65}, {260, 65}}},
               {turned(-380, -290),
                pick(names, "Fish Market", "سوق السمك المركزي الكبير 中央魚市場 and some more"),
                {{45, 65}, {165, 65}, {285, 33}}},
               {turned(-330, 300), "Saltpans", {{80, 65}, {200, 65}}}};
    m.masts.erase(
        std::remove_if(m.masts.begin(), m.masts.end(), [&](const MapMast& x) { return !b.contains(x.at); }),
        m.masts.end());
    for (const SiteSheet& s : sheets) {
        if (!b.contains(s.plane)) continue;
        MapPlate plate{s.mount, s.plane, s.kind, s.name, {}};
        for (const RadioSheet& r : s.radios) plate.beams.push_back({r.grid.deg, r.hBeamDeg});
        m.plates.push_back(plate);
    }
    m.ground = hills(b, cell);
    return m;
}

// The middle of a building's first wall, and the way that wall faces on the grid.
std::pair<PlanePoint, double> onWall(const MapBlock& b) {
    const PlanePoint p = b.footprint.outer[0], q = b.footprint.outer[1];
    const double faces = wrap360(gridAzimuth(p, q).deg + 90);
    const double a = radians(faces);
    return {(p + q) * 0.5 + PlanePoint{std::sin(a), std::cos(a)} * 0.4, faces};
}

// Made up: a slope from west to east, and a hill round each site after.
ChangeMap changeOf(const Box& box, const std::vector<SiteSheet>& sheets) {
    ChangeMap out;
    out.before = Grid<std::int16_t>(box.x0, box.y0, 4, static_cast<int>(std::ceil(box.width() / 4)),
                                    static_cast<int>(std::ceil(box.height() / 4)), std::int16_t{0});
    for (int row = 0; row < out.before.height; ++row)
        for (int col = 0; col < out.before.width; ++col)
            out.before.at(col, row) = static_cast<std::int16_t>(-600 + 12 * col);
    out.after = out.before;
    for (const SiteSheet& s : sheets)
        for (int row = 0; row < out.after.height; ++row)
            for (int col = 0; col < out.after.width; ++col) {
                const double away = planeDistance(out.after.centre(col, row), s.plane);
                if (away < 120)
                    out.after.at(col, row) = static_cast<std::int16_t>(2600 - 22 * away);
                else if (away < 160)
                    out.after.at(col, row) = static_cast<std::int16_t>(out.after.at(col, row) - 200);
            }
    return out;
}

} // namespace

PackContent demoPack(DemoNames names) {
    const Town t = makeTown();
    const auto nearest = [&t](PlanePoint p) {
        return *std::min_element(t.blocks.begin(), t.blocks.end(), [&](const MapBlock& a, const MapBlock& b) {
            return planeDistance(centroidOf(a.footprint), p) < planeDistance(centroidOf(b.footprint), p);
        });
    };
    PackContent out;
    const MapBlock wall = nearest(turned(-60, 20)), roof = nearest(turned(120, -60));
    const auto [wallAt, wallFaces] = onWall(wall);
    std::vector<SiteSheet> sheets;
    sheets.push_back(
        sheetOf(t, 104, wallAt, MountKind::wall, 7.2, {wallFaces + kConvergence}, wall.id, names));
    sheets.push_back(sheetOf(t, 108, turned(-5, 77), MountKind::pole, 6.5, {284, 104}, {}, names));
    sheets.push_back(
        sheetOf(t, 112, centroidOf(roof.footprint), MountKind::roof, roof.heightM + 2, {12}, roof.id, names));

    Overview& o = out.overview;
    o.planName =
        pick(names, "Old Harbour relief",
             "إغاثة الخلايا المزدحمة حول الميناء القديم في بورت ميرو — 旧港地区混雑緩和計画 第三次改訂版 — "
             "and an English remark in the name that should have been a comment: please do not print before "
             "the owner has signed, see the letter of the second of November");
    o.operatorName = pick(names, "Merrow Mobile",
                          "شركة ميرو للاتصالات المتنقلة 梅羅移動通信 Merrow Mobile (Holdings) of Port Merrow "
                          "and the Outer Isles, in trust");
    o.author = "A. Tarn";
    o.variant = "three cells";
    o.date = "2026-11-02";
    o.issue = {"2", "2026-11-05"};
    o.crsName = "WGS 84 / UTM zone 27N";
    o.epsg = 32627;
    o.ledgerWord = "settled";
    o.cells = {{{1}, "PM07-2 B3", 0.88, 0.57, 0.60, 0.01, true, 14.3},
               {{2}, "PM03-1 B3", 0.81, 0.59, 0.60, 0.0, true, 12.1},
               {{3},
                pick(names, "PM07-3 B20", "خلية مزدحمة باسم طويل جدًا لا يتسع له العمود"),
                0.76,
                0.66,
                0.60,
                0.02,
                true,
                std::nullopt},
               {{4}, "PM11-1 B3", 0.52, 0.545, 0.60, 0.03, false, std::nullopt}};
    o.congested = 3;
    o.atTarget = 2;
    o.smallCells = 5;
    o.radios = 4;
    o.holds = "2 of 3 congested cells reach target; the first of those that do is back at the trigger after "
              "12 months of the assumed growth.";
    for (const SiteSheet& s : sheets) {
        std::string azimuths;
        for (const RadioSheet& r : s.radios)
            azimuths += (azimuths.empty() ? "" : ", ") + azimuthText(r.azimuthTrue);
        o.sites.push_back(
            {s.mount, s.name, s.kindWord, azimuths, s.heightAgl, static_cast<int>(s.radios.size()), "warn"});
        for (const SheetFinding& f : s.findings)
            (f.standing == Standing::stands ? o.stands : o.open).push_back(f);
    }
    o.otherOpen = 7;
    o.remarks = {"PM07-3 B20 was measured above 85 %: its offered load is hidden, so read its figures as "
                 "\"at least\"."};
    out.map = mapOf(t, Box{kE0 - 525, kN0 - 350, kE0 + 525, kN0 + 350}, 12, sheets, names);
    out.change = changeOf(out.map.bounds, sheets);
    for (SiteSheet& s : sheets) {
        const Box around = Box{s.plane.x, s.plane.y, s.plane.x, s.plane.y}.grown(kInsetReachM);
        MapContent map = mapOf(t, around, 10, sheets, names);
        out.sites.push_back({s, map, {}});
    }
    return out;
}

} // namespace fwtest
