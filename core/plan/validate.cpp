// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/validate.h"

#include "plan/checker.h"
#include "plan/enum_names.h"
#include "plan/fields.h"
#include "plan/tables.h"

#include <fmt/format.h>

namespace fw {

namespace {

constexpr double kWidestFootprintM = 1e4;

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

void checkIdentity(Checker& c, const CellIdentity& id, Technology technology) {
    const bool lte = technology == Technology::lte;
    // TS 36.211 5.7.2 and TS 38.211 6.3.3.1: 838 logical root sequences of length 839.
    c.range("root sequence", id.rootSequence, 0, 837);
    // TS 23.003 19.4.2.3 and 28.6: 16 and 24 bits. TS 36.413 9.2.1.38 and TS 38.413 9.3.1.7: 28 and 36.
    c.range("tracking area", id.trackingArea, 0, lte ? 65535 : 16777215);
    c.range("cell identity", id.cell, 0, lte ? 268435455 : 68719476735);
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
    checkIdentity(c, cell.identity, cell.carrier.technology);
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
    checkIdentity(c, s.identity, s.carrier.technology);
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

template <class T>
Status validateOne(const T& v) {
    Checker c;
    if constexpr (requires { v.name; }) {
        c.text("name", v.name);
        if (!c.good()) // a broken name cannot stand in the sentence
            return c.error(fmt::format("{} {}", nameOf(kindOfType<T>()), v.id.v));
    }
    if (!v.id || v.id.v > kHighestId)
        c.fail(fmt::format("the number {} cannot name an item; it must lie between 1 and {}", v.id.v,
                           kHighestId));
    forEachField(v, [&](const char* field, const auto& value) {
        if constexpr (std::is_enum_v<std::remove_cvref_t<decltype(value)>>)
            if (!isKnown(value)) c.fail(fmt::format("the {} is none of the known ones", field));
    });
    check(c, v);
    if (c.good()) return Done{};
    return c.error(labelOf(Item{v}));
}

} // namespace

Status validate(const Item& item) {
    return std::visit([](const auto& v) { return validateOne(v); }, item);
}

Status validate(const Building& building) { return validateOne(building); }

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
