// SPDX-License-Identifier: GPL-3.0-or-later
// The evidence page: one page on any paper, nothing over anything, figures as the core has them, read back
// from the finished PDF by poppler.
#include "catch.h"
#include "gui/gui_app.h"
#include "gui/pack_demo.h"
#include "gui/pdf_reader.h"
#include "print/evidence_page.h"
#include "support/places.h"

#include <filesystem>

using namespace fw;
using fwtest::DemoNames;
namespace fs = std::filesystem;

namespace {

fs::path file(const char* name) {
    const fs::path dir = fw::testing::builtFile("test_files/evidence");
    fs::create_directories(dir);
    return dir / name;
}

// A town's overview and map with made-up loads: `full` cells over the trigger.
Evidence demo(DemoNames names, std::size_t full) {
    const PackContent pack = fwtest::demoPack(names);
    Evidence e;
    e.overview = pack.overview;
    e.map = pack.map;
    e.draws = 500;
    e.figures = {EvidenceFigure{"3 of 4", "full cells come down to their target"},
                 EvidenceFigure{"71 in 100", "draws of what may be off bring all of them down"},
                 EvidenceFigure{"14 months", "until the first is over the trigger again"},
                 EvidenceFigure{"23 cells", "to build on 21 mounts"},
                 EvidenceFigure{"117 points", "of PRB use taken off; blocking findings open: 2"}};
    const std::string long_ =
        names == DemoNames::nasty
            ? "A cell whose name is a good deal longer than anybody would wish for it, 1800"
            : "Harbour Exchange 2-L18";
    for (std::size_t k = 0; k < full; ++k) {
        EvidenceRow r;
        r.name = long_;
        r.ways.before = 0.91 - 0.01 * static_cast<double>(k);
        r.ways.target = 0.6;
        r.ways.fullMonths = 5.7;
        r.ways.carriers = k % 2 ? 3 : 1;
        r.ways.balanced = 0.63;
        r.ways.lit = 0.48;
        r.ways.split = 0.53;
        r.ways.small = 0.57;
        r.ways.advice = k % 3 ? Advice::smallCells : Advice::combine;
        r.ways.reason =
            "Nothing alone brings it to 60 %: the chosen small cells leave 62 %; balancing its 3 carriers "
            "would leave 63 %, one carrier more 61 %, a split sector 64 %.";
        r.after = {0.512, 0.571, 0.634};
        r.reaches = 0.71;
        e.rows.push_back(r);
    }
    EvidenceChance c{long_, 0.6, 0.57, 0.71, {0.512, 0.571, 0.634}, {}};
    c.alone = {{"shadowing", {0.52, 0.57, 0.62}},
               {"demand", {0.54, 0.57, 0.6}},
               {"macro azimuths", {0.56, 0.57, 0.58}},
               {"radios as built", {0.568, 0.57, 0.572}}};
    e.chance = c;
    return e;
}

} // namespace

TEST_CASE("the evidence is one page on every paper, and nothing lies over anything", "[pack][slow]") {
    fwtest::needGuiApp();
    const auto names = GENERATE(DemoNames::plain, DemoNames::nasty);
    const auto full = GENERATE(std::size_t{1}, std::size_t{5}, std::size_t{12});
    for (const auto page : {QPageSize::A4, QPageSize::Letter, QPageSize::A3}) {
        INFO("full cells " << full << ", paper " << page
                           << (names == DemoNames::nasty ? ", nasty names" : ""));
        PackRecord record;
        REQUIRE(printEvidence(demo(names, full), page, file("page.pdf"), &record).ok());
        REQUIRE(record.pages.size() == 1);
        CHECK(fwtest::pagesIn(file("page.pdf")) == 1);
        const PageRecord& p = record.pages.front();
        for (qsizetype i = 0; i < p.blocks.size(); ++i) {
            const PlacedBlock& a = p.blocks[i];
            if (a.what != "foot" && a.what != "page number") {
                INFO(a.what.toStdString() << " at " << a.rect.left() << ", " << a.rect.top());
                CHECK(p.contentMm.adjusted(-0.3, -0.3, 0.3, 0.3).contains(a.rect));
            }
            for (qsizetype k = 0; k < i; ++k) {
                const QRectF both = a.rect & p.blocks[k].rect;
                INFO(a.what.toStdString() << " over " << p.blocks[k].what.toStdString());
                CHECK((both.width() < 0.3 || both.height() < 0.3));
            }
        }
    }
}

TEST_CASE("the evidence says its figures in the PDF's text", "[pack]") {
    fwtest::needGuiApp();
    const Evidence e = demo(DemoNames::plain, 4);
    REQUIRE(printEvidence(e, QPageSize::A4, file("text.pdf")).ok());
    const QString text = fwtest::textIn(file("text.pdf"));
    for (const EvidenceFigure& f : e.figures) CHECK(text.contains(QString::fromStdString(f.value)));
    for (const char* said :
         {"Evidence for approval", "Harbour Exchange 2-L18", "71 in 100", "5 months", "63 %", "48 %", "53 %",
          "57 %", "500 draws", "local codes and licensed practice"})
        CHECK(text.contains(QString::fromUtf8(said)));
}

TEST_CASE("an evidence page that cannot be written is refused by a sentence", "[pack]") {
    fwtest::needGuiApp();
    CHECK_FALSE(printEvidence(demo(DemoNames::plain, 1), QPageSize::A5, file("no.pdf")).ok());
    const Status nowhere =
        printEvidence(demo(DemoNames::plain, 1), QPageSize::A4, file("none") / "x" / "y.pdf");
    REQUIRE_FALSE(nowhere.ok());
    CHECK_FALSE(nowhere.error().text.empty());
}
