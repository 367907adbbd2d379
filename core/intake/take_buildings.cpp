// SPDX-License-Identifier: GPL-3.0-or-later
// Footprints: buildings, and what else is solid.
#include "intake/footprint_mend.h"
#include "intake/taker.h"
#include "intake/use_words.h"
#include "plan/enum_names.h"
#include "plan/validate.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

using Weight = IntakeRemark::Weight;

// A storey is 2.7 to 4 m (common practice), that is 9 to 13 ft: heights so many to a storey are in feet.
constexpr double kFeetAStoreyLow = 7.5, kFeetAStoreyHigh = 15;
constexpr std::size_t kEnoughStoreys = 5; // buildings with both before that is said

// The plan keeps corners so; two that fall together are one.
Polygon onMillimetres(Polygon p) {
    const auto round = [](Ring& ring) {
        for (PlanePoint& corner : ring) corner = {toMillimetre(corner.x), toMillimetre(corner.y)};
    };
    round(p.outer);
    for (Ring& hole : p.holes) round(hole);
    return p;
}

class BuildingTaker : public Taker {
public:
    using Taker::Taker;

    void prepare() {
        m_plan.scenery.forEachBuilding([&](const Building& b) { m_seen.before(b.footprint, -1); });
    }

    void take(RowReader& row, SourceShape shape) override {
        if (shape.areas.empty()) {
            row.refuse("is no outline of an area");
            return;
        }
        Building like;
        if (!readHeight(row, like)) return;
        readUse(row, like);
        if (const auto entry = row.choice<EntryKind>(m_entry)) like.entry = *entry;
        if (const auto parapet = row.number(m_parapet, 0, 100)) like.parapetM = *parapet;
        like.name = row.text(m_name);
        if (!row.refused()) takeParts(row, like, std::move(shape.areas));
    }

    void finish(IntakePreview& preview) override {
        if (!m_buildings->empty()) preview.edit.changes.emplace_back(PutBuildings{m_buildings});
        preview.counts.push_back({Kind::building, m_buildings->size(), 0});
        say(preview);
    }

private:
    // From the height, or the storeys, or the default that the preview names.
    bool readHeight(RowReader& row, Building& b) {
        const auto height = row.number(m_height, 0, 1000);
        // A storey under the roof is often written as a half: it counts to the height as it is written, and
        // people live on it as on a whole one.
        const auto storeys = row.number(m_storeys, 0, 300);
        if (row.refused()) return false;
        const auto floors = storeys ? static_cast<std::int32_t>(std::ceil(*storeys)) : 0;
        if (storeys && *storeys < floors) ++m_partStoreys;
        if (height && *height > 0) {
            b.heightM = *height;
            b.storeys =
                floors > 0 ? floors
                           : std::max(1, static_cast<std::int32_t>(std::lround(*height / m_request.storeyM)));
            if (floors > 0) m_perStorey.push_back(*height / *storeys);
            ++m_byHeight;
        } else if (floors > 0) {
            b.storeys = floors;
            b.heightM = *storeys * m_request.storeyM;
            ++m_byStoreys;
        } else {
            if (height && *height == 0) ++m_zeroHeights;
            b.heightM = m_request.defaultHeightM;
            b.storeys = std::max(1, static_cast<std::int32_t>(std::lround(b.heightM / m_request.storeyM)));
            ++m_byDefault;
        }
        return true;
    }

    // A word of another list than ours is no reason to leave a building out.
    void readUse(const RowReader& row, Building& b) {
        const std::string said = row.text(m_use);
        if (said.empty()) return;
        if (const auto use = buildingUseFrom(said)) {
            b.use = *use;
        } else {
            if (m_unknownUses == 0) m_unknownUse = said.substr(0, 40);
            ++m_unknownUses;
        }
    }

    void takeParts(RowReader& row, const Building& like, std::vector<Polygon> parts) {
        std::vector<Building> made;
        MendTally tally;
        for (Polygon& part : parts) {
            for (Polygon& area : mendedFootprint(std::move(part), tally)) {
                auto kept = tidied(onMillimetres(std::move(area)));
                if (!kept) continue;
                made.push_back(like);
                made.back().footprint = std::move(*kept);
            }
        }
        if (made.empty()) {
            row.refuse("has an outline without an area");
            return;
        }
        for (Building& b : made) {
            b.id = {1};
            if (const Status s = validate(b); !s.ok()) {
                row.refuse(s.error().text.substr(0, s.error().text.find_last_not_of('.') + 1));
                return;
            }
        }
        if (const auto before = m_seen.before(made.front().footprint, row.row().number)) {
            refuseTwice(row, *before < 0 ? std::string("is in the plan already")
                                         : fmt::format("has the same outline as row {}", *before));
            return;
        }
        m_mended += static_cast<std::size_t>(tally.mended);
        m_slivers += static_cast<std::size_t>(tally.slivers);
        if (made.size() > 1) ++m_split;
        for (Building& b : made) {
            b.id = freshId();
            m_buildings->push_back(std::move(b));
        }
    }

    void say(IntakePreview& preview) {
        auto& remarks = preview.remarks;
        if (m_byStoreys > 0)
            remarks.push_back(
                {Weight::note,
                 fmt::format("{} heights are storeys times {:.1f} m.", m_byStoreys, m_request.storeyM),
                 {}});
        if (m_partStoreys > 0)
            remarks.push_back({Weight::note,
                               fmt::format("{} buildings have a part of a storey; it counts as a whole one "
                                           "where demand is spread.",
                                           m_partStoreys),
                               {}});
        if (m_byDefault > 0)
            remarks.push_back(
                {Weight::look,
                 fmt::format("{} buildings have neither height nor storeys{}; they get {:.1f} m.",
                             m_byDefault, m_zeroHeights > 0 ? fmt::format(" ({} say 0)", m_zeroHeights) : "",
                             m_request.defaultHeightM),
                 "--default-height with another"});
        if (m_mended > 0)
            remarks.push_back({Weight::note,
                               fmt::format("{} outlines crossed themselves and were made valid.", m_mended),
                               {}});
        if (m_slivers > 0)
            remarks.push_back(
                {Weight::note, fmt::format("{} slivers of less than 1 m² were left out.", m_slivers), {}});
        if (m_split > 0)
            remarks.push_back(
                {Weight::note,
                 fmt::format("{} rows have several parts; each part became a building.", m_split),
                 {}});
        if (m_unknownUses > 0)
            remarks.push_back(
                {Weight::note,
                 fmt::format("{} rows have a use that tells nothing here (\"{}\"); they count as {}.",
                             m_unknownUses, m_unknownUse,
                             EnumNames<BuildingUse>::names[static_cast<std::size_t>(Building{}.use)]),
                 {}});
        lookForFeet(remarks);
    }

    void lookForFeet(std::vector<IntakeRemark>& remarks) {
        if (m_perStorey.size() < kEnoughStoreys || m_rows.mapped(m_height).unitSaid) return;
        const auto mid = m_perStorey.begin() + static_cast<std::ptrdiff_t>(m_perStorey.size() / 2);
        std::nth_element(m_perStorey.begin(), mid, m_perStorey.end());
        if (*mid < kFeetAStoreyLow || *mid > kFeetAStoreyHigh) return;
        remarks.push_back({Weight::question,
                           fmt::format("The heights are {:.1f} to a storey: they look like feet, and their "
                                       "column does not say its unit.",
                                       *mid),
                           "--map height_m=:ft, or --map height_m=:m where they are metres",
                           {{"feet", "height_m", "ft"}, {"metres", "height_m", "m"}}});
    }

    int m_height = field("height_m"), m_storeys = field("storeys"), m_use = field("building_use"),
        m_entry = field("entry"), m_parapet = field("parapet_m"), m_name = field("name");
    std::shared_ptr<std::vector<Building>> m_buildings = std::make_shared<std::vector<Building>>();
    SeenAreas m_seen;
    std::vector<double> m_perStorey;
    std::string m_unknownUse;
    std::size_t m_unknownUses = 0;
    std::size_t m_byHeight = 0, m_byStoreys = 0, m_partStoreys = 0, m_byDefault = 0, m_zeroHeights = 0,
                m_mended = 0, m_slivers = 0, m_split = 0;
};

/// Solid and no building: nobody lives in it, so it has no storeys and draws no demand.
class ObstructionTaker : public Taker {
public:
    using Taker::Taker;

    void take(RowReader& row, SourceShape shape) override {
        const auto height = row.number(m_height, 0, 1000);
        const auto width = row.number(m_width, 0.05, 100);
        if (row.refused()) return;
        if (height && *height == 0) {
            row.refuse(m_height, "is 0; what has no height obstructs nothing");
            return;
        }
        std::vector<Polygon> outlines = outlinesOf(shape, width.value_or(kWidthM));
        std::vector<Building> made;
        MendTally tally;
        for (Polygon& outline : outlines)
            for (Polygon& part : mendedFootprint(std::move(outline), tally)) {
                Building b;
                b.footprint = std::move(part);
                b.heightM = height.value_or(kHeightM);
                b.storeys = 0;
                b.use = BuildingUse::other;
                b.parapetM = 0;
                b.name = row.text(m_name);
                if (!stands(row, b)) return;
                made.push_back(std::move(b));
            }
        if (made.empty()) {
            row.refuse("has no outline that can be used");
            return;
        }
        if (const auto before = m_seen.before(made.front().footprint, row.row().number)) {
            refuseTwice(row, fmt::format("has the same outline as row {}", *before));
            return;
        }
        if (!height) ++m_byDefault;
        for (Building& b : made) {
            b.id = freshId();
            m_made->push_back(std::move(b));
        }
    }

    void finish(IntakePreview& preview) override {
        if (!m_made->empty()) preview.edit.changes.emplace_back(PutBuildings{m_made});
        preview.counts.push_back({Kind::building, m_made->size(), 0});
        preview.remarks.push_back(
            {Weight::note,
             "Obstructions are kept as buildings without storeys: they stand in the way and "
             "draw no demand.",
             {}});
        if (m_byDefault > 0)
            preview.remarks.push_back(
                {Weight::look,
                 fmt::format("{} have no height; they get {:.1f} m.", m_byDefault, kHeightM),
                 {}});
    }

private:
    static constexpr double kHeightM = 4, kWidthM = 0.3; // [own]

    // Lines get their width, side by side; points a square of it.
    static std::vector<Polygon> outlinesOf(SourceShape& shape, double widthM) {
        std::vector<Polygon> out = std::move(shape.areas);
        const double h = widthM / 2;
        for (const PlanePoint& p : shape.points)
            out.push_back(
                {{{p.x - h, p.y - h}, {p.x + h, p.y - h}, {p.x + h, p.y + h}, {p.x - h, p.y + h}}, {}});
        for (const Line& line : shape.lines)
            for (std::size_t k = 1; k < line.size(); ++k) {
                const PlanePoint a = line[k - 1], b = line[k];
                const double length = std::hypot(b.x - a.x, b.y - a.y);
                if (!(length > 0)) continue;
                const double nx = -(b.y - a.y) / length * h, ny = (b.x - a.x) / length * h;
                out.push_back(
                    {{{a.x - nx, a.y - ny}, {b.x - nx, b.y - ny}, {b.x + nx, b.y + ny}, {a.x + nx, a.y + ny}},
                     {}});
            }
        return out;
    }

    int m_height = field("height_m"), m_width = field("width_m"), m_name = field("name");
    std::shared_ptr<std::vector<Building>> m_made = std::make_shared<std::vector<Building>>();
    SeenAreas m_seen;
    std::size_t m_byDefault = 0;
};

} // namespace

TakerPtr buildingTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request,
                       const RowReader& rows) {
    auto taker = std::make_unique<BuildingTaker>(plan, frame, request, rows);
    taker->prepare();
    return taker;
}

TakerPtr obstructionTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request,
                          const RowReader& rows) {
    return std::make_unique<ObstructionTaker>(plan, frame, request, rows);
}

} // namespace fw
