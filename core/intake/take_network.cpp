// SPDX-License-Identifier: GPL-3.0-or-later
// Sites, sectors and cells, each by its name: what the plan has is brought up to date, what it lacks is made.
#include "intake/taker.h"
#include "plan/enum_names.h"
#include "radio/carrier.h"
#include "radio/root_sequence.h"
#include "review/identity_net.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <set>

namespace fw {

namespace {

using Weight = IntakeRemark::Weight;

constexpr double kSameSiteM = 50;   // rows of one site that lie farther apart are said
constexpr double kRadLast = 6.2832; // the largest azimuth in radians, rounded up

/// Items by name: those of the plan, those made, those changed.
template <class T>
class Named {
public:
    explicit Named(const Table<T>& table) {
        for (const T& item : table) m_items.emplace(item.name, Entry{item, false, false});
    }
    T* find(const std::string& name) {
        const auto at = m_items.find(name);
        return at == m_items.end() ? nullptr : &at->second.item;
    }
    T& make(const std::string& name, ItemId id) {
        Entry& e = m_items[name];
        e.item.id = id;
        e.item.name = name;
        e.fresh = true;
        return e.item;
    }
    void touch(const std::string& name) { m_items.at(name).touched = true; }
    void forget(const std::string& name) { m_items.erase(name); }
    void put(const std::string& name, const T& item) { m_items.at(name).item = item; }

    /// Fresh and changed ones, ascending by id.
    IntakeCount changes(const Table<T>& table, Kind kind, std::vector<Change>& out) const {
        std::map<ItemId, const Entry*> sorted;
        for (const auto& [name, e] : m_items) sorted.emplace(e.item.id, &e);
        IntakeCount count{kind, 0, 0};
        for (const auto& [id, e] : sorted) {
            if (!e->fresh && !e->touched) continue;
            const T* old = table.find(id);
            if (old && *old == e->item) continue;
            ++(e->fresh ? count.added : count.changed);
            out.emplace_back(Put{e->item});
        }
        return count;
    }

private:
    struct Entry {
        T item;
        bool fresh = false, touched = false;
    };
    std::map<std::string, Entry> m_items;
};

class NetworkTaker : public Taker {
public:
    NetworkTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : Taker(plan, frame, request, rows), m_sites(plan.macroSites), m_sectors(plan.sectors),
          m_cells(plan.cells) {
        for (const AntennaCut& a : plan.antennaCuts) m_antennas.emplace(a.name, a.id);
    }

    void take(RowReader& row, SourceShape shape) override {
        std::optional<PlanePoint> at;
        if (!shape.empty()) at = pointOf(row, shape);
        if (row.refused()) return;
        std::string own = row.text(m_request.kind == IntakeKind::sites     ? m_site
                                   : m_request.kind == IntakeKind::sectors ? m_sector
                                                                           : m_cell);
        if (own.empty() && at && m_request.kind == IntakeKind::sites) own = siteAt(*at);
        if (own.empty()) {
            row.refuse(fmt::format("has no name of a {}", m_request.kind == IntakeKind::sites     ? "site"
                                                          : m_request.kind == IntakeKind::sectors ? "sector"
                                                                                                  : "cell"));
            return;
        }
        const auto [first, fresh] = m_rowOf.try_emplace(own, row.row().number);
        if (!fresh) {
            refuseTwice(row, fmt::format("names \"{}\" as row {} does", own, first->second));
            return;
        }
        takeRow(row, at, own);
        if (row.refused()) m_rowOf.erase(own);
    }

    void finish(IntakePreview& preview) override {
        auto& out = preview.edit.changes;
        preview.counts = {m_sites.changes(m_plan.macroSites, Kind::macroSite, out),
                          m_sectors.changes(m_plan.sectors, Kind::sector, out),
                          m_cells.changes(m_plan.cells, Kind::cell, out)};
        say(preview.remarks);
    }

private:
    /// A row's items as they would become; written back when all of it stands.
    struct Draft {
        MacroSite site;
        Sector sector;
        Cell cell;
        bool newSite = false, newSector = false, newCell = false;
    };

    void takeRow(RowReader& row, std::optional<PlanePoint> at, const std::string& own) {
        Draft d;
        if (!draftSite(row, at, d)) return;
        if (m_request.kind != IntakeKind::sites && !draftSector(row, d)) return;
        if (m_request.kind == IntakeKind::cells && !draftCell(row, own, d)) return;
        if (!stands(row, d.site)) return;
        if (m_request.kind != IntakeKind::sites && !stands(row, d.sector)) return;
        if (m_request.kind == IntakeKind::cells && !stands(row, d.cell)) return;
        keep(d);
    }

    void keep(Draft& d) {
        if (d.newSite) d.site.id = m_sites.make(d.site.name, freshId()).id;
        m_sites.put(d.site.name, d.site);
        m_sites.touch(d.site.name);
        if (m_request.kind == IntakeKind::sites) return;
        if (d.newSector) d.sector.id = m_sectors.make(d.sector.name, freshId()).id;
        d.sector.site = d.site.id;
        m_sectors.put(d.sector.name, d.sector);
        m_sectors.touch(d.sector.name);
        if (m_request.kind != IntakeKind::cells) return;
        if (d.newCell) d.cell.id = m_cells.make(d.cell.name, freshId()).id;
        d.cell.sector = d.sector.id;
        m_cells.put(d.cell.name, d.cell);
        m_cells.touch(d.cell.name);
    }

    // The site that the row names; else that of its sector or cell in the plan; else one where the row lies.
    bool draftSite(RowReader& row, std::optional<PlanePoint> at, Draft& d) {
        std::string name = row.text(m_site);
        if (name.empty() && m_request.kind != IntakeKind::sites) name = siteOfWhatIsThere(row);
        if (name.empty() && at) name = siteAt(*at);
        if (name.empty()) {
            row.refuse(m_site, "is empty, and nothing else says at which site this is");
            return false;
        }
        if (const MacroSite* there = m_sites.find(name)) {
            d.site = *there;
            if (at && m_placed.contains(name) && distance(there->at, *at) > kSameSiteM) m_spread.insert(name);
            // Several rows of one site: the first one's place holds.
            if (at && !m_placed.contains(name)) d.site.at = *at;
        } else if (at) {
            d.site.name = name;
            d.site.at = *at;
            d.newSite = true;
        } else {
            row.refuse(m_site, "is not in the plan, and the row has no place for it");
            return false;
        }
        if (at) m_placed.insert(name);
        return true;
    }

    std::string siteOfWhatIsThere(RowReader& row) {
        const Sector* sector = m_sectors.find(row.text(m_sector));
        if (!sector)
            if (const Cell* cell = m_cells.find(row.text(m_cell))) sector = m_plan.sectors.find(cell->sector);
        if (!sector) return {};
        const MacroSite* site = m_plan.macroSites.find(sector->site);
        return site ? site->name : std::string();
    }

    std::string siteAt(PlanePoint at) {
        const auto [name, fresh] = m_siteByPlace.try_emplace(keyOf(at), std::string());
        if (fresh) name->second = fmt::format("Site {}", m_siteByPlace.size());
        return name->second;
    }

    static double distance(PlanePoint a, PlanePoint b) { return std::hypot(a.x - b.x, a.y - b.y); }

    bool draftSector(RowReader& row, Draft& d) {
        const auto azimuth = row.number(m_azimuth, -360, 720);
        if (row.refused()) return false;
        std::string name = row.text(m_sector);
        if (name.empty()) name = sectorOf(row, d, azimuth);
        if (name.empty()) return false;
        if (const Sector* there = m_sectors.find(name)) {
            d.sector = *there;
        } else {
            d.sector.name = name;
            d.newSector = true;
            if (!azimuth) {
                row.refuse(m_azimuth, "is empty, and the sector is not in the plan yet");
                return false;
            }
        }
        if (azimuth) {
            d.sector.azimuth = TrueAzimuth::of(*azimuth);
            m_azimuths.push_back(m_rows.mapped(m_azimuth).unit == "rad" ? radians(*azimuth) : *azimuth);
        }
        return readTilts(row, d.sector) && readAntenna(row, d.sector);
    }

    // Cells of one direction share a sector: carriers are not sectors of their own.
    std::string sectorOf(RowReader& row, const Draft& d, std::optional<double> azimuth) {
        if (const Cell* cell = m_cells.find(row.text(m_cell)))
            if (const Sector* sector = m_plan.sectors.find(cell->sector)) return sector->name;
        if (!azimuth) {
            row.refuse(m_azimuth, "is empty, and neither sector nor cell is in the plan");
            return {};
        }
        auto& directions = m_directions[d.site.name];
        const double deg = wrap360(*azimuth);
        for (const auto& [known, name] : directions)
            if (std::fabs(wrap180(known - deg)) < 1) return name;
        std::string name = fmt::format("{}/{}", d.site.name, directions.size() + 1);
        directions.emplace_back(deg, name);
        return name;
    }

    bool readTilts(RowReader& row, Sector& s) {
        const auto height = row.number(m_height, 0, 500), mechanical = row.number(m_mechanical, -90, 90),
                   electrical = row.number(m_electrical, -90, 90), total = row.number(m_tilt, -90, 90);
        if (row.refused()) return false;
        if (height && *height > 0) s.height = {*height};
        if (!height || *height == 0) ++m_noHeight;
        if (mechanical) s.mechanicalTiltDeg = *mechanical;
        if (electrical) s.electricalTiltDeg = *electrical;
        if (total && !electrical) {
            s.electricalTiltDeg = *total - mechanical.value_or(0);
            if (!mechanical) {
                s.mechanicalTiltDeg = 0;
                ++m_unsplit;
            }
        }
        return true;
    }

    bool readAntenna(RowReader& row, Sector& s) {
        if (const auto v = row.number(m_gain, -40, 60)) s.gainDbi = *v;
        if (const auto v = row.number(m_hBeam, 1, 360)) s.hBeamDeg = *v;
        if (const auto v = row.number(m_vBeam, 1, 360)) s.vBeamDeg = *v;
        const std::string antenna = row.text(m_antenna);
        if (antenna.empty() || row.refused()) return !row.refused();
        const auto at = m_antennas.find(antenna);
        if (at == m_antennas.end())
            m_unknownAntennas.insert(antenna);
        else
            s.antenna = at->second;
        return true;
    }

    bool draftCell(RowReader& row, const std::string& name, Draft& d) {
        if (const Cell* there = m_cells.find(name)) {
            d.cell = *there;
        } else {
            d.cell.name = name;
            d.newCell = true;
        }
        Carrier& c = d.cell.carrier;
        if (!readCarrier(row, c, d.newCell)) return false;
        if (const auto v = row.whole(m_pci, 0, 1007)) d.cell.pci = *v;
        if (const auto v = row.number(m_reference, -80, 80)) d.cell.referencePowerDbm = v;
        if (const auto v = row.number(m_total, -80, 80)) d.cell.totalPowerDbm = v;
        if (const auto v = row.whole(m_ports, 1, 256)) d.cell.ports = *v;
        if (row.refused() || !readIdentity(row, d.cell)) return false;
        if (!d.cell.referencePowerDbm && !d.cell.totalPowerDbm) {
            ++m_noPower;
            d.cell.totalPowerDbm = kUsualPowerDbm;
        }
        return true;
    }

    // Lengths of the numbers: TS 23.003 19.4.2.3 and 28.6; TS 36.413 9.2.1.38 and TS 38.413 9.3.1.7.
    bool readIdentity(RowReader& row, Cell& cell) {
        const bool lte = cell.carrier.technology == Technology::lte;
        const auto read = [&](int field, std::int64_t highest, std::optional<std::int64_t>& to) {
            const auto v = row.number(field);
            if (!v || row.refused()) return;
            if (*v < 0 || *v > static_cast<double>(highest) || *v != std::floor(*v))
                row.refuse(field, fmt::format("is no whole number from 0 to {}", highest));
            else
                to = static_cast<std::int64_t>(*v);
        };
        read(m_root, kLogicalRoots - 1, cell.identity.rootSequence);
        if (isShort(m_preambles.of(cell.carrier, 0)) && cell.identity.rootSequence >= kShortRoots)
            ++m_longRoots;
        read(m_area, lte ? 0xffff : 0xffffff, cell.identity.trackingArea);
        read(m_identity, lte ? 0xfffffff : 0xfffffffff, cell.identity.cell);
        return !row.refused();
    }

    bool readCarrier(RowReader& row, Carrier& c, bool fresh) {
        const auto technology = row.technology(m_technology);
        if (technology) c.technology = *technology;
        const auto channel = row.whole(m_channel, 0, 3279165);
        const auto bandwidth = row.number(m_bandwidth, 1.4, 2000);
        const auto duplex = row.choice(m_duplex, {"FDD", "TDD"});
        const auto share = row.number(m_share, 0.01, 1);
        const auto scs = row.whole(m_scs, 15, 960);
        if (row.refused()) return false;
        if (fresh && !channel) {
            row.refuse(m_channel, "is empty; a cell needs its channel number");
            return false;
        }
        if (channel) {
            c.channel = *channel;
            // NR channel numbers begin where those of LTE end (TS 38.104, 5.4.2.1; TS 36.104, 5.7.3).
            if (!technology && c.channel > 70545) c.technology = Technology::nr;
        }
        if (bandwidth) c.bandwidthMHz = *bandwidth;
        if (scs)
            c.scsKHz = *scs;
        else if (fresh && !resourceBlocks(c.technology, c.bandwidthMHz, c.scsKHz).ok() &&
                 resourceBlocks(c.technology, c.bandwidthMHz, kWiderScsKHz).ok()) {
            c.scsKHz = kWiderScsKHz;
            ++m_widerScs;
        }
        if (!resourceBlocks(c.technology, c.bandwidthMHz, c.scsKHz).ok()) ++m_badWidth;
        const auto timeDivision = isTimeDivision(c.technology, c.channel);
        if (duplex)
            c.duplex = static_cast<Duplex>(*duplex);
        else if (channel && timeDivision)
            c.duplex = *timeDivision ? Duplex::tdd : Duplex::fdd;
        if (channel && !downlinkFrequency(c.technology, c.channel)) ++m_unknownBand;
        if (share)
            c.downlinkShare = *share;
        else if (fresh && c.duplex == Duplex::tdd)
            c.downlinkShare = 0.74; // as plan/items.h says
        return true;
    }

    void say(std::vector<IntakeRemark>& remarks) const {
        const auto look = [&](std::size_t n, const std::string& text) {
            if (n > 0) remarks.push_back({Weight::look, fmt::format("{} {}.", n, text), {}});
        };
        if (m_request.kind == IntakeKind::sites) return;
        look(m_noHeight, "rows have no antenna height, or 0; what the plan has stays, else 30 m");
        look(m_unsplit, "rows give the tilt as one figure; it is taken for electrical, mechanical 0");
        look(m_noPower, fmt::format("cells have no power; they get {:.0f} dBm in all", kUsualPowerDbm));
        look(m_longRoots,
             fmt::format("cells of NR TDD have a root sequence above {}, which short preambles do "
                         "not have; it counts as not known unless the carrier uses long ones "
                         "(short-from of root-sequence-overlap in the rule profile)",
                         kShortRoots - 1));
        look(m_unknownBand, "cells are on channels of no band that is known here");
        look(m_widerScs,
             fmt::format("cells have no subcarrier spacing; their bandwidth asks for {} kHz", kWiderScsKHz));
        look(m_badWidth,
             "cells have a bandwidth that does not exist; nothing is computed before it is mended, "
             "and the audit proposes how");
        look(m_spread.size(), "sites have rows that lie more than 50 m apart; the first row's place holds");
        for (const std::string& a : m_unknownAntennas)
            remarks.push_back({Weight::look,
                               fmt::format("There is no antenna \"{}\" in the plan; its sectors keep the "
                                           "standard pattern. Take in its cuts (antennas) first.",
                                           a),
                               {}});
        askForRadians(remarks);
    }

    void askForRadians(std::vector<IntakeRemark>& remarks) const {
        if (m_azimuths.size() < 3 || m_rows.mapped(m_azimuth).unitSaid) return;
        const auto [low, high] = std::minmax_element(m_azimuths.begin(), m_azimuths.end());
        const auto broken =
            std::count_if(m_azimuths.begin(), m_azimuths.end(), [](double v) { return v != std::round(v); });
        if (*low < -kRadLast / 2 || *high > kRadLast || *low == *high ||
            2 * broken < static_cast<std::ptrdiff_t>(m_azimuths.size()))
            return;
        remarks.push_back(
            {Weight::question,
             fmt::format("All azimuths lie between {:.2f} and {:.2f}: they look like radians, and "
                         "their column does not say its unit.",
                         *low, *high),
             "--map azimuth_deg=:rad, or --map azimuth_deg=:deg where they are degrees",
             {{"radians", "azimuth_deg", "rad"}, {"degrees", "azimuth_deg", "deg"}}});
    }

    static constexpr int kWiderScsKHz = 30;      // NR carriers over 50 MHz have it (TS 38.104, table 5.3.2-1)
    static constexpr double kUsualPowerDbm = 46; // 40 W, a macro carrier of 20 MHz (common practice)

    int m_site = field("site"), m_sector = field("sector"), m_cell = field("cell"),
        m_height = field("height_m"), m_azimuth = field("azimuth_deg"),
        m_mechanical = field("mechanical_tilt_deg"), m_electrical = field("electrical_tilt_deg"),
        m_tilt = field("tilt_deg"), m_gain = field("gain_dbi"), m_hBeam = field("h_beam_deg"),
        m_vBeam = field("v_beam_deg"), m_antenna = field("antenna"), m_technology = field("technology"),
        m_channel = field("channel"), m_bandwidth = field("bandwidth_mhz"), m_pci = field("pci"),
        m_duplex = field("duplex"), m_share = field("downlink_share"), m_scs = field("scs_khz"),
        m_reference = field("reference_power_dbm"), m_total = field("total_power_dbm"),
        m_ports = field("ports"), m_root = field("root_sequence"), m_area = field("tracking_area"),
        m_identity = field("cell_identity");
    Named<MacroSite> m_sites;
    Named<Sector> m_sectors;
    Named<Cell> m_cells;
    std::map<std::string, ItemId> m_antennas;
    std::map<std::string, std::int64_t> m_rowOf;
    std::map<std::uint64_t, std::string> m_siteByPlace;
    std::map<std::string, std::vector<std::pair<double, std::string>>> m_directions;
    std::set<std::string> m_placed, m_spread, m_unknownAntennas;
    std::vector<double> m_azimuths;
    std::size_t m_noHeight = 0, m_unsplit = 0, m_noPower = 0, m_unknownBand = 0, m_longRoots = 0,
                m_widerScs = 0, m_badWidth = 0;
    PreambleSpec m_preambles = neighbourSpecOf(Limits(m_plan.settings->profile)).preambles;
};

} // namespace

TakerPtr networkTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request,
                      const RowReader& rows) {
    return std::make_unique<NetworkTaker>(plan, frame, request, rows);
}

} // namespace fw
