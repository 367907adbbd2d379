// SPDX-License-Identifier: GPL-3.0-or-later
// The preview of the pack: what is shown follows plan and choice, and is what is written.
#include "catch.h"
#include "dialogs/pack_preview.h"
#include "dialogs/pack_sites.h"
#include "dialogs/page_column.h"
#include "gui/fresh_folder.h"
#include "gui/gui_app.h"
#include "gui/pdf_reader.h"
#include "gui/window_plan.h"
#include "support/places.h"

#include <QCheckBox>
#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QScrollBar>
#include <QSignalSpy>
#include <QWheelEvent>

#include <fstream>

using namespace fw;
using fwtest::kPatienceMs;
namespace fs = std::filesystem;

namespace {

const MagneticField& field() {
    static const auto loaded = MagneticField::load(fw::testing::sourceFile("resources/magnetic"));
    REQUIRE(loaded.ok());
    return *loaded;
}

/// A plan of two sites with the preview open before it.
struct Fixture {
    Fixture() : made((fwtest::needGuiApp(), fwtest::windowPlan())) {
        REQUIRE(space.document.adopt(made.loaded).ok());
        preview = std::make_unique<PackPreview>(space, &field());
    }
    void open() {
        preview->show();
        REQUIRE(fwtest::allQuiet(space));
        ready();
    }
    void ready() {
        REQUIRE(QTest::qWaitFor([this] { return preview->current(); }, kPatienceMs));
    }
    template <class W>
    W* child(const char* text = nullptr) {
        for (W* w : preview->findChildren<W*>())
            if (!text || says(w).contains(QLatin1String(text))) return w;
        FAIL("no such part");
        return nullptr;
    }
    static QString says(const QAbstractButton* b) { return b->text(); }
    static QString says(const QLabel* l) { return l->text(); }
    static QString says(const QWidget* w) { return w->accessibleName(); }
    bool saysSomewhere(const QString& text) {
        for (const QLabel* l : preview->findChildren<QLabel*>())
            if (l->isVisible() && l->text().contains(text)) return true;
        return false;
    }
    PageColumn* pages() { return child<PageColumn>(); }
    PackSites* sites() { return child<PackSites>(); }
    std::vector<ItemId> mounts() { return packSites(space.document.plan()); }

    fwtest::WindowPlan made;
    Workspace space;
    std::unique_ptr<PackPreview> preview;
};

} // namespace

TEST_CASE("the preview shows the cover and two pages a site", "[pack_preview]") {
    Fixture f;
    f.open();
    CHECK(f.sites()->siteCount() == 2);
    CHECK(f.preview->sheets()->content.sites.size() == 2);
    CHECK(f.pages()->pageCount() == 3 + 2 * 2); // an overview of three
    CHECK(f.saysSomewhere("page 1 of 7"));
    CHECK(f.child<QPushButton>("Write")->isEnabled());
    // Only what is in sight is drawn.
    f.preview->grab();
    CHECK(f.pages()->drawnPages() >= 1);
    CHECK(f.pages()->drawnPages() <= 3);
}

TEST_CASE("fewer sites give fewer pages, and the pack says so", "[pack_preview]") {
    Fixture f;
    f.open();
    const int all = f.pages()->pageCount();
    // By hand, on the row of the second site.
    QTreeWidgetItem* row = f.sites()->topLevelItem(1);
    f.sites()->setCurrentItem(row);
    f.sites()->setFocus();
    QTest::keyClick(f.sites(), Qt::Key_Space);
    REQUIRE(row->checkState(0) == Qt::Unchecked);
    CHECK_FALSE(f.preview->current());
    CHECK(f.pages()->stale());            // marked,
    CHECK(f.pages()->pageCount() == all); // and still there
    CHECK_FALSE(f.child<QPushButton>("Write")->isEnabled());
    f.ready();
    CHECK(f.pages()->pageCount() == all - 2);
    CHECK_FALSE(f.pages()->stale());
    CHECK(f.saysSomewhere("1 of 2 sites"));
    const auto& remarks = f.preview->sheets()->content.overview.remarks;
    REQUIRE_FALSE(remarks.empty());
    CHECK(remarks.back().find("This pack holds 1 of 2 chosen sites") == 0);
    // The same from outside.
    f.preview->setSites({f.mounts()[1]});
    f.ready();
    CHECK(f.preview->sheets()->content.sites.at(0).sheet.mount == f.mounts()[1]);
    f.preview->setSites({});
    CHECK(QTest::qWaitFor([&] { return f.pages()->pageCount() == 0; }, kPatienceMs));
    CHECK_FALSE(f.preview->current());
}

TEST_CASE("paper, issue and hillshade change the pages", "[pack_preview]") {
    Fixture f;
    f.open();
    auto* paper = f.child<QComboBox>();
    paper->setCurrentIndex(paper->findData(QPageSize::A3));
    f.child<QCheckBox>("Hillshade")->setChecked(true);
    f.ready();
    const std::size_t without = f.preview->sheets()->pages.size();
    f.child<QCheckBox>("Wo&rkings")->setChecked(true);
    for (QLineEdit* e : f.preview->findChildren<QLineEdit*>())
        if (e->text() == "1") e->setText("7b");
    f.ready();
    CHECK(f.preview->sheets()->pages.front().sheetMm.width() == Approx(297).margin(0.2));
    CHECK(f.preview->sheets()->choice.options.hillshade);
    CHECK(f.preview->sheets()->pages.size() > without);
    CHECK(f.preview->sheets()->content.overview.issue.number == "7b");
    CHECK(f.preview->sheets()->content.overview.issue.date ==
          QDate::currentDate().toString(Qt::ISODate).toStdString());
}

TEST_CASE("what is written is what is shown", "[pack_preview]") {
    Fixture f;
    f.open();
    const fs::path dir = fwtest::freshFolder("pack_preview/written") / "new";
    f.preview->setFolder(fwtest::pathOf(dir));
    QSignalSpy written(f.preview.get(), &PackPreview::written);
    QTest::mouseClick(f.child<QPushButton>("Write"), Qt::LeftButton);
    REQUIRE(QTest::qWaitFor([&] { return written.count() == 1; }, kPatienceMs));
    CHECK(written.at(0).at(0).toString() == fwtest::pathOf(dir));
    const PackFiles files = packFilesIn(dir);
    for (const fs::path& file : files.works) CHECK(fs::file_size(file) > 0);
    CHECK(std::distance(fs::directory_iterator(dir), fs::directory_iterator()) == 5);
    CHECK(f.saysSomewhere("in 5 files"));
    CHECK(f.saysSomewhere("file://")); // a link that opens the folder
    CHECK(f.saysSomewhere("will be replaced"));
    const QString text = fwtest::textIn(files.sheets);
    for (const ItemId m : f.mounts())
        CHECK(text.contains(QString::fromStdString(f.space.document.plan().mounts.find(m)->name)));
    const int pages = fwtest::pagesIn(files.sheets);
    REQUIRE(pages == f.pages()->pageCount());
    for (int n = 1; n <= pages; ++n) {
        INFO("page " << n);
        const QImage paper = fwtest::pageOf(files.sheets, n, dir.parent_path() / "page");
        const auto& page = f.preview->sheets()->pages[static_cast<std::size_t>(n - 1)];
        CHECK(fwtest::samePage(paper, fwtest::shownPage(page, paper.size())));
        if (n == 3) // and another page is not the same
            CHECK_FALSE(
                fwtest::samePage(paper, fwtest::shownPage(f.preview->sheets()->pages.back(), paper.size())));
    }
}

TEST_CASE("a folder that cannot be written to gives a sentence in place", "[pack_preview]") {
    Fixture f;
    f.open();
    const fs::path dir = fwtest::freshFolder("pack_preview/refused");
    fs::create_directories(dir);
    std::ofstream(dir / "file") << "mine";
    QSignalSpy written(f.preview.get(), &PackPreview::written);
    f.preview->setFolder(fwtest::pathOf(dir / "file"));
    f.preview->write();
    CHECK(QTest::qWaitFor([&] { return f.saysSomewhere("The folder cannot be made"); }, kPatienceMs));
    CHECK(fs::file_size(dir / "file") == 4);
    f.preview->setFolder("somewhere");
    f.preview->write();
    CHECK(f.saysSomewhere("Name the folder"));
    CHECK(f.preview->findChild<QDialog*>() == nullptr); // no box
    CHECK(written.isEmpty());
    f.preview->setFolder("~/pack");
    CHECK(f.preview->folder() == QDir::homePath() + "/pack");
}

TEST_CASE("a writing that is stopped leaves nothing behind", "[pack_preview]") {
    Fixture f;
    f.open();
    const fs::path dir = fwtest::freshFolder("pack_preview/stopped");
    f.preview->setFolder(fwtest::pathOf(dir));
    f.space.jobs.setResting(true); // holds the work until it was stopped
    f.preview->write();
    CHECK(f.child<QPushButton>("Stop writing")->isEnabled());
    f.preview->write();
    f.space.jobs.setResting(false);
    CHECK(QTest::qWaitFor([&] { return f.saysSomewhere("nothing was written"); }, kPatienceMs));
    CHECK_FALSE(fs::exists(dir));
    CHECK(f.child<QPushButton>("Write")->isEnabled());
}

TEST_CASE("stopping the sheets keeps the old ones, marked, and they can be drawn again", "[pack_preview]") {
    Fixture f;
    f.open();
    const int all = f.pages()->pageCount();
    f.space.jobs.setResting(true);
    f.preview->setSites({f.mounts()[0]});
    auto* stop = f.child<QPushButton>("&Stop");
    REQUIRE(QTest::qWaitFor([&] { return stop->isVisible(); }, kPatienceMs));
    QTest::mouseClick(stop, Qt::LeftButton);
    f.space.jobs.setResting(false);
    CHECK_FALSE(stop->isVisible());
    CHECK(f.saysSomewhere("Stopped"));
    QTest::qWait(400);
    CHECK_FALSE(f.preview->current());
    CHECK(f.pages()->stale());
    CHECK(f.pages()->pageCount() == all);
    emit f.child<QLabel>("Draw again")->linkActivated("draw-again");
    f.ready();
    CHECK(f.pages()->pageCount() == all - 2);
}

TEST_CASE("the sheets follow an edit, and an undo", "[pack_preview]") {
    Fixture f;
    f.open();
    Mount mount = *f.space.document.plan().mounts.find(f.mounts()[0]);
    mount.name = "Bollard Row";
    const Edit renamed = Edit{"Rename", {Put{mount}}};
    REQUIRE(f.space.document.perform(renamed).ok());
    CHECK_FALSE(f.preview->current());
    CHECK(f.pages()->stale());
    CHECK(f.sites()->topLevelItem(0)->text(0) == "Bollard Row");
    REQUIRE(fwtest::allQuiet(f.space));
    f.ready();
    CHECK(f.preview->sheets()->content.sites[0].sheet.name == "Bollard Row");
    f.space.document.history().undo();
    REQUIRE(fwtest::allQuiet(f.space));
    f.ready();
    CHECK(f.preview->sheets()->content.sites[0].sheet.name != "Bollard Row");
}

TEST_CASE("a plan without a chosen small cell says what to do", "[pack_preview]") {
    Fixture f;
    f.open();
    for (const SmallCell& s : std::vector<SmallCell>(f.space.document.plan().smallCells.begin(),
                                                     f.space.document.plan().smallCells.end())) {
        SmallCell left = s;
        left.chosen = false;
        REQUIRE(f.space.document.perform(Edit{"Leave out", {Put{left}}}).ok());
    }
    CHECK(QTest::qWaitFor([&] { return f.pages()->pageCount() == 0; }, kPatienceMs));
    CHECK(f.pages()->accessibleDescription().contains("No small cell is chosen"));
    CHECK_FALSE(f.child<QPushButton>("Write")->isEnabled());
    // Without a magnetic model there is no sheet either, and the reason is given.
    Workspace other;
    REQUIRE(other.document.adopt(f.made.loaded).ok());
    PackPreview blind(other, nullptr);
    blind.show();
    auto* pages = blind.findChild<PageColumn*>();
    CHECK(QTest::qWaitFor([&] { return pages->accessibleDescription().contains("magnetic model"); },
                          kPatienceMs));
}

TEST_CASE("pages are turned and zoomed from the keyboard", "[pack_preview]") {
    Fixture f;
    f.open();
    PageColumn* pages = f.pages();
    pages->setFocus();
    QTest::keyClick(pages, Qt::Key_PageDown);
    CHECK(pages->currentPage() == 2);
    QTest::keyClick(pages, Qt::Key_PageDown);
    CHECK(pages->currentPage() == 3);
    QTest::keyClick(pages, Qt::Key_PageUp);
    CHECK(pages->currentPage() == 2);
    CHECK(f.saysSomewhere("page 2 of 7"));
    QTest::keyClick(pages, Qt::Key_End);
    CHECK(pages->currentPage() == 7);
    QTest::keyClick(pages, Qt::Key_Home);
    CHECK(pages->currentPage() == 1);
    CHECK(pages->fitsWidth());
    const double fit = pages->zoom();
    QTest::keyClick(pages, Qt::Key_Plus);
    CHECK(pages->zoom() == Approx(fit * 1.2));
    CHECK_FALSE(pages->fitsWidth());
    QTest::keyClick(pages, Qt::Key_Minus);
    CHECK(pages->zoom() == Approx(fit));
    // What is under the pointer stays there: one turn of the wheel and back is the same view.
    pages->goToPage(3);
    const int at = pages->verticalScrollBar()->value();
    for (const int turn : {120, -120}) {
        QWheelEvent wheel(QPointF(200, 150), pages->viewport()->mapToGlobal(QPointF(200, 150)), {},
                          QPoint(0, turn), Qt::NoButton, Qt::ControlModifier, Qt::NoScrollPhase, false);
        QCoreApplication::sendEvent(pages->viewport(), &wheel);
    }
    CHECK(std::abs(pages->verticalScrollBar()->value() - at) <= 2); // whole pixels, twice
    QTest::keyClick(pages, Qt::Key_0);
    CHECK(pages->fitsWidth());
}
