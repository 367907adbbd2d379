// SPDX-License-Identifier: GPL-3.0-or-later
// Fields of what is built: mounts, radios, small cells, works.
#include "delivery/support.h"
#include "models/field_makers.h"
#include "text/figures.h"

namespace fw::field_making {

namespace {

QStringList mountKinds() {
    QStringList out;
    for (const auto k : {MountKind::pole, MountKind::wall, MountKind::parapet, MountKind::roof})
        out << coreText(wordFor(k));
    return out;
}
QStringList consentStates() {
    QStringList out;
    for (const auto s :
         {ConsentState::unknown, ConsentState::asked, ConsentState::given, ConsentState::refused})
        out << coreText(wordFor(s));
    return out;
}

} // namespace

std::vector<ItemField> mountFields() {
    using M = Mount;
    std::vector<ItemField> f;
    f.push_back(text<M>(
        "name", FieldText::tr("Name"), FieldText::tr("What people call the mount."),
        [](M & m) -> auto& { return m.name; }));
    f.push_back(choice<M>(
        "kind", FieldText::tr("Kind"), mountKinds(), FieldText::tr("What the radio is fixed to."),
        [](M & m) -> auto& { return m.kind; }));
    addPlace<M>(f);
    f.push_back(number<M>(
        "height_m", FieldText::tr("Height"), kM, 1, {0, 500},
        FieldText::tr("Radiation centre above the lowest ground within 10 m ahead of the mount."),
        [](M & m) -> auto& { return m.height.m; }));
    f.push_back(number<M>(
        "faces_deg", FieldText::tr("Faces"), kDeg, 1, {0, 360},
        FieldText::tr("True azimuth straight out of the wall or parapet; empty for poles."),
        [](M & m) -> auto& { return m.faces; }));
    f.push_back(numbers<M>(
        "tilts_deg", FieldText::tr("Tilts"), kDeg, {-90, 90},
        FieldText::tr("Tilts that the bracket allows, down positive, separated by semicolons."),
        [](M & m) -> auto& { return m.tiltsDeg; }));
    f.push_back(choice<M>(
        "consent", FieldText::tr("Consent"), consentStates(),
        FieldText::tr("Whether the owner lets us use it."), [](M & m) -> auto& { return m.consent; }));
    f.push_back(text<M>(
        "owner", FieldText::tr("Owner"), FieldText::tr("Who gives the consent."),
        [](M & m) -> auto& { return m.owner; }));
    f.push_back(text<M>(
        "access", FieldText::tr("Access"), FieldText::tr("How a crew gets to it."),
        [](M & m) -> auto& { return m.access; }));
    f.push_back(number<M>(
        "fibre_m", FieldText::tr("Fibre run"), kM, 0, {0, 1e6},
        FieldText::tr("Length to the network; empty: estimated from the plan's fibre points."),
        [](M & m) -> auto& { return m.fibreM; }));
    f.push_back(number<M>(
        "power_m", FieldText::tr("Power run"), kM, 0, {0, 1e6},
        FieldText::tr("Length to the supply; empty: estimated from the plan's power taps."),
        [](M & m) -> auto& { return m.powerM; }));
    f.push_back(yesNo<M>(
        "earth_possible", FieldText::tr("Earth rod"),
        FieldText::tr("The ground at the foot takes an earth rod."),
        [](M & m) -> auto& { return m.earthPossible; }));
    f.push_back(yesNo<M>(
        "gnss_timing", FieldText::tr("Satellite timing"),
        FieldText::tr("Clock from a satellite antenna at the mount; else over the backhaul."),
        [](M & m) -> auto& { return m.gnssTiming; }));
    f.push_back(number<M>(
        "line_clearance_m", FieldText::tr("Nearest line"), kM, 1, {0, 1e5},
        FieldText::tr("Surveyed distance to the nearest overhead line; empty: not surveyed."),
        [](M & m) -> auto& { return m.lineKnownClearanceM; }));
    f.push_back(yesNo<M>(
        "lines_surveyed", FieldText::tr("Lines surveyed"),
        FieldText::tr("All overhead lines near the mount are in the plan."),
        [](M & m) -> auto& { return m.linesSurveyed; }));
    return f;
}

std::vector<ItemField> radioFields() {
    using R = Radio;
    std::vector<ItemField> f;
    f.push_back(text<R>(
        "name", FieldText::tr("Name"), FieldText::tr("What people call the radio."),
        [](R & r) -> auto& { return r.name; }));
    f.push_back(number<R>(
        "azimuth_deg", FieldText::tr("Azimuth, true"), kDeg, 1, {0, 360},
        FieldText::tr("Direction of the beam, clockwise from true north."),
        [](R & r) -> auto& { return r.azimuth; }));
    f.push_back(number<R>(
        "tilt_deg", FieldText::tr("Tilt"), kDeg, 1, {-90, 90},
        FieldText::tr("How far the beam points below the horizon; up is negative."),
        [](R & r) -> auto& { return r.tiltDeg; }));
    f.push_back(yesNo<R>(
        "aim_locked", FieldText::tr("Aim locked"),
        FieldText::tr("No search, drag or move of the mount changes azimuth and tilt."),
        [](R & r) -> auto& { return r.aimLocked; }));
    f.push_back(number<R>(
        "total_power_dbm", FieldText::tr("Power"), kDbm, 1, {-80, 80},
        FieldText::tr("All ports together, per carrier, at the antenna port."),
        [](R & r) -> auto& { return r.totalPowerDbm; }));
    f.push_back(number<R>(
        "ports", FieldText::tr("Ports"), {}, 0, {1, 256}, FieldText::tr("Antenna ports."),
        [](R & r) -> auto& { return r.ports; }));
    f.push_back(number<R>(
        "gain_dbi", FieldText::tr("Gain"), kDbi, 1, {-40, 60},
        FieldText::tr("Of the antenna at its best, where it has no measured cut."),
        [](R & r) -> auto& { return r.gainDbi; }));
    f.push_back(number<R>(
        "h_beam_deg", FieldText::tr("Beam across"), kDeg, 1, {1, 360},
        FieldText::tr("Half-power beamwidth in the horizontal plane."),
        [](R & r) -> auto& { return r.hBeamDeg; }));
    f.push_back(number<R>(
        "v_beam_deg", FieldText::tr("Beam upright"), kDeg, 1, {1, 360},
        FieldText::tr("Half-power beamwidth in the vertical plane."),
        [](R & r) -> auto& { return r.vBeamDeg; }));
    return f;
}

namespace {

// Macro cells and small cells have the same carriers.
template <class T>
void addCarrier(std::vector<ItemField>& f) {
    f.push_back(choice<T>(
        "technology", FieldText::tr("Technology"), {QStringLiteral("LTE"), QStringLiteral("NR")},
        FieldText::tr("Radio technology of the carrier."),
        [](T & t) -> auto& { return t.carrier.technology; }));
    f.push_back(number<T>(
        "channel", FieldText::tr("Channel"), {}, 0, {},
        FieldText::tr("Downlink channel number: EARFCN for LTE, NR-ARFCN for NR."),
        [](T & t) -> auto& { return t.carrier.channel; }));
    f.push_back(number<T>(
        "bandwidth_mhz", FieldText::tr("Bandwidth"), kMhz, 1, {}, FieldText::tr("Width of the carrier."),
        [](T & t) -> auto& { return t.carrier.bandwidthMHz; }));
    f.push_back(choice<T>(
        "duplex", FieldText::tr("Duplex"), {QStringLiteral("FDD"), QStringLiteral("TDD")},
        FieldText::tr("How the two directions share the carrier."),
        [](T & t) -> auto& { return t.carrier.duplex; }));
    f.push_back(number<T>(
        "downlink_share", FieldText::tr("Downlink share"), kPercent, 0, {1, 100},
        FieldText::tr("Of time; 100 % with FDD, about 74 % with TDD."),
        [](T & t) -> auto& { return t.carrier.downlinkShare; }, 100));
    f.push_back(number<T>(
        "scs_khz", FieldText::tr("Subcarriers"), kKhz, 0, {15, 960},
        FieldText::tr("Subcarrier spacing; LTE knows only 15 kHz."),
        [](T & t) -> auto& { return t.carrier.scsKHz; }));
}

template <class T>
void addIdentity(std::vector<ItemField>& f) {
    f.push_back(number<T>(
        "pci", FieldText::tr("PCI"), {}, 0, {0, 1007},
        FieldText::tr("Physical cell identity; LTE ends at 503."), [](T & t) -> auto& { return t.pci; }));
    f.push_back(number<T>(
        "root_sequence", FieldText::tr("Root sequence"), {}, 0, {0, 837},
        FieldText::tr("The first logical one of its random access; empty: not known."),
        [](T & t) -> auto& { return t.identity.rootSequence; }));
    f.push_back(number<T>(
        "tracking_area", FieldText::tr("Tracking area"), {}, 0, {0, 16777215},
        FieldText::tr("Its code; LTE ends at 65535. Empty: not known."),
        [](T & t) -> auto& { return t.identity.trackingArea; }));
    f.push_back(number<T>(
        "cell_identity", FieldText::tr("Cell identity"), {}, 0, {0, 68719476735},
        FieldText::tr(
            "ECI or NCI, the base station's number included; LTE ends at 268435455. Empty: not known."),
        [](T & t) -> auto& { return t.identity.cell; }));
}

} // namespace

std::vector<ItemField> smallCellFields() {
    using S = SmallCell;
    std::vector<ItemField> f;
    f.push_back(text<S>(
        "name", FieldText::tr("Name"), FieldText::tr("What people call the small cell."),
        [](S & s) -> auto& { return s.name; }));
    f.push_back(yesNo<S>(
        "chosen", FieldText::tr("Chosen"),
        FieldText::tr("Takes load in this variant; a candidate is reviewed alone."),
        [](S & s) -> auto& { return s.chosen; }));
    addCarrier<S>(f);
    f.push_back(number<S>(
        "bias_db", FieldText::tr("Bias"), kDb, 1, {-30, 30},
        FieldText::tr("Added to its level in the phone's comparison, to draw more users."),
        [](S & s) -> auto& { return s.biasDb; }));
    addIdentity<S>(f);
    return f;
}

std::vector<ItemField> cellFields() {
    using C = Cell;
    std::vector<ItemField> f;
    f.push_back(text<C>(
        "name", FieldText::tr("Name"), FieldText::tr("What people call the cell."),
        [](C & c) -> auto& { return c.name; }));
    f.push_back(number<C>(
        "dl_prb_use", FieldText::tr("PRB use, down"), kPercent, 1, {0, 100},
        FieldText::tr("Downlink, mean of the daily busy hours; empty: not measured."),
        [](C & c) -> auto& { return c.load.dlPrbUse; }, 100));
    f.push_back(number<C>(
        "ul_prb_use", FieldText::tr("PRB use, up"), kPercent, 1, {0, 100},
        FieldText::tr("Uplink, mean of the daily busy hours; empty: not measured."),
        [](C & c) -> auto& { return c.load.ulPrbUse; }, 100));
    f.push_back(number<C>(
        "users", FieldText::tr("Users"), {}, 1, {0, 1e6},
        FieldText::tr("Mean active users in the busy hour; empty: not measured."),
        [](C & c) -> auto& { return c.load.users; }));
    f.push_back(number<C>(
        "user_throughput_mbps", FieldText::tr("Throughput"), QStringLiteral("Mbit/s"), 1, {0, 1e6},
        FieldText::tr("Mean per user in the busy hour; empty: not measured."),
        [](C & c) -> auto& { return c.load.userThroughputMbps; }));
    f.push_back(text<C>(
        "load_date", FieldText::tr("Measured until"), FieldText::tr("Last day counted, as year-month-day."),
        [](C & c) -> auto& { return c.load.date; }));
    addCarrier<C>(f);
    f.push_back(number<C>(
        "reference_power_dbm", FieldText::tr("Reference power"), kDbm, 1, {-80, 80},
        FieldText::tr("Per resource element and port; empty: from the total power."),
        [](C & c) -> auto& { return c.referencePowerDbm; }));
    f.push_back(number<C>(
        "total_power_dbm", FieldText::tr("Total power"), kDbm, 1, {-80, 80},
        FieldText::tr("All ports together; used where the reference power is unknown."),
        [](C & c) -> auto& { return c.totalPowerDbm; }));
    f.push_back(number<C>(
        "ports", FieldText::tr("Ports"), {}, 0, {1, 256}, FieldText::tr("Antenna ports."),
        [](C & c) -> auto& { return c.ports; }));
    addIdentity<C>(f);
    f.push_back(number<C>(
        "offset_db", FieldText::tr("Level offset"), kDb, 1, {-60, 60},
        FieldText::tr("Calibration, added to the predicted level."),
        [](C & c) -> auto& { return c.offsetDb; }));
    return f;
}

std::vector<ItemField> siteWorksFields() {
    using W = SiteWorks;
    std::vector<ItemField> f;
    f.push_back(text<W>(
        "cabinet", FieldText::tr("Cabinet"), FieldText::tr("Housing for supply and backhaul."),
        [](W & w) -> auto& { return w.cabinet; }));
    f.push_back(text<W>(
        "pole", FieldText::tr("Pole"), FieldText::tr("Pole to be set or made stronger."),
        [](W & w) -> auto& { return w.pole; }));
    f.push_back(text<W>(
        "earth_pit", FieldText::tr("Earth pit"), FieldText::tr("Electrode and its pit."),
        [](W & w) -> auto& { return w.earthPit; }));
    f.push_back(text<W>(
        "camouflage", FieldText::tr("Appearance"), FieldText::tr("How it is made to blend in."),
        [](W & w) -> auto& { return w.camouflage; }));
    f.push_back(text<W>(
        "remark", FieldText::tr("Remark"), FieldText::tr("Anything else the crew must know."),
        [](W & w) -> auto& { return w.remark; }));
    return f;
}

} // namespace fw::field_making
