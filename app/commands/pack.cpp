// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/drawing.h"
#include "print/pack_files.h"
#include "study/settled.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw::cli {
namespace {

namespace fs = std::filesystem;

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
    options.workings = request.working;
    progress.check();
    auto written = writePackFiles(content, options, folder, opened.path, progress.job());
    if (!written) progress.check(); // nothing is left of it
    deliver(listing(take(std::move(written))));
    return exitClean;
}

} // namespace fw::cli
