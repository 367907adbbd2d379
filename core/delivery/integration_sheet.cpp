// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/integration_sheet.h"

#include "delivery/csv_field.h"
#include "delivery/export_works.h"
#include "delivery/place_text.h"
#include "radio/carrier.h"

#include <cmath>
#include <fmt/format.h>
#include <map>

namespace fw {

namespace {

template <class N>
std::string whole(const std::optional<N>& v) {
    return v ? fmt::format("{}", *v) : std::string();
}
const char* wordOf(Technology t) { return t == Technology::lte ? "LTE" : "NR"; }

// A cell of the plan, macro or small, as the neighbour table names it.
struct Named {
    std::string name;
    bool small = false;
    Carrier carrier;
    std::int32_t pci = 0;
    CellIdentity identity;
};

class TableMaker {
public:
    TableMaker(const Study& study, const IdentityPlan& identities)
        : m_plan(study.plan()), m_identities(identities) {
        for (const CellPlan& c : identities.cells) m_planned.emplace(c.small, &c);
    }

    [[nodiscard]] SheetTable cells() const {
        SheetTable out{"cells", {{"Small cell"}, {"Site"}, {"Radio"}}, {}};
        for (const char* head : {"Technology",
                                 "Channel (EARFCN or NR-ARFCN)",
                                 "Downlink (MHz)",
                                 "Bandwidth (MHz)",
                                 "PCI",
                                 "PCI before",
                                 "PCI group N1",
                                 "PCI sector N2",
                                 "Same PCI again (m)",
                                 "First root sequence (logical index)",
                                 "Root sequences",
                                 "Zero-correlation-zone configuration",
                                 "N_CS (samples)",
                                 "Cell radius (km)",
                                 "Tracking area code",
                                 "Base station number (eNB or gNB)",
                                 "Cell number",
                                 "Cell identity (ECI or NCI)",
                                 "Cell identity (hex)",
                                 "Host macro cell",
                                 "Relief of host (points)",
                                 "Bias (dB)",
                                 "Power lowered by (dB)",
                                 "Power, all ports (dBm)",
                                 "Neighbours",
                                 "Preamble format",
                                 "PCI kept or why not",
                                 "Root sequences kept or why not"})
            out.columns.push_back({head, true});
        for (const std::size_t text : {3, 21, 22, 28, 29, 30}) out.columns[text].number = false;
        std::map<ItemId, int> neighbours;
        for (const IdentityNeighbour& n : m_identities.neighbours) ++neighbours[n.cell];
        for (const CellPlan& c : m_identities.cells) out.rows.push_back(cellRow(c, neighbours[c.small]));
        return out;
    }

    [[nodiscard]] SheetTable neighbours() const {
        SheetTable out{"neighbours",
                       {{"Cell"},
                        {"Cell identity (ECI or NCI)", true},
                        {"Rank", true},
                        {"Neighbour"},
                        {"Kind"},
                        {"Technology"},
                        {"Channel (EARFCN or NR-ARFCN)", true},
                        {"PCI", true},
                        {"Tracking area code", true},
                        {"Neighbour identity (ECI or NCI)", true},
                        {"Carrier"},
                        {"Ground shared (%)", true},
                        {"Of the neighbour's ground (%)", true}},
                       {}};
        for (const IdentityNeighbour& n : m_identities.neighbours) {
            const Named a = named(n.cell), b = named(n.neighbour);
            out.rows.push_back({a.name, whole(a.identity.cell), fmt::format("{}", n.rank), b.name,
                                b.small ? "small cell" : "macro cell", wordOf(b.carrier.technology),
                                fmt::format("{}", b.carrier.channel), fmt::format("{}", b.pci),
                                whole(b.identity.trackingArea), whole(b.identity.cell),
                                n.sameCarrier ? "same" : "other", fixedText(100 * n.share, 1),
                                fixedText(100 * n.shareBack, 1)});
        }
        return out;
    }

    [[nodiscard]] SheetTable notes() const {
        SheetTable out{"notes", {{"What"}, {"Note"}}, {}};
        const auto& settings = *m_plan.settings;
        out.rows.push_back(
            {"plan", settings.name + (settings.operatorName.empty() ? "" : ", ") + settings.operatorName});
        out.rows.push_back({"date of the plan", settings.date.iso()});
        out.rows.push_back({"kept", keptSentence(m_identities)});
        for (const std::string& r : m_identities.remarks) out.rows.push_back({"remark", r});
        for (const Finding& f : m_identities.after)
            out.rows.push_back({fmt::format("{} {}", wordFor(f.severity), f.rule), f.text});
        const IdentityOptions& o = m_identities.options;
        out.rows.push_back(
            {"neighbours",
             fmt::format("Cells within {:g} dB of the best of their carrier on at least {:g} % of "
                         "either cell's ground; {} at most.",
                         o.marginDb, 100 * o.leastShare, o.mostNeighbours)});
        out.rows.push_back(
            {"PCI", m_identities.proven
                        ? "No cheaper choice exists beside those kept: the search went through everything."
                        : "Chosen by a search that need not find the cheapest choice."});
        out.rows.push_back(
            {"root sequences", fmt::format("Preambles by the column of formats (0 long, others short), "
                                           "unrestricted sets; none shared within {:g} m on one carrier.",
                                           o.rootReuseM)});
        out.rows.push_back({"bias and power", "As the settled ledger of the plan sets them."});
        out.rows.push_back({"sources",
                            "3GPP TS 36.211 6.11 and 5.7.2, TS 38.211 7.4.2.1 and 6.3.3.1, TS 36.300 "
                            "22.3.5, TS 36.413 9.2.1.38, TS 38.413 9.3.1.7, TS 23.003 19.4.2.3"});
        return out;
    }

private:
    [[nodiscard]] std::vector<std::string> cellRow(const CellPlan& c, int neighbours) const {
        const SmallCell* cell = m_plan.smallCells.find(c.small);
        const Carrier carrier = cell ? cell->carrier : Carrier{};
        const bool lte = carrier.technology == Technology::lte;
        const auto frequency = downlinkFrequency(carrier.technology, carrier.channel);
        return {m_plan.label(c.small),
                m_plan.label(c.mount),
                cell ? m_plan.label(cell->radio) : std::string(),
                wordOf(carrier.technology),
                fmt::format("{}", carrier.channel),
                frequency ? fixedText(inMegahertz(*frequency), 2) : std::string(),
                fmt::format("{:g}", carrier.bandwidthMHz),
                fmt::format("{}", c.pci),
                fmt::format("{}", c.pciBefore),
                fmt::format("{}", c.pci / 3),
                fmt::format("{}", c.pci % 3),
                c.reuseM ? fixedText(*c.reuseM, 0) : std::string(),
                whole(c.firstRoot),
                c.firstRoot ? fmt::format("{}", c.roots) : std::string(),
                fmt::format("{}", c.zeroCorrelation),
                fmt::format("{}", c.shift),
                fixedText(c.radiusKm, 2),
                whole(c.trackingArea),
                whole(c.node),
                whole(c.cellNumber),
                whole(c.cellIdentity),
                c.cellIdentity ? fmt::format("{:0{}X}", *c.cellIdentity, lte ? 7 : 9) : std::string(),
                c.host ? m_plan.label(c.host) : std::string(),
                fixedText(c.hostPoints, 1),
                fixedText(c.biasDb, 1),
                fixedText(c.powerDownDb, 1),
                fixedText(c.powerDbm, 1),
                fmt::format("{}", neighbours),
                wordFor(c.preamble),
                whyPci(m_plan, c),
                whyRoots(m_plan, c)};
    }

    [[nodiscard]] Named named(ItemId id) const {
        if (const Cell* c = m_plan.cells.find(id))
            return {m_plan.label(id), false, c->carrier, c->pci, c->identity};
        Named out{m_plan.label(id), true, {}, 0, {}};
        if (const SmallCell* s = m_plan.smallCells.find(id)) out.carrier = s->carrier;
        if (const auto it = m_planned.find(id); it != m_planned.end()) {
            out.pci = it->second->pci;
            out.identity = {it->second->firstRoot, it->second->trackingArea, it->second->cellIdentity};
        }
        return out;
    }

    const Plan& m_plan;
    const IdentityPlan& m_identities;
    std::map<ItemId, const CellPlan*> m_planned;
};

} // namespace

std::vector<SheetTable> integrationTables(const Study& study, const IdentityPlan& identities) {
    const TableMaker maker(study, identities);
    return {maker.cells(), maker.neighbours(), maker.notes()};
}

std::string tableCsv(const SheetTable& table) {
    std::string out;
    for (const SheetColumn& c : table.columns) out += (out.empty() ? "" : ",") + csvField(c.head, false);
    out += "\r\n";
    for (const auto& row : table.rows) {
        for (std::size_t k = 0; k < row.size(); ++k)
            out += (k ? "," : "") + csvField(row[k], table.columns[k].number);
        out += "\r\n";
    }
    return out;
}

Status writeIntegrationCsv(const std::filesystem::path& file, const std::vector<SheetTable>& tables) {
    for (std::size_t k = 0; k < tables.size(); ++k) {
        std::filesystem::path to = file;
        if (k > 0)
            to.replace_filename(file.stem().string() + "-" + tables[k].name + file.extension().string());
        if (Status s = writeWhole(to, tableCsv(tables[k])); !s.ok()) return s;
    }
    return Done{};
}

} // namespace fw
