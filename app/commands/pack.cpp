// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/pack.h"
#include "commands/commands.h"
#include "delivery/export_works.h"
#include "study/settled.h"

#include <QGuiApplication>

#include <algorithm>
#include <clocale>
#include <cstdlib>
#include <fmt/format.h>

namespace fw::cli {
namespace {

namespace fs = std::filesystem;

QPageSize::PageSizeId pageFor(const std::string& paper) {
    return paper == "A3" ? QPageSize::A3 : paper == "Letter" ? QPageSize::Letter : QPageSize::A4;
}

std::vector<ItemId> wantedSites(const Study& study, const std::vector<std::string>& names) {
    const std::vector<ItemId> all = chosenMounts(study);
    if (names.empty()) return all;
    std::vector<ItemId> out;
    for (const std::string& name : names) {
        const ItemId mount = itemCalled(study.plan(), name, {Kind::mount});
        if (!std::binary_search(all.begin(), all.end(), mount))
            throw Failure{exitUsage,
                          fmt::format("{}: No small cell is chosen there in this variant, so there "
                                      "is no sheet for it.",
                                      name)};
        out.push_back(mount);
    }
    std::sort(out.begin(), out.end());
    return out;
}

// Leaves the sheets of the sites that were asked for; the figures of the cover stay those of the whole plan.
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

fs::path folderFor(const std::string& name) {
    std::error_code fault;
    fs::create_directories(name, fault);
    if (!fs::is_directory(name))
        throw Failure{exitFile, fmt::format("{}: The folder cannot be made{}{}. Name another one.", name,
                                            fault ? ": " : "", fault ? fault.message() : "")};
    return name;
}

// A plan is never written over, whatever it is called.
void refuseIfPlan(const fs::path& file, const fs::path& plan) {
    std::error_code fault;
    if (fs::equivalent(file, plan, fault))
        throw Failure{exitFile, fmt::format("{}: This is the plan itself. Write the pack to another folder.",
                                            file.string())};
}

// What Qt has to say goes where all talk goes. That a server has no runtime folder concerns nobody here.
void sayForQt(QtMsgType type, const QMessageLogContext&, const QString& text) {
    if (type == QtDebugMsg || type == QtInfoMsg || text.startsWith("QStandardPaths:")) return;
    say(text.toStdString());
}

/// Needed for drawing and fonts; without a display it draws into memory.
class Drawing {
public:
    Drawing(int& argc, char** argv) : m_app(prepared(argc), argv) {
        // Qt has just taken over the user's locale; numbers stay in C notation.
        std::setlocale(LC_NUMERIC, "C");
    }

private:
    static int& prepared(int& argc) {
        qInstallMessageHandler(sayForQt);
        const auto set = [](const char* name) {
            const char* value = std::getenv(name);
            return value && *value;
        };
        if (!set("DISPLAY") && !set("WAYLAND_DISPLAY") && !set("QT_QPA_PLATFORM"))
            setenv("QT_QPA_PLATFORM", "offscreen", 1);
        return argc;
    }
    QGuiApplication m_app;
};

struct Target {
    const char* name;
    Status (*write)(const fs::path&, const std::vector<WorksRow>&, const std::string& title);
};

// Names of our own, so that a second pack replaces the first and nothing else.
constexpr const char* kSheets = "site-plan.pdf";
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

std::string writeAll(const PackContent& content, const PackOptions& options, const fs::path& folder,
                     const fs::path& plan, const Progress& progress) {
    std::vector<SiteSheet> sheets;
    for (const auto& site : content.sites) sheets.push_back(site.sheet);
    const std::vector<WorksRow> rows = worksRows(sheets);
    for (const Target& t : kTargets) refuseIfPlan(folder / t.name, plan);
    refuseIfPlan(folder / kSheets, plan);
    progress.check();
    take(printPack(content, options, folder / kSheets));
    std::string text =
        fmt::format("{}: sites {}, radios {}\n", (folder / kSheets).string(), sheets.size(), rows.size());
    for (const Target& t : kTargets) {
        progress.check();
        take(t.write(folder / t.name, rows, content.overview.planName));
        text += (folder / t.name).string() + "\n";
    }
    return text;
}

} // namespace

int runPack(const PackRequest& request, std::stop_token stop, int& argc, char** argv) {
    const Progress progress(std::move(stop));
    const OpenPlan opened = openAs(request.choice);
    const auto field = take(MagneticField::load(dataFolder() / "magnetic"));
    const fs::path folder = folderFor(request.folder);
    const auto study = computed(opened, request.choice.threads, progress);
    const std::vector<ItemId> sites = wantedSites(*study, request.sites);
    const Review review = reviewAll(*study, {}, progress.job());
    progress.check();
    const Ledger ledger = take(settle(*study, progress.job(), request.choice.threads));
    PackContent content = take(packContent(*study, review, ledger, field));
    keepOnly(content, sites);
    const Drawing drawing(argc, argv);
    PackOptions options;
    options.page = pageFor(request.paper);
    deliver(writeAll(content, options, folder, opened.path, progress));
    return exitClean;
}

} // namespace fw::cli
