// SPDX-License-Identifier: GPL-3.0-or-later
// Measured levels. They are compared with the plan and not kept in it, so nothing is put; the rows are looked
// at all the same, and matched with the plan's cells.
#include "intake/taker.h"

#include <fmt/format.h>
#include <set>

namespace fw {

namespace {

using Weight = IntakeRemark::Weight;

class MeasurementTaker : public Taker {
public:
    MeasurementTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request,
                     const RowReader& rows)
        : Taker(plan, frame, request, rows) {
        for (const Cell& c : plan.cells) {
            m_names.insert(c.name);
            m_codes.emplace(c.carrier.channel, c.pci);
        }
    }

    void take(RowReader& row, SourceShape shape) override {
        const auto at = pointOf(row, shape);
        if (!at) return;
        // TS 36.133, 9.1.4 reports RSRP from -140 dBm up; the same table ends at -44 dBm. Some devices go on.
        const auto level = row.number(m_level, -200, 0);
        const auto pci = row.whole(m_pci, 0, 1007);
        const auto channel = row.whole(m_channel, 0, 3279165);
        const auto technology = row.technology(m_technology);
        const auto indoor = row.yes(m_indoor);
        const std::string cell = row.text(m_cell);
        if (row.refused()) return;
        if (!level) {
            row.refuse(m_level, "is empty");
            return;
        }
        if (cell.empty() && !pci) {
            row.refuse("names no cell: neither its name nor its PCI");
            return;
        }
        if (cell.empty() ? !knows(*pci, channel) : m_names.count(cell) == 0) ++m_strange;
        MeasuredPoint p;
        p.at = *at;
        p.rsrpDbm = *level;
        p.cell = cell;
        p.pci = pci;
        p.channel = channel;
        if (technology) p.technology = *technology;
        p.indoor = indoor.value_or(false);
        p.number = row.row().number;
        m_points.push_back(std::move(p));
    }

    void finish(IntakePreview& preview) override {
        preview.remarks.push_back(
            {Weight::note,
             fmt::format("{} measurements; they are for calibrate, and are not kept in the plan.",
                         m_points.size())});
        preview.measured = std::move(m_points);
        if (m_strange > 0)
            preview.remarks.push_back(
                {Weight::look,
                 fmt::format("{} of them are of cells that the plan does not have.", m_strange)});
    }

private:
    [[nodiscard]] bool knows(std::int32_t pci, std::optional<std::int32_t> channel) const {
        if (channel) return m_codes.count({*channel, pci}) > 0;
        for (const auto& [c, p] : m_codes)
            if (p == pci) return true;
        return false;
    }

    int m_level = field("rsrp_dbm"), m_pci = field("pci"), m_channel = field("channel"),
        m_cell = field("cell"), m_technology = field("technology"), m_indoor = field("indoor");
    std::set<std::string> m_names;
    std::set<std::pair<std::int32_t, std::int32_t>> m_codes;
    std::vector<MeasuredPoint> m_points;
    std::size_t m_strange = 0;
};

} // namespace

TakerPtr measurementTaker(const Plan& p, const Frame& f, const IntakeRequest& q, const RowReader& r) {
    return std::make_unique<MeasurementTaker>(p, f, q, r);
}

} // namespace fw
