// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "print/pack_files.h"
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
    std::vector<ItemId> all = chosenMounts(study);
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

std::string listing(const PackFiles& files) {
    std::string text =
        fmt::format("{}: sites {}, radios {}\n", files.sheets.string(), files.sites, files.radios);
    for (const fs::path& file : files.works) text += file.string() + "\n";
    return text;
}

} // namespace

int runPack(const PackRequest& request, std::stop_token stop, int& argc, char** argv) {
    const Progress progress(std::move(stop));
    const OpenPlan opened = openAs(request.choice);
    const auto field = take(MagneticField::load(dataFolder() / "magnetic"));
    const fs::path folder = request.folder;
    take(makePackFolder(folder)); // said before anything long begins
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
    progress.check();
    auto written = writePackFiles(content, options, folder, opened.path, progress.job());
    if (!written) progress.check(); // nothing is left of it
    deliver(listing(take(std::move(written))));
    return exitClean;
}

} // namespace fw::cli
