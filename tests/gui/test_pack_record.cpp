// SPDX-License-Identifier: GPL-3.0-or-later
// The pack as drawings for the screen, and as files: what is shown is what is printed, and what is written is
// whole or not there.
#include "catch.h"
#include "gui/fresh_folder.h"
#include "gui/gui_app.h"
#include "gui/pack_demo.h"
#include "gui/pdf_reader.h"
#include "print/pack_files.h"
#include "support/places.h"

#include <cmath>
#include <fstream>

using namespace fw;
using fwtest::DemoNames;
using fwtest::demoPack;
namespace fs = std::filesystem;

namespace {

Job stoppedJob() {
    std::stop_source stop;
    stop.request_stop();
    Job job;
    job.stop = stop.get_token();
    return job;
}

} // namespace

TEST_CASE("a page on the screen is the page of the PDF", "[pack][slow]") {
    fwtest::needGuiApp();
    const fs::path dir = fwtest::freshFolder("pack_record/equal");
    fs::create_directories(dir);
    for (const auto names : {DemoNames::plain, DemoNames::nasty}) {
        const PackContent content = demoPack(names);
        PackOptions options;
        options.page = names == DemoNames::plain ? QPageSize::A4 : QPageSize::Letter;
        options.hillshade = names == DemoNames::plain;
        PackRecord onPaper, onScreen;
        REQUIRE(printPack(content, options, dir / "pack.pdf", &onPaper).ok());
        const auto pages = recordPack(content, options, &onScreen);
        REQUIRE(pages.ok());
        REQUIRE(static_cast<qsizetype>(pages->size()) == onPaper.pages.size());
        REQUIRE(onScreen.pages.size() == onPaper.pages.size());
        CHECK(static_cast<int>(pages->size()) == fwtest::pagesIn(dir / "pack.pdf"));
        for (std::size_t n = 0; n < pages->size(); ++n) {
            INFO("page " << n + 1);
            const auto i = static_cast<qsizetype>(n);
            REQUIRE(onScreen.pages[i].blocks.size() == onPaper.pages[i].blocks.size());
            for (qsizetype b = 0; b < onPaper.pages[i].blocks.size(); ++b)
                CHECK(onScreen.pages[i].blocks[b].rect == onPaper.pages[i].blocks[b].rect);
            // Cover, lists, a site's two pages; the others are of the same kinds.
            if (names == DemoNames::nasty && n > 2 && (n < 15 || n > 17)) continue;
            const QImage paper = fwtest::pageOf(dir / "pack.pdf", static_cast<int>(n) + 1, dir / "page");
            const QImage screen = fwtest::shownPage((*pages)[n], paper.size());
            CHECK(fwtest::samePage(paper, screen));
        }
    }
}

TEST_CASE("pages for the screen are refused and stopped as the PDF is", "[pack]") {
    fwtest::needGuiApp();
    PackOptions options;
    options.page = QPageSize::A5;
    CHECK_FALSE(recordPack(demoPack(), options).ok());
    const auto stopped = recordPack(demoPack(), {}, nullptr, stoppedJob());
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().code == ErrorCode::cancelled);
}

TEST_CASE("progress of drawing never falls and ends whole", "[pack]") {
    fwtest::needGuiApp();
    double last = 0;
    bool falls = false;
    Job job;
    job.progress = [&](double share, std::string_view) {
        falls = falls || share < last;
        last = share;
    };
    const fs::path dir = fwtest::freshFolder("pack_record/progress");
    REQUIRE(writePackFiles(demoPack(), {}, dir, {}, job).ok());
    CHECK_FALSE(falls);
    CHECK(last == 1);
}

TEST_CASE("a pack is written whole, over the one before, and leaves nothing else", "[pack]") {
    fwtest::needGuiApp();
    const fs::path dir = fwtest::freshFolder("pack_record/whole") / "deep" / "er";
    PackContent content = demoPack();
    const std::size_t all = content.sites.size();
    keepOnly(content, {content.sites.front().sheet.mount});
    const auto written = writePackFiles(content, {}, dir, {});
    REQUIRE(written.ok());
    CHECK(written->sites == 1);
    CHECK(written->radios == content.sites.front().sheet.radios.size());
    CHECK(written->works.size() == 4);
    std::ofstream(written->works.back()) << "older";
    REQUIRE(writePackFiles(content, {}, dir, {}).ok());
    CHECK(fs::file_size(written->works.back()) > 100);
    CHECK(std::distance(fs::directory_iterator(dir), fs::directory_iterator()) == 5);
    CHECK(fwtest::textIn(written->sheets)
              .simplified()
              .contains(QStringLiteral("This pack holds 1 of %1 chosen sites").arg(all)));
}

TEST_CASE("a pack that is stopped or refused leaves the folder as it was", "[pack]") {
    fwtest::needGuiApp();
    const fs::path dir = fwtest::freshFolder("pack_record/refused");
    const auto stopped = writePackFiles(demoPack(), {}, dir / "new", {}, stoppedJob());
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().code == ErrorCode::cancelled);
    CHECK_FALSE(fs::exists(dir)); // not even the folder
    // Stopped between two files: an earlier pack stays as it is.
    REQUIRE(writePackFiles(demoPack(), {}, dir, {}).ok());
    const PackFiles files = packFilesIn(dir);
    std::ofstream(files.sheets) << "earlier";
    std::stop_source stop;
    Job job;
    job.stop = stop.get_token();
    job.progress = [&](double share, std::string_view) {
        if (share > 0.92) stop.request_stop();
    };
    CHECK_FALSE(writePackFiles(demoPack(), {}, dir, {}, job).ok());
    CHECK(fs::file_size(files.sheets) == 7);
    CHECK(std::distance(fs::directory_iterator(dir), fs::directory_iterator()) == 5);
    // Something in the way, found before anything is written.
    fs::remove(files.works.front());
    fs::create_directory(files.works.front());
    const auto blocked = writePackFiles(demoPack(), {}, dir, {});
    REQUIRE_FALSE(blocked.ok());
    CHECK(blocked.error().sentence().find("works.gpkg") != std::string::npos);
    CHECK(fs::file_size(files.sheets) == 7);
    // The plan itself, under a name of ours.
    const auto plan = writePackFiles(demoPack(), {}, dir, files.works.back());
    REQUIRE_FALSE(plan.ok());
    CHECK(fs::file_size(files.sheets) == 7);
    // A file where the folder should be.
    const auto through = writePackFiles(demoPack(), {}, files.sheets, {});
    REQUIRE_FALSE(through.ok());
    CHECK(through.error().context == files.sheets.string());
}
