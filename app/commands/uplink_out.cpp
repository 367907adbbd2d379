// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/uplink_out.h"

#include "commands/shown_tenths.h"

#include <cmath>
#include <fmt/format.h>

namespace fw::cli {
namespace {

double reliefOf(const UplinkLine& line) {
    double sum = 0;
    for (const UplinkLine::Part& p : line.relief) sum += p.use;
    return sum;
}

// Never "-0.0".
std::string tenths(double v) {
    const double r = std::round(v * 10);
    return fmt::format("{:.1f}", r == 0 ? 0.0 : r / 10);
}

Json optionsJson(const UplinkSettings& o) {
    return {{"p0_dbm", number(o.p0Dbm)},
            {"alpha", number(o.alpha)},
            {"max_power_dbm", number(o.maxPowerDbm)},
            {"blocks", number(o.blocks)},
            {"interference_over_thermal_db", number(o.iotDb)},
            {"noise_figure_db", number(o.noiseFigureDb)},
            {"fixed_use", number(o.fixedUse)},
            {"voice_blocks", number(o.voiceBlocks)},
            {"voice_from_sinr_db", number(o.voiceFromSinrDb)}};
}

std::string smallText(const Plan& plan, const UplinkSmall& s) {
    std::string out = fmt::format("  {:<24} noise rise {} dB", plan.label(s.small), tenths(s.noiseRiseDb));
    if (s.boundaryGapDb)
        out += fmt::format("; towards {} the uplink's boundary lies {} dB {} the downlink's",
                           plan.label(s.macro), tenths(std::fabs(*s.boundaryGapDb)),
                           *s.boundaryGapDb < 0 ? "short of" : "beyond");
    return out + "\n";
}

} // namespace

Json uplinkJson(const Study& study, const UplinkLedger& ledger) {
    const Plan& plan = study.plan();
    Json cells = Json::array(), smalls = Json::array();
    for (const UplinkLine& line : ledger.cells) {
        const MacroCell* cell = study.macroCell(line.cell);
        Json relief = Json::array();
        for (const UplinkLine::Part& p : line.relief)
            relief.push_back({{"small_cell", item(plan, p.small)}, {"use", number(p.use, 8)}});
        cells.push_back({{"cell", item(plan, line.cell)},
                         {"sector", item(plan, cell ? cell->sector : ItemId{})},
                         {"before", number(line.before, 8)},
                         {"fixed", number(line.fixed, 8)},
                         {"relief", std::move(relief)},
                         {"after", number(line.after, 8)},
                         {"full_power", number(line.fullPower)},
                         {"voice_edge", number(line.voiceEdge)},
                         {"working", working(workingOf(study, ledger, line.cell))},
                         {"voice_working", working(workingOfVoice(study, ledger, line.cell))}});
    }
    for (const UplinkSmall& s : ledger.smalls)
        smalls.push_back({{"small_cell", item(plan, s.small)},
                          {"macro", item(plan, s.macro)},
                          {"boundary_gap_db", number(s.boundaryGapDb)},
                          {"noise_rise_db", number(s.noiseRiseDb)},
                          {"working", working(workingOfSmall(study, ledger, s.small))}});
    return {{"settings", optionsJson(ledger.settings)},
            {"cells", std::move(cells)},
            {"small_cells", std::move(smalls)},
            {"remarks", ledger.remarks}};
}

std::string uplinkText(const Study& study, const UplinkLedger& ledger, bool all) {
    const Plan& plan = study.plan();
    std::string out =
        fmt::format("{:<26} {:>7} {:>7} {:>7} {:>7} {:>7}  points of uplink PRB use; % of users\n", "",
                    "before", "relief", "after", "full", "edge");
    int left = 0;
    for (const UplinkLine& line : ledger.cells) {
        if (!all && reliefOf(line) < 0.005) {
            ++left;
            continue;
        }
        const ShownRow row = shownRow(line.before, reliefOf(line), 0, line.after);
        out += fmt::format("  {:<24} {:>7} {:>7} {:>7} {:>7} {:>7}\n", plan.label(line.cell),
                           tenthsText(row.before), tenthsText(-row.relief), tenthsText(row.after),
                           tenths(line.fullPower * 100), tenths(line.voiceEdge * 100));
        const auto parts = partsThatAddUp(line.relief, row.relief);
        for (std::size_t k = 0; k < parts.size(); ++k)
            if (parts[k] != 0)
                out += fmt::format("    {:<30} {:>7}\n", plan.label(line.relief[k].small),
                                   tenthsText(-parts[k]));
    }
    if (left > 0)
        out += fmt::format("{} cells whose uplink gains less than half a point are left out.\n", left);
    if (!ledger.cells.empty())
        out +=
            fmt::format("full: users at full power; edge: where a voice user at full power is under {} dB.\n",
                        tenths(ledger.settings.voiceFromSinrDb));
    if (!ledger.smalls.empty()) out += "What small cells hear of macro users at full power\n";
    for (const UplinkSmall& s : ledger.smalls) out += smallText(plan, s);
    for (const std::string& remark : ledger.remarks) out += fmt::format("Note: {}\n", remark);
    return out;
}

} // namespace fw::cli
