// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/pack_files.h"

#include "base/text.h"
#include "delivery/export_works.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {

namespace fs = std::filesystem;

namespace {

struct Target {
    const char* name;
    Status (*write)(const fs::path&, const std::vector<WorksRow>&, const std::string& title);
};

// Names of our own, so that a second pack replaces the first and nothing else.
constexpr const char* kSheets = "site-plan.pdf";
constexpr const char* kAside = ".pack-being-written";
const Target kTargets[] = {
    {"works.gpkg", [](const fs::path& f, const std::vector<WorksRow>& r,
                      const std::string&) { return writeWorksGeoPackage(f, r); }},
    {"works.geojson", [](const fs::path& f, const std::vector<WorksRow>& r,
                         const std::string&) { return writeWorksGeoJson(f, r); }},
    {"works.kml", [](const fs::path& f, const std::vector<WorksRow>& r,
                     const std::string& t) { return writeWorksKml(f, r, t); }},
    {"works.csv", [](const fs::path& f, const std::vector<WorksRow>& r,
                     const std::string&) { return writeWorksCsv(f, r); }},
};

std::vector<fs::path> allOf(const PackFiles& files) {
    std::vector<fs::path> all = files.works;
    all.push_back(files.sheets);
    return all;
}

// A plan is never written over, whatever it is called; nor is a folder.
Status refuseInTheWay(const fs::path& file, const fs::path& plan) {
    std::error_code fault;
    if (!plan.empty() && fs::equivalent(file, plan, fault))
        return Error{ErrorCode::cannotWrite,
                     CORE_TEXT("This is the plan itself. Write the pack to another folder."), file.string()};
    if (fs::is_directory(file, fault))
        return Error{
            ErrorCode::cannotWrite,
            CORE_TEXT("A folder of this name is in the way. Move it, or write the pack to another folder."),
            file.string()};
    return Done{};
}

/// What must be gone again unless the pack is written: the folder aside, and folders made for it.
class Unwind {
public:
    explicit Unwind(const fs::path& folder) : m_aside(folder / kAside) {
        std::error_code fault;
        for (fs::path p = folder; !p.empty() && !fs::exists(p, fault); p = p.parent_path()) {
            m_made.push_back(p);
            if (p == p.parent_path()) break;
        }
    }
    Unwind(const Unwind&) = delete;
    Unwind& operator=(const Unwind&) = delete;
    ~Unwind() {
        std::error_code fault;
        fs::remove_all(m_aside, fault);
        if (m_keep) return;
        for (const fs::path& p : m_made) fs::remove(p, fault); // an empty folder only
    }
    [[nodiscard]] const fs::path& aside() const { return m_aside; }
    void keep() { m_keep = true; }

private:
    fs::path m_aside;
    std::vector<fs::path> m_made; ///< deepest first
    bool m_keep = false;
};

// What a person reads names the file they asked for, not the one aside.
Error about(const Error& error, const fs::path& file) { return {error.code, error.text, file.string()}; }

Status writeAside(const PackContent& content, const PackOptions& options, const std::vector<WorksRow>& rows,
                  const PackFiles& files, const fs::path& aside, const Job& job) {
    std::error_code fault;
    fs::remove_all(aside, fault); // of a program that was ended half way
    if (!fs::create_directory(aside, fault))
        return Error{
            ErrorCode::cannotWrite,
            fmt::format("Nothing can be written to this folder{}{}. Name another one, or change its rights.",
                        fault ? ": " : "", fault ? fault.message() : ""),
            files.sheets.parent_path().string()};
    Job drawing = job;
    if (job.progress)
        drawing.progress = [&job](double share, std::string_view what) { job.report(share * 0.9, what); };
    if (const Status s = printPack(content, options, aside / kSheets, nullptr, drawing); !s)
        return s.error().code == ErrorCode::cancelled ? s.error() : about(s.error(), files.sheets);
    for (std::size_t i = 0; i < std::size(kTargets); ++i) {
        if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped")};
        job.report(0.9 + 0.025 * static_cast<double>(i), CORE_TEXT("writing the works"));
        const Status s = kTargets[i].write(aside / kTargets[i].name, rows, content.overview.planName);
        if (!s) return about(s.error(), files.works[i]);
    }
    if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped")};
    return Done{};
}

} // namespace

void keepOnly(PackContent& content, const std::vector<ItemId>& sites) {
    const auto other = [&](const auto& site) {
        return !std::binary_search(sites.begin(), sites.end(), site);
    };
    const std::size_t all = content.sites.size();
    std::erase_if(content.sites, [&](const auto& s) { return other(s.sheet.mount); });
    std::erase_if(content.overview.sites, [&](const auto& s) { return other(s.mount); });
    if (content.sites.size() < all)
        content.overview.remarks.push_back(fmt::format(
            "This pack holds {} of {} chosen sites; loads and small cells are counted for all of them.",
            content.sites.size(), all));
}

PackFiles packFilesIn(const fs::path& folder) {
    PackFiles files;
    files.sheets = folder / kSheets;
    for (const Target& t : kTargets) files.works.push_back(folder / t.name);
    return files;
}

Status makePackFolder(const fs::path& folder) {
    std::error_code fault;
    fs::create_directories(folder, fault);
    if (fs::is_directory(folder)) return Done{};
    return Error{ErrorCode::cannotWrite,
                 fmt::format("The folder cannot be made{}{}. Name another one.", fault ? ": " : "",
                             fault ? fault.message() : ""),
                 folder.string()};
}

Result<PackFiles> writePackFiles(const PackContent& content, const PackOptions& options,
                                 const fs::path& folder, const fs::path& planFile, const Job& job) {
    std::vector<SiteSheet> sheets;
    sheets.reserve(content.sites.size());
    for (const auto& site : content.sites) sheets.push_back(site.sheet);
    const std::vector<WorksRow> rows = worksRows(sheets);
    PackFiles files = packFilesIn(folder);
    files.sites = sheets.size();
    files.radios = rows.size();
    for (const fs::path& file : allOf(files))
        if (const Status s = refuseInTheWay(file, planFile); !s) return s.error();
    Unwind unwind(folder);
    if (const Status s = makePackFolder(folder); !s) return s.error();
    if (const Status s = writeAside(content, options, rows, files, unwind.aside(), job); !s) return s.error();
    for (const fs::path& file : allOf(files)) {
        std::error_code fault;
        fs::rename(unwind.aside() / file.filename(), file, fault);
        if (fault)
            return Error{ErrorCode::cannotWrite,
                         fmt::format("The file cannot be put in place: {}.", fault.message()), file.string()};
    }
    unwind.keep();
    job.report(1, CORE_TEXT("writing the works"));
    return files;
}

} // namespace fw
