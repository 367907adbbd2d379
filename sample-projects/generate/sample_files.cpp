// SPDX-License-Identifier: GPL-3.0-or-later
#include "sample_files.h"

#include "port_merrow_map.h"
#include "store/plan_file.h"
#include "store/plan_terrain.h"
#include "surface/raster_io.h"

#include <fmt/format.h>
#include <fstream>

namespace fw::town {

namespace {

std::string quoted(const std::string& text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') out += '\\';
        out += c;
    }
    return out + '"';
}

} // namespace

std::string expectedJson(const std::vector<Expected>& expected) {
    std::string out = "{\n  \"schema\": \"fringewright.expected-findings\",\n  \"version\": 1,\n"
                      "  \"plan\": \"port-merrow.plan.gpkg\",\n  \"expected\": [\n";
    for (std::size_t i = 0; i < expected.size(); ++i) {
        const Expected& e = expected[i];
        std::string subjects;
        for (const std::string& s : e.subjects) subjects += (subjects.empty() ? "" : ", ") + quoted(s);
        out += fmt::format("    {{\"mount\": {}, \"subjects\": [{}],\n     \"rule\": {}, \"severity\": {},\n"
                           "     \"why\": {}}}{}\n",
                           quoted(e.mount), subjects, quoted(e.rule), quoted(e.severity), quoted(e.why),
                           i + 1 < expected.size() ? "," : "");
    }
    return out + "  ]\n}\n";
}

Status writeSample(Sample sample, const std::filesystem::path& folder) {
    const auto terrain = folder / kTerrainFile;
    if (auto s = writeTerrain(terrain, sample.terrain->heights, kTownEpsg); !s) return s;
    auto digest = digestOfFile(terrain);
    if (!digest) return digest.error();
    PlanSettings settings = *sample.plan.settings;
    settings.terrain = {kTerrainFile, *digest, 0};
    sample.plan.settings = std::make_shared<const PlanSettings>(settings);
    std::error_code ignored; // a file that is not there is as good as one removed
    std::filesystem::remove(folder / kPlanFile, ignored);
    if (auto s = savePlan(sample.plan, folder / kPlanFile); !s) return s;
    std::ofstream out(folder / kExpectedFile, std::ios::binary | std::ios::trunc);
    out << expectedJson(sample.expected);
    if (!out.flush())
        return Error{ErrorCode::cannotWrite, "The file cannot be written.",
                     (folder / kExpectedFile).string()};
    return Done{};
}

} // namespace fw::town
