// SPDX-License-Identifier: GPL-3.0-or-later
// Candidates for small cells, by name.
#include "intake/taker.h"
#include "plan/enum_names.h"
#include "radio/carrier.h"
#include "radio/cut_checks.h"

#include <cmath>
#include <fmt/format.h>
#include <map>

namespace fw {

namespace {

using Weight = IntakeRemark::Weight;

class MountTaker : public Taker {
public:
    MountTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : Taker(plan, frame, request, rows) {
        for (const Mount& m : plan.mounts) m_there.emplace(m.name, m);
    }

    void take(RowReader& row, SourceShape shape) override {
        const auto at = pointOf(row, shape);
        if (!at) return;
        std::string name = row.text(m_name);
        if (name.empty()) name = fmt::format("M-{}", row.row().number);
        Mount mount;
        const auto there = m_there.find(name);
        if (there != m_there.end()) mount = there->second;
        mount.name = name;
        mount.at = *at;
        readMount(row, mount);
        std::optional<Radio> radio;
        SmallCell cell;
        if (!row.refused()) readSmallCell(row, mount, radio, cell);
        if (row.refused() || !stands(row, mount)) return;
        const auto [first, fresh] = m_rowOf.try_emplace(name, row.row().number);
        if (!fresh) {
            refuseTwice(row, fmt::format("names \"{}\" as row {} does", name, first->second));
            return;
        }
        if (mount.id) {
            if (!(mount == there->second)) {
                ++m_changed;
                m_changes.emplace_back(Put{mount});
            }
            return; // radios of a mount that is there are the planner's
        }
        mount.id = freshId();
        ++m_added;
        m_changes.emplace_back(Put{mount});
        if (radio) keepSmallCell(mount, *radio, cell);
    }

    void finish(IntakePreview& preview) override {
        preview.counts = {
            {Kind::mount, m_added, m_changed}, {Kind::radio, m_radios, 0}, {Kind::smallCell, m_radios, 0}};
        for (Change& c : m_changes) preview.edit.changes.push_back(std::move(c));
        if (m_noHeight > 0)
            preview.remarks.push_back(
                {Weight::look, fmt::format("{} mounts have no height; they get 7 m.", m_noHeight), {}});
        if (m_noFace > 0)
            preview.remarks.push_back(
                {Weight::look,
                 fmt::format("{} walls or parapets do not say which way they face; have that surveyed.",
                             m_noFace),
                 {}});
    }

private:
    void readMount(RowReader& row, Mount& m) {
        if (const auto kind = row.choice<MountKind>(m_kind)) m.kind = *kind;
        if (const auto h = row.number(m_height, 0.1, 500))
            m.height = {*h};
        else if (!m.id && !row.refused())
            ++m_noHeight;
        if (const auto faces = row.number(m_faces, -360, 720)) m.faces = TrueAzimuth::of(*faces);
        if ((m.kind == MountKind::wall || m.kind == MountKind::parapet) && !m.faces) ++m_noFace;
        if (const auto tilts = row.list(m_tilts); !tilts.empty()) m.tiltsDeg = tilts;
        if (const auto consent = row.choice<ConsentState>(m_consent)) m.consent = *consent;
        if (const auto v = row.number(m_lineClearance, 0, 1e5)) m.lineKnownClearanceM = v;
        if (const auto v = row.number(m_fibre, 0, 1e6)) m.fibreM = v;
        if (const auto v = row.number(m_power, 0, 1e6)) m.powerM = v;
        if (const auto v = row.yes(m_earth)) m.earthPossible = *v;
        if (row.holds(m_owner)) m.owner = row.text(m_owner);
        if (row.holds(m_access)) m.access = row.text(m_access);
    }

    // Azimuth and channel together make a candidate of it.
    void readSmallCell(RowReader& row, const Mount& mount, std::optional<Radio>& radio, SmallCell& cell) {
        const auto azimuth = row.number(m_azimuth, -360, 720);
        const auto channel = row.whole(m_channel, 0, 3279165);
        const auto technology = row.technology(m_technology);
        const auto bandwidth = row.number(m_bandwidth, 1.4, 2000);
        const auto pci = row.whole(m_pci, 0, 1007);
        if (row.refused() || mount.id || !azimuth || !channel) return;
        Radio r;
        r.name = mount.name + "a";
        r.azimuth = TrueAzimuth::of(*azimuth);
        if (!mount.tiltsDeg.empty()) r.tiltDeg = mount.tiltsDeg[mount.tiltsDeg.size() / 3];
        cell.name = r.name + "-1";
        if (technology) cell.carrier.technology = *technology;
        cell.carrier.channel = *channel;
        if (bandwidth) cell.carrier.bandwidthMHz = *bandwidth;
        const auto timeDivision = isTimeDivision(cell.carrier.technology, *channel);
        if (timeDivision && *timeDivision) {
            cell.carrier.duplex = Duplex::tdd;
            cell.carrier.downlinkShare = 0.74;
        }
        cell.pci = pci.value_or(0);
        cell.chosen = false;
        if (stands(row, r) && stands(row, cell)) radio = r;
    }

    void keepSmallCell(const Mount& mount, Radio& radio, SmallCell& cell) {
        if (!m_variant) m_variant = m_plan.settings->activeVariant;
        if (!m_variant) {
            m_variant = freshId();
            m_changes.emplace_back(Put{Variant{m_variant, "A"}});
            PlanSettings settings = *m_plan.settings;
            settings.activeVariant = m_variant;
            m_changes.emplace_back(PutSettings{settings});
        }
        radio.id = freshId();
        radio.mount = mount.id;
        cell.id = freshId();
        cell.radio = radio.id;
        cell.variant = m_variant;
        m_changes.emplace_back(Put{radio});
        m_changes.emplace_back(Put{cell});
        ++m_radios;
    }

    int m_name = field("name"), m_kind = field("kind"), m_height = field("height_m"),
        m_faces = field("faces_deg"), m_tilts = field("tilts_deg"), m_owner = field("owner"),
        m_access = field("access"), m_consent = field("consent"), m_lineClearance = field("line_clearance_m"),
        m_fibre = field("fibre_m"), m_power = field("power_m"), m_earth = field("earth_possible"),
        m_azimuth = field("azimuth_deg"), m_technology = field("technology"), m_channel = field("channel"),
        m_bandwidth = field("bandwidth_mhz"), m_pci = field("pci");
    std::map<std::string, Mount> m_there;
    std::map<std::string, std::int64_t> m_rowOf;
    std::vector<Change> m_changes;
    ItemId m_variant;
    std::size_t m_added = 0, m_changed = 0, m_radios = 0, m_noHeight = 0, m_noFace = 0;
};

/// Angles of one antenna, row by row.
class AntennaTaker : public Taker {
public:
    using Taker::Taker;

    void take(RowReader& row, SourceShape) override {
        const std::string name = row.text(m_antenna);
        const auto plane = row.choice(m_plane, {"horizontal", "vertical", "azimuth", "elevation"});
        const auto angle = row.number(m_angle, -360, 360), loss = row.number(m_loss, -100, 300),
                   gain = row.number(m_gain, -40, 60);
        if (row.refused()) return;
        if (name.empty() || !plane || !angle || !loss) {
            row.refuse("lacks the antenna's name, the plane, the angle or the loss");
            return;
        }
        Cuts& cuts = m_cuts[name];
        auto& cut = *plane % 2 == 0 ? cuts.horizontal : cuts.vertical;
        const auto [first, fresh] = cut.try_emplace(*angle, Loss{*loss, row.row().number});
        if (!fresh) {
            refuseTwice(row, fmt::format("gives the angle of row {} once more", first->second.row));
            return;
        }
        if (!gain) return;
        if (!cuts.gainDbi) {
            cuts.gainDbi = *gain;
            cuts.gainRow = row.row().number;
        } else if (std::fabs(*gain - *cuts.gainDbi) > kSameGainDb && cuts.otherRow == 0) {
            cuts.otherGainDbi = *gain;
            cuts.otherRow = row.row().number;
        }
    }

    void finish(IntakePreview& preview) override {
        std::map<std::string, const AntennaCut*> there;
        for (const AntennaCut& a : m_plan.antennaCuts) there.emplace(a.name, &a);
        IntakeCount count{Kind::antennaCut, 0, 0};
        for (const auto& [name, cuts] : m_cuts) {
            AntennaCut cut;
            const auto old = there.find(name);
            if (old != there.end()) cut = *old->second;
            cut.name = name;
            if (cuts.gainDbi) cut.gainDbi = *cuts.gainDbi;
            fill(cuts.horizontal, cut.horizontalDeg, cut.horizontalLossDb);
            fill(cuts.vertical, cut.verticalDeg, cut.verticalLossDb);
            CutVerdict verdict = settleCuts(cut);
            if (cuts.otherRow != 0)
                verdict.refused =
                    fmt::format("row {} gives it a gain of {:g} dBi and row {} one of {:g} dBi; give "
                                "one gain in all its rows",
                                cuts.gainRow, *cuts.gainDbi, cuts.otherRow, cuts.otherGainDbi);
            if (!verdict.refused.empty()) {
                preview.remarks.push_back(
                    {Weight::look, fmt::format("\"{}\" is left out: {}.", name, verdict.refused), {}});
                continue;
            }
            sayMissing(preview, name, cut, cuts);
            if (!cuts.gainDbi) sayNoGain(preview, name, cut, old != there.end());
            if (cuts.gainDbi.value_or(0) > kMostGainDbi)
                preview.remarks.push_back(
                    {Weight::look,
                     fmt::format(
                         "\"{}\" has a gain of {:g} dBi, more than antennas of cells have, up to {:g} dBi "
                         "(common practice); see whether it is in dBi.",
                         name, *cuts.gainDbi, kMostGainDbi),
                     {}});
            for (const std::string& said : verdict.said)
                preview.remarks.push_back({Weight::look, fmt::format("\"{}\": {}.", name, said), {}});
            ++(cut.id ? count.changed : count.added);
            if (!cut.id) cut.id = freshId();
            preview.edit.changes.emplace_back(Put{std::move(cut)});
        }
        preview.counts.push_back(count);
    }

private:
    struct Loss {
        double db = 0;
        std::int64_t row = 0;
    };
    struct Cuts {
        std::map<double, Loss> horizontal, vertical;
        std::optional<double> gainDbi;
        double otherGainDbi = 0;                ///< the first that differs
        std::int64_t gainRow = 0, otherRow = 0; ///< where they stand; 0: none
    };
    static constexpr double kSameGainDb = 0.05; ///< rounding of a table
    static constexpr double kMostGainDbi = 30;  ///< of an antenna of a cell; common practice

    // What stands in for a plane that the file does not give.
    static void sayMissing(IntakePreview& preview, const std::string& name, const AntennaCut& cut,
                           const Cuts& given) {
        const auto say = [&](const char* plane, bool inFile, bool inPlan, const char* instead) {
            if (inFile) return;
            preview.remarks.push_back({Weight::look,
                                       fmt::format("\"{}\" has no {} cut: {}.", name, plane,
                                                   inPlan ? "the one that the plan has stays" : instead),
                                       {}});
        };
        say("horizontal", !given.horizontal.empty(), !cut.horizontalDeg.empty(),
            "it counts as radiating alike all round");
        say("vertical", !given.vertical.empty(), !cut.verticalDeg.empty(),
            "it counts as losing nothing upwards or downwards");
    }

    static void sayNoGain(IntakePreview& preview, const std::string& name, const AntennaCut& cut,
                          bool inPlan) {
        preview.remarks.push_back(
            {Weight::look,
             inPlan ? fmt::format("\"{}\" states no gain: the {:g} dBi that the plan has stay.", name,
                                  cut.gainDbi)
                    : fmt::format("\"{}\" states no gain and counts as 0 dBi, so that every level comes out "
                                  "too low by what it really has; give it in a column of its own, in dBi.",
                                  name),
             {}});
    }

    static void fill(const std::map<double, Loss>& cut, std::vector<double>& deg, std::vector<double>& db) {
        if (cut.empty()) return;
        deg.clear();
        db.clear();
        for (const auto& [angle, loss] : cut) {
            deg.push_back(angle);
            db.push_back(loss.db);
        }
    }

    int m_antenna = field("antenna"), m_plane = field("plane"), m_angle = field("angle_deg"),
        m_loss = field("loss_db"), m_gain = field("gain_dbi");
    std::map<std::string, Cuts> m_cuts;
};

} // namespace

TakerPtr mountTaker(const Plan& p, const Frame& f, const IntakeRequest& q, const RowReader& r) {
    return std::make_unique<MountTaker>(p, f, q, r);
}
TakerPtr antennaTaker(const Plan& p, const Frame& f, const IntakeRequest& q, const RowReader& r) {
    return std::make_unique<AntennaTaker>(p, f, q, r);
}

} // namespace fw
