// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/validate.h"

#include "plan/tables.h"

#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

constexpr double kFarM = 2e7; // no projected system reaches further from its origin
constexpr double kWidestFootprintM = 1e4;
constexpr std::size_t kLongestText = 10000;

// Length of the well-formed UTF-8 sequence at s[i], 0 when there is none (RFC 3629, 4).
std::size_t sequenceAt(const std::string& s, std::size_t i) {
    const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(s[k]); };
    const unsigned lead = byte(i);
    if (lead < 0x80) return 1;
    const std::size_t n = lead >= 0xc2 && lead < 0xe0   ? 2
                          : lead >= 0xe0 && lead < 0xf0 ? 3
                          : lead >= 0xf0 && lead < 0xf5 ? 4
                                                        : 0;
    if (n == 0 || i + n > s.size()) return 0;
    for (std::size_t k = 1; k < n; ++k)
        if ((byte(i + k) & 0xc0u) != 0x80u) return 0;
    const unsigned second = byte(i + 1);
    const bool overlong = (lead == 0xe0 && second < 0xa0) || (lead == 0xf0 && second < 0x90);
    const bool outside = (lead == 0xed && second >= 0xa0) || (lead == 0xf4 && second >= 0x90);
    return overlong || outside ? 0 : n;
}

bool isText(const std::string& s) {
    for (std::size_t i = 0; i < s.size();) {
        const std::size_t n = sequenceAt(s, i);
        if (n == 0 || s[i] == '\0') return false;
        i += n;
    }
    return true;
}

// Keeps the first fault found in one item or in the settings.
class Checker {
public:
    explicit Checker(std::string subject) : m_subject(std::move(subject)) {}

    void fail(const std::string& text) {
        if (m_fault.empty()) m_fault = text;
    }
    /// Closed range; refuses what is not finite.
    void range(const char* field, double v, double low, double high, const char* unit = "") {
        if (v >= low && v <= high) return;
        const char* gap = *unit ? " " : "";
        fail(fmt::format("the {} is {}{}{}; it must lie between {} and {}{}{}", field, v, gap, unit, low,
                         high, gap, unit));
    }
    void range(const char* field, const std::optional<double>& v, double low, double high,
               const char* unit = "") {
        if (v) range(field, *v, low, high, unit);
    }
    void range(const char* field, const std::vector<double>& values, double low, double high,
               const char* unit = "") {
        for (const double v : values) range(field, v, low, high, unit);
    }
    void azimuth(const char* field, TrueAzimuth a) {
        if (!(a.deg >= 0 && a.deg < 360))
            fail(fmt::format("the {} is {} deg; it must be at least 0 and below 360 deg", field, a.deg));
    }
    void atMost(const char* field, std::size_t n, std::size_t most) {
        if (n > most) fail(fmt::format("the {} has {} entries; at most {} are taken", field, n, most));
    }
    void text(const char* field, const std::string& s) {
        if (s.size() > kLongestText) fail(fmt::format("the {} is longer than {} bytes", field, kLongestText));
        if (!isText(s)) fail(fmt::format("the {} is not valid UTF-8 text", field));
    }
    void given(const char* field, const std::string& s) {
        if (s.find_first_not_of(" \t\n\r") == std::string::npos)
            fail(fmt::format("the {} is empty; it must be given", field));
    }
    void date(const char* field, const std::string& s) {
        if (s.empty()) return;
        if (s.size() != 10 || !Date::parse(s).ok())
            fail(fmt::format("the {} is \"{}\"; it must be a day written YYYY-MM-DD", field,
                             isText(s) ? s : "?"));
    }
    void place(const char* field, PlanePoint p) {
        range(field, p.x, -kFarM, kFarM, "m");
        range(field, p.y, -kFarM, kFarM, "m");
    }
    void line(const char* field, const Line& path) {
        if (path.size() < 2)
            fail(fmt::format("the {} has {} points; it needs at least 2", field, path.size()));
        for (const PlanePoint& p : path) place(field, p);
    }
    void ring(const char* field, const Ring& ring, bool outer) {
        if (ring.size() < 3)
            return fail(
                fmt::format("the {} has a ring of {} corners; it needs at least 3", field, ring.size()));
        for (const PlanePoint& p : ring) place(field, p);
        if (!m_fault.empty()) return;
        // Around its own first corner: far from the origin the plain sum loses the small ring in its digits.
        Ring near = ring;
        for (PlanePoint& p : near) p = p - ring.front();
        const double area = signedArea(near);
        if (area == 0) return fail(fmt::format("the {} has a ring without area", field));
        if ((area > 0) != outer)
            fail(fmt::format("the {} has {} that runs {}; outer rings run anticlockwise and holes clockwise",
                             field, outer ? "an outer ring" : "a hole",
                             outer ? "clockwise" : "anticlockwise"));
    }
    void polygon(const char* field, const Polygon& p) {
        ring(field, p.outer, true);
        for (const Ring& hole : p.holes) ring(field, hole, false);
    }

    [[nodiscard]] Status done() const {
        if (m_fault.empty()) return Done{};
        return Error{ErrorCode::badInput, m_fault + ".", m_subject};
    }

private:
    std::string m_subject, m_fault;
};

void checkAntenna(Checker& c, double gainDbi, double hBeamDeg, double vBeamDeg) {
    c.range("antenna gain", gainDbi, -40, 60, "dBi");
    c.range("horizontal beamwidth", hBeamDeg, 1, 360, "deg");
    c.range("vertical beamwidth", vBeamDeg, 1, 360, "deg");
}

void checkCarrier(Checker& c, const Carrier& carrier, std::int32_t pci) {
    const bool lte = carrier.technology == Technology::lte;
    // TS 36.101 table 5.7.3-1 and TS 38.104 table 5.4.2.1-1: the ranges of channel numbers.
    c.range("channel number", carrier.channel, 0, lte ? 262143 : 3279165);
    // TS 36.101 5.6 and TS 38.104 5.3.5.
    c.range("bandwidth", carrier.bandwidthMHz, lte ? 1.4 : 3, lte ? 20 : 2000, "MHz");
    c.range("downlink share", carrier.downlinkShare, 0.01, 1);
    c.range("subcarrier spacing", carrier.scsKHz, 15, lte ? 15 : 960, "kHz");
    // TS 36.211 6.11 and TS 38.211 7.4.2.1: 504 and 1008 physical cell identities.
    c.range("PCI", pci, 0, lte ? 503 : 1007);
}

void checkLoad(Checker& c, const CellLoad& load) {
    c.date("date of the load", load.date);
    c.range("hour of the load", load.hour, -1, 23);
    c.range("downlink PRB use", load.dlPrbUse, 0, 1);
    c.range("uplink PRB use", load.ulPrbUse, 0, 1);
    c.range("daily downlink PRB use", load.dailyDlPrbUse, 0, 1);
    c.atMost("daily downlink PRB use", load.dailyDlPrbUse.size(), 1000);
    c.range("number of users", load.users, 0, 1e6);
    c.range("user throughput", load.userThroughputMbps, 0, 1e6, "Mbit/s");
    c.range("timing-advance histogram", load.timingAdvance, 0, 1e15);
    c.atMost("timing-advance histogram", load.timingAdvance.size(), 4096);
    c.range("CQI histogram", load.cqi, 0, 1e15);
    c.atMost("CQI histogram", load.cqi.size(), 16);
}

void check(Checker& c, const MacroSite& s) { c.place("position", s.at); }

void check(Checker& c, const Sector& s) {
    c.range("height", s.height.m, 0, 500, "m");
    c.azimuth("azimuth", s.azimuth);
    c.range("mechanical tilt", s.mechanicalTiltDeg, -90, 90, "deg");
    c.range("electrical tilt", s.electricalTiltDeg, -90, 90, "deg");
    checkAntenna(c, s.gainDbi, s.hBeamDeg, s.vBeamDeg);
}

void check(Checker& c, const Cell& cell) {
    checkCarrier(c, cell.carrier, cell.pci);
    c.range("reference-signal power", cell.referencePowerDbm, -80, 80, "dBm");
    c.range("total power", cell.totalPowerDbm, -80, 80, "dBm");
    c.range("number of ports", cell.ports, 1, 256);
    c.range("level offset", cell.offsetDb, -60, 60, "dB");
    checkLoad(c, cell.load);
}

void check(Checker& c, const CongestionArea& a) {
    c.polygon("area", a.area);
    c.range("demand factor", a.demandFactor, 0, 1000);
}

void check(Checker& c, const Mount& m) {
    c.place("position", m.at);
    c.range("height", m.height.m, 0, 500, "m");
    if (m.faces) c.azimuth("outward direction", *m.faces);
    c.range("allowed tilt", m.tiltsDeg, -90, 90, "deg");
    c.atMost("list of allowed tilts", m.tiltsDeg.size(), 181);
    c.range("surveyed distance to lines", m.lineKnownClearanceM, 0, 1e5, "m");
    c.range("fibre run", m.fibreM, 0, 1e6, "m");
    c.range("power run", m.powerM, 0, 1e6, "m");
    c.text("owner", m.owner);
    c.text("access", m.access);
}

void check(Checker& c, const Radio& r) {
    c.azimuth("azimuth", r.azimuth);
    c.range("tilt", r.tiltDeg, -90, 90, "deg");
    c.range("total power", r.totalPowerDbm, -80, 80, "dBm");
    c.range("number of ports", r.ports, 1, 256);
    checkAntenna(c, r.gainDbi, r.hBeamDeg, r.vBeamDeg);
}

void check(Checker& c, const SmallCell& s) {
    checkCarrier(c, s.carrier, s.pci);
    c.range("bias", s.biasDb, -30, 30, "dB");
}

void check(Checker&, const Variant&) {}

void check(Checker& c, const OverheadLine& l) {
    c.line("path", l.path);
    c.range("lowest height", l.lowest.m, 0, 500, "m");
    c.range("voltage", l.kilovolts, 0, 2000, "kV");
}

void check(Checker& c, const Street& s) {
    c.line("path", s.path);
    c.range("width", s.widthM, 0, 500, "m");
}

void check(Checker& c, const FibrePoint& p) { c.place("position", p.at); }

void check(Checker& c, const PowerTap& p) {
    c.place("position", p.at);
    c.range("voltage", p.volts, 1, 1e6, "V");
    c.range("number of phases", p.phases, 1, 3);
}

void check(Checker& c, const SiteWorks& w) {
    c.text("cabinet", w.cabinet);
    c.text("pole", w.pole);
    c.text("earth pit", w.earthPit);
    c.text("camouflage", w.camouflage);
    c.text("remark", w.remark);
}

void check(Checker& c, const Waiver& w) {
    c.text("rule", w.rule);
    c.given("rule", w.rule);
    c.text("reason", w.reason);
    c.given("reason", w.reason);
    c.text("person", w.who);
    c.date("date", w.when);
    c.range("measured value", w.measured, -1e300, 1e300);
    c.range("limit", w.limit, -1e300, 1e300);
    c.text("unit", w.unit);
    c.atMost("list of subjects", w.subjects.size(), 64);
    for (std::size_t k = 1; k < w.subjects.size(); ++k)
        if (!(w.subjects[k - 1] < w.subjects[k]))
            c.fail("the subjects are not in ascending order, each once");
}

void checkCut(Checker& c, const char* plane, const std::vector<double>& deg,
              const std::vector<double>& lossDb) {
    if (deg.size() != lossDb.size())
        c.fail(fmt::format("the {} cut has {} angles and {} losses; it needs one loss per angle", plane,
                           deg.size(), lossDb.size()));
    c.atMost("antenna cut", deg.size(), 7200);
    c.range("angle of an antenna cut", deg, -360, 360, "deg");
    c.range("loss of an antenna cut", lossDb, -100, 300, "dB");
    for (std::size_t k = 1; k < deg.size(); ++k)
        if (!(deg[k - 1] < deg[k])) c.fail(fmt::format("the angles of the {} cut do not ascend", plane));
}

void check(Checker& c, const AntennaCut& a) {
    c.range("antenna gain", a.gainDbi, -40, 60, "dBi");
    checkCut(c, "horizontal", a.horizontalDeg, a.horizontalLossDb);
    checkCut(c, "vertical", a.verticalDeg, a.verticalLossDb);
}

void check(Checker& c, const Building& b) {
    c.polygon("footprint", b.footprint);
    const Box box = boundsOf(b.footprint);
    c.range("width of the footprint", std::max(box.width(), box.height()), 0, kWidestFootprintM, "m");
    c.range("height", b.heightM, 0, 1000, "m");
    c.range("number of storeys", b.storeys, 0, 300);
    c.range("parapet", b.parapetM, 0, 100, "m");
}

void check(Checker& c, const Tree& t) {
    c.place("position", t.at);
    c.range("crown radius", t.crownRadiusM, 0, 100, "m");
    c.range("top", t.topM, 0, 200, "m");
    c.range("lower edge of the crown", t.crownBottomM, 0, t.topM, "m");
}

} // namespace

Status validate(const Item& item) {
    return std::visit(
        [&](const auto& v) -> Status {
            Checker c(labelOf(item));
            if constexpr (requires { v.name; }) {
                c.text("name", v.name);
                if (!c.done().ok()) // a broken name cannot stand in the sentence
                    return Error{ErrorCode::badInput, c.done().error().text,
                                 fmt::format("{} {}", nameOf(kindOf(item)), v.id.v)};
            }
            if (!v.id || v.id.v > kHighestId)
                c.fail(fmt::format("the number {} cannot name an item; it must lie between 1 and {}", v.id.v,
                                   kHighestId));
            check(c, v);
            return c.done();
        },
        item);
}

namespace {

void checkModel(Checker& c, const ModelSettings& m) {
    c.range("shadowing of macros", m.macroSigmaDb, 0, 30, "dB");
    c.range("shadowing of small cells", m.smallSigmaDb, 0, 30, "dB");
    c.range("shadowing correlation", m.shadowCorrelation, 0, 1);
    c.range("noise figure", m.noiseFigureDb, 0, 40, "dB");
    c.range("level of service", m.servedFromDbm, -200, 0, "dBm");
    c.range("level of an own carrier", m.ownCarrierFromDbm, -200, 0, "dBm");
    c.range("share of devices with the own carrier", m.ownCarrierShare, 0, 1);
    c.range("indoor share", m.indoorShare, 0, 1);
    c.range("edge exponent", m.edgeExponent, 0, 2);
    c.range("fixed use", m.fixedUse, 0, 1);
    c.range("idle power of LTE with two ports", m.idleFloorLte2, 0, 1);
    c.range("idle power of LTE with four ports", m.idleFloorLte4, 0, 1);
    c.range("idle power of NR", m.idleFloorNr, 0, 1);
    c.range("cap of a small cell's use", m.smallUseCap, 0, 1);
    c.range("planned use of a small cell", m.smallUsePlanned, 0, 1);
    c.range("ceiling of the bias", m.biasCeilingDb, 0, 30, "dB");
    c.range("target use", m.targetUse, 0, 1);
    c.range("trigger use", m.triggerUse, 0, 1);
    c.range("trigger days", m.triggerDays, 1, 1000);
    c.range("trigger throughput", m.triggerThroughputMbps, 0, 1e6, "Mbit/s");
    c.range("regrowth", m.regrowth, 0, 1);
    c.range("growth a year", m.growthPerYear, -1, 10);
    c.range("reach of small cells", m.smallReachM, 10, 5000, "m");
    c.range("reach of macros", m.macroReachM, 10, 50000, "m");
    c.range("share of efficient buildings", m.efficientShare, 0, 1);
    c.range("weight of open ground", m.outdoorDensity, 0, 1e6);
}

void checkWeights(Checker& c, const FitWeights& w) {
    c.range("weight of relief", w.relief, 0, 1e6);
    c.range("weight of the fringe share", w.fringeShare, 0, 1e6);
    c.range("weight of the outlook", w.outlook, 0, 1e6);
    c.range("weight of isolation", w.isolation, 0, 1e6);
    c.range("weight of practicality", w.practicality, 0, 1e6);
    if (!(w.relief + w.fringeShare + w.outlook + w.isolation + w.practicality > 0))
        c.fail("all weights of fit are 0; at least one must be above");
}

void checkArea(Checker& c, const Box& area) {
    if (area.empty() && area == Box{}) return;
    c.place("work area", {area.x0, area.y0});
    c.place("work area", {area.x1, area.y1});
    c.range("width of the work area", area.width(), 0, 2e5, "m");
    c.range("height of the work area", area.height(), 0, 2e5, "m");
}

} // namespace

Status validate(const PlanSettings& s) {
    Checker c("settings of the plan");
    c.text("name", s.name);
    c.text("operator", s.operatorName);
    c.text("author", s.author);
    c.text("plan's own number", s.uid);
    c.date("date", s.date.iso());
    c.range("EPSG code", s.epsg, 0, 1000000);
    checkArea(c, s.workArea);
    c.text("terrain file", s.terrain.file);
    c.text("digest of the terrain", s.terrain.digest);
    c.range("height of flat ground", s.terrain.flatM, -1000, 10000, "m");
    checkModel(c, s.model);
    checkWeights(c, s.weights);
    c.text("name of the rule profile", s.profile.name);
    for (const auto& [name, limit] : s.profile.limits) {
        c.text("name of a limit", name);
        c.range("limit of a rule", limit, -1e300, 1e300);
    }
    return c.done();
}

Status checkReference(const Plan& plan, const Reference& ref, const std::string& label) {
    if (!ref.id) {
        if (!ref.required) return Done{};
        return Error{ErrorCode::badInput,
                     fmt::format("the {} is not given; it must name an item of the plan.", ref.field), label};
    }
    const auto kind = plan.kindOf(ref.id);
    if (!kind)
        return Error{ErrorCode::badInput,
                     fmt::format("the {} is item {}, which is not in the plan.", ref.field, ref.id.v), label};
    if (ref.kind && *kind != *ref.kind)
        return Error{ErrorCode::badInput,
                     fmt::format("the {} is item {}, a {}; it must be a {}.", ref.field, ref.id.v,
                                 nameOf(*kind), nameOf(*ref.kind)),
                     label};
    return Done{};
}

Reference activeVariantOf(const PlanSettings& settings) {
    return {"variant in work", settings.activeVariant, Kind::variant, false};
}

std::vector<Error> validateReferences(const Plan& plan) {
    std::vector<Error> faults;
    const auto look = [&](const Reference& ref, const auto& label) {
        const Status s = checkReference(plan, ref, {});
        if (s.ok()) return;
        faults.push_back(s.error());
        faults.back().context = label();
    };
    look(activeVariantOf(*plan.settings), [] { return std::string("settings of the plan"); });
    forEachTable(plan, [&](const auto& table) {
        using T = ItemOf<decltype(table)>;
        if constexpr (kNamesOthers<T>)
            for (const T& item : table)
                forEachReference(
                    item, [&](const Reference& ref) { look(ref, [&] { return labelOf(Item{item}); }); });
    });
    return faults;
}

} // namespace fw
