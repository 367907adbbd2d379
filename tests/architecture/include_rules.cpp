// SPDX-License-Identifier: GPL-3.0-or-later
#include "include_rules.h"

#include <algorithm>
#include <fstream>
#include <functional>
#include <map>
#include <optional>
#include <regex>
#include <set>

namespace fwtest {

namespace fs = std::filesystem;

namespace {

/// A folder of core may include itself and folders of a lower level.
const std::map<std::string, int> kLevels{
    {"base", 0},        {"geo", 1},    {"plan", 2},       {"surface", 2}, {"gpkg", 2},
    {"radio", 3},       {"fringe", 4}, {"power", 4},      {"timing", 4},  {"backhaul", 4},
    {"exposure", 4},    {"study", 5},  {"calc", 5},       {"review", 6},  {"siting", 7},
    {"calibration", 7}, {"intake", 8}, {"acceptance", 7}, {"store", 8},   {"delivery", 8},
};

struct Library {
    const char* name;
    std::regex header;
    /// Places in core, as a folder ("store/") or the stem of a file ("geo/crs."), that may include it.
    std::vector<std::string> home;
    bool inWidgets;
};

const std::vector<Library>& libraries() {
    static const std::vector<Library> all{
        {"Qt", std::regex(R"((Q[A-Z]|Qt|qt)[A-Za-z0-9]*(/.*)?(\.h)?|q[a-z]+\.h)"), {}, true},
        {"GDAL",
         std::regex(R"((gdal|ogr|cpl|vrt|memdataset).*\.h)"),
         {"surface/raster_io.", "intake/", "delivery/"},
         false},
        {"PROJ", std::regex(R"(proj(\.h|/.*|_.*\.h))"), {"geo/crs."}, false},
        {"SQLite", std::regex(R"(sqlite3.*\.h)"), {"gpkg/", "store/"}, false},
    };
    return all;
}

bool isSource(const fs::path& p) {
    static const std::set<std::string> kEndings{".h", ".hpp", ".cpp", ".cc", ".c"};
    return kEndings.contains(p.extension().string());
}

/// Files below root/folder in the order of their names, as paths from the root.
std::vector<std::string> filesIn(const fs::path& root, const std::string& folder) {
    std::vector<std::string> out;
    if (!fs::exists(root / folder)) return out;
    for (const auto& entry : fs::recursive_directory_iterator(root / folder))
        if (entry.is_regular_file()) out.push_back(fs::relative(entry.path(), root).generic_string());
    std::sort(out.begin(), out.end());
    return out;
}

void forLines(const fs::path& file, const std::function<void(int, const std::string&)>& f) {
    std::ifstream in(file);
    std::string line;
    for (int n = 1; std::getline(in, line); ++n) f(n, line);
}

std::string firstPart(const std::string& path) { return path.substr(0, path.find('/')); }

/// Why a header by a quoted name may not be included from `file` ("core/geo/x.h"), or nothing.
std::optional<std::string> brokenOwn(const fs::path& root, const std::string& file,
                                     const std::string& header) {
    const std::string part = firstPart(file);
    const std::string folder = firstPart(file.substr(part.size() + 1));
    const std::string target = firstPart(header);
    const bool hasFolder = target != header;
    if (part == "core") {
        if (!hasFolder) return "names '" + header + "' without its folder; include from the root of core";
        if (!kLevels.contains(folder)) return "core/" + folder + " has no level in the table";
        if (!kLevels.contains(target)) return "core/" + folder + " -> " + header + ", which is not of core";
        if (target != folder && kLevels.at(target) >= kLevels.at(folder))
            return "core/" + folder + " (level " + std::to_string(kLevels.at(folder)) + ") -> core/" +
                   target + " (level " + std::to_string(kLevels.at(target)) + ")";
    }
    if (part == "widgets" && !fs::exists(root / "widgets" / header) && !fs::exists(root / "core" / header) &&
        fs::exists(root / "app" / header))
        return "widgets -> app/" + header;
    return std::nullopt;
}

std::optional<std::string> brokenLibrary(const std::string& file, const std::string& header) {
    const std::string part = firstPart(file);
    if (part == "app") return std::nullopt;
    for (const Library& lib : libraries()) {
        if (!std::regex_match(header, lib.header)) continue;
        if (part == "widgets") return lib.inWidgets ? std::nullopt : std::optional("widgets -> " + header);
        const std::string within = file.substr(part.size() + 1);
        for (const std::string& home : lib.home)
            if (within.starts_with(home)) return std::nullopt;
        return "core/" + within + " -> " + header + " (" + lib.name + " is not at home there)";
    }
    return std::nullopt;
}

} // namespace

std::vector<Breach> brokenIncludes(const fs::path& root) {
    static const std::regex kInclude(R"(^\s*#\s*include\s*([<"])([^>"]+)[>"].*)");
    std::vector<Breach> out;
    for (const char* part : {"core", "widgets", "app"}) {
        for (const std::string& file : filesIn(root, part)) {
            if (!isSource(file)) continue;
            forLines(root / file, [&](int line, const std::string& text) {
                std::smatch m;
                if (!std::regex_match(text, m, kInclude)) return;
                const std::string header = m[2];
                // A library's header in quotes is still the library's.
                auto broken = brokenLibrary(file, header);
                if (!broken && m[1] == "\"") broken = brokenOwn(root, file, header);
                if (broken) out.push_back({file, line, *broken});
            });
        }
    }
    return out;
}

std::vector<Breach> missingLicences(const fs::path& root) {
    static const std::set<std::string> kAlso{".py", ".sh", ".cmake", ".qml"};
    std::vector<Breach> out;
    for (const char* part : {"core", "widgets", "app", "tests", "sample-projects"}) {
        for (const std::string& file : filesIn(root, part)) {
            const fs::path p = file;
            const bool script = p.extension().empty() && p.filename() == "run";
            if (!isSource(p) && !script && !kAlso.contains(p.extension().string()) &&
                p.filename() != "CMakeLists.txt")
                continue;
            bool found = false;
            forLines(root / file, [&](int line, const std::string& text) {
                found = found || (line <= 2 && text.find("SPDX-License-Identifier: GPL-3.0-or-later") !=
                                                   std::string::npos);
            });
            if (!found) out.push_back({file, 1, "lacks the SPDX line of its licence"});
        }
    }
    return out;
}

std::vector<Breach> silentChecks(const fs::path& root) {
    // Put together from pieces, or this file would find itself.
    static const std::regex kMacro(std::string("\\bQ") + "(VERIFY2?|COMPARE)\\s*\\(");
    std::vector<Breach> out;
    for (const std::string& file : filesIn(root, "tests")) {
        if (!isSource(file)) continue;
        forLines(root / file, [&](int line, const std::string& text) {
            if (std::regex_search(text, kMacro))
                out.push_back(
                    {file, line, "Qt Test's macro never fails a Catch2 test; use CHECK or REQUIRE"});
        });
    }
    return out;
}

std::size_t sourceCount(const fs::path& root) {
    std::size_t n = 0;
    for (const char* part : {"core", "widgets", "app", "tests"})
        for (const std::string& file : filesIn(root, part)) n += isSource(file);
    return n;
}

} // namespace fwtest
