// SPDX-License-Identifier: GPL-3.0-or-later
// Pictures of the window, compared with those in tests/gui/screens. FRINGEWRIGHT_SCREENS=write makes them
// anew: look at each before it is kept; FRINGEWRIGHT_SCREENS_FULL=<folder> also saves them at full size.
// Actual picture and difference of a failure lie in build/.../screens.
#include "catch.h"
#include "charts/chance_chart.h"
#include "gui_app.h"
#include "support/places.h"
#include "window_plan.h"

#include "bench/stage_table.h"
#include "canvas/map_view.h"
#include "canvas/shown_card.h"
#include "canvas/swipe_divider.h"
#include "charts/chance_chart.h"
#include "dialogs/pack_preview.h"
#include "main_window.h"
#include "skyline/skyline_view.h"

#include <QDateEdit>
#include <QDir>
#include <QSettings>

using namespace fw;
using namespace fwtest;

namespace {

/// Pictures are kept at half their size: what differs by more than a rounding of text still shows, and the
/// files stay small.
constexpr double kKept = 0.5;
/// Two builds of the same font library place glyphs alike to a fraction of a pixel; a channel may be off by
/// this much ...
constexpr int kFuzz = 28;
/// ... and of all pixels this share by more (the edge of a glyph here and there), before a picture counts as
/// another.
constexpr double kAllowed = 0.004;

QImage kept(const QWidget& w, double size) {
    const QImage all = const_cast<QWidget&>(w).grab().toImage().convertToFormat(QImage::Format_RGB32);
    const QString full = qEnvironmentVariable("FRINGEWRIGHT_SCREENS_FULL");
    if (!full.isEmpty()) all.save(full + QStringLiteral("/%1.png").arg(w.property("picture").toString()));
    QImage one = all.scaled(w.size() * size, Qt::IgnoreAspectRatio, Qt::SmoothTransformation);
    one.setDevicePixelRatio(1);
    return one.convertToFormat(QImage::Format_RGB32);
}

double shareThatDiffers(const QImage& a, const QImage& b, QImage& difference) {
    if (a.size() != b.size()) return 1;
    difference = QImage(a.size(), QImage::Format_RGB32);
    long n = 0;
    for (int y = 0; y < a.height(); ++y)
        for (int x = 0; x < a.width(); ++x) {
            const QRgb p = a.pixel(x, y), q = b.pixel(x, y);
            const int d = std::max({std::abs(qRed(p) - qRed(q)), std::abs(qGreen(p) - qGreen(q)),
                                    std::abs(qBlue(p) - qBlue(q))});
            n += d > kFuzz;
            difference.setPixel(x, y, d > kFuzz ? qRgb(255, 0, 0) : qRgb(255 - d, 255 - d, 255 - d));
        }
    return static_cast<double>(n) / (static_cast<double>(a.width()) * a.height());
}

void checkPicture(const QString& name, QWidget& widget, double size = kKept) {
    INFO(name.toStdString());
    widget.setProperty("picture", name);
    const QImage now = kept(widget, size);
    const QString file = QString::fromStdString(testing::sourceFile("tests/gui/screens")) +
                         QStringLiteral("/%1.png").arg(name);
    if (qEnvironmentVariable("FRINGEWRIGHT_SCREENS") == QLatin1String("write")) {
        QDir().mkpath(QFileInfo(file).path());
        // Few enough colours for a small file; the error is far below what counts as another.
        REQUIRE(now.convertToFormat(QImage::Format_RGB444).save(file, "PNG", 0));
        return;
    }
    QImage before(file);
    REQUIRE_FALSE(before.isNull());
    before = before.convertToFormat(QImage::Format_RGB32);
    QImage difference;
    const double share = shareThatDiffers(now, before, difference);
    if (share > kAllowed) {
        const QString folder = QString::fromStdString(testing::builtFile("screens"));
        QDir().mkpath(folder);
        now.save(folder + QLatin1Char('/') + name + QStringLiteral("-actual.png"));
        difference.save(folder + QLatin1Char('/') + name + QStringLiteral("-difference.png"));
    }
    CHECK(share <= kAllowed);
}

/// Port Merrow in the window, everything computed. Made once: the computation takes seconds.
MainWindow& portMerrow() {
    static MainWindow* window = [] {
        QSettings().clear(); // what an earlier window remembered
        auto* w = new MainWindow(
            WindowData{testing::sourceFile("sample-projects/port-merrow/port-merrow.plan.gpkg"),
                       MagneticField::load(fw::testing::sourceFile("resources/magnetic")).value(), "test"});
        w->resize(1440, 900);
        w->show();
        w->openSample();
        return w;
    }();
    REQUIRE(QTest::qWaitFor([] { return window->space().document.isOpen(); }, kPatienceMs));
    REQUIRE(allQuiet(window->space(), 240000));
    return *window;
}

void settleDown(MainWindow& w) {
    // What follows the figures (words of the stages, remedies, aim rose) starts a little later, each after
    // the other.
    for (int round = 0; round < 3; ++round) {
        QTest::qWait(150);
        REQUIRE(QTest::qWaitFor([&] { return w.map()->sharp(); }, kPatienceMs));
        REQUIRE(w.space().jobs.waitForDone(kPatienceMs));
    }
    const auto* chance = w.findChild<ChanceChart*>();
    if (chance && chance->isVisible() && w.space().live.settled()) // comes last, after a moment's calm
        REQUIRE(QTest::qWaitFor([&] { return w.space().chance.chance() != nullptr; }, 240000));
    if (QWidget* focus = QApplication::focusWidget()) focus->clearFocus();
    QTest::qWait(50);
}

/// The chosen mount with the most relief, something is to be seen round it; of those within a distance of a
/// macro site.
ItemId bestMount(MainWindow& w, double macroWithinM = 1e9) {
    const auto study = w.space().live.study();
    const Plan& plan = w.space().document.plan();
    const auto nearMacro = [&](ItemId mount) {
        const PlanePoint at = plan.mounts.find(mount)->at;
        return std::any_of(plan.macroSites.begin(), plan.macroSites.end(),
                           [&](const MacroSite& s) { return planeDistance(s.at, at) < macroWithinM; });
    };
    ItemId best;
    double most = -1;
    for (const SmallCellPart& s : study->smallCells())
        if (s.chosen && nearMacro(s.mount) && study->reliefPoints(s.id) > most) {
            most = study->reliefPoints(s.id);
            best = s.mount;
        }
    return best;
}

void goTo(MainWindow& w, ItemId mount, double metresPerPixel) {
    w.space().selection.setOne(mount);
    const PlanePoint at = w.space().document.plan().mounts.find(mount)->at;
    Camera c = w.map()->camera();
    c.centre = {at.x + 1e5, at.y};
    c.metresPerPixel = metresPerPixel;
    w.map()->setCamera(c);
    w.map()->reveal(at);
}

void stage(MainWindow& w, int k) {
    if (w.stages()->current() != k) QTest::mouseClick(w.stages()->button(k), Qt::LeftButton);
}

} // namespace

TEST_CASE("The start page looks as it should", "[screens]") {
    needGuiApp();
    QSettings().clear(); // plans opened before
    MainWindow w(WindowData{"sample.plan.gpkg", std::nullopt, "test"});
    w.resize(1360, 820);
    w.show();
    if (QWidget* focus = QApplication::focusWidget()) focus->clearFocus();
    checkPicture("start", w);
}

TEST_CASE("Load, by day, over the whole town", "[screens][slow]") {
    needGuiApp();
    MainWindow& w = portMerrow();
    w.space().selection.clear();
    stage(w, 0);
    w.map()->zoomToPlan();
    settleDown(w);
    checkPicture("load-day", w);
}

TEST_CASE("A chosen small cell with its skyline, by day and by night", "[screens][slow]") {
    needGuiApp();
    MainWindow& w = portMerrow();
    stage(w, 2);
    goTo(w, bestMount(w), 0.6);
    settleDown(w);
    checkPicture("cell-day", w);
    wear(Appearance::night);
    settleDown(w);
    checkPicture("cell-night", w);
    wear(Appearance::day);
}

TEST_CASE("A radio held by its skyline and turned into a macro's face", "[screens][slow]") {
    needGuiApp();
    MainWindow& w = portMerrow();
    const ItemId mount = bestMount(w, 180);
    stage(w, 2);
    goTo(w, mount, 0.6);
    w.space().shown.setOn(MapLayer::aimRose, false); // of the place before, as far as it had come
    settleDown(w);
    SkylineView* view = w.bench()->skyline();
    const ItemId small = chainOf(w.space().document.plan(), mount).smallCell;
    const QRectF window = windowsOf(*view->beam(), view->scale()).front();
    const QPoint from = QPointF(window.left() + window.width() * 0.2, window.center().y()).toPoint();
    QTest::mousePress(view, Qt::LeftButton, {}, from);
    REQUIRE(w.space().drag.active());
    const auto faces = [&] {
        const auto& all = w.space().live.review().findings;
        return std::any_of(all.begin(), all.end(), [&](const Finding& f) {
            return f.rule == "faces-macro" && f.severity == Severity::block &&
                   std::find(f.subjects.begin(), f.subjects.end(), small) != f.subjects.end();
        });
    };
    int deg = 0;
    for (; deg < 360 && !faces(); deg += 5)
        QTest::mouseMove(view, from + QPoint(static_cast<int>(deg * view->scale().pixelsPerDeg()), 1));
    CHECK(faces());
    settleDown(w);
    checkPicture("turning", w);
    w.space().shown.setOn(MapLayer::aimRose, true);
    w.space().drag.abandon();
    QTest::mouseRelease(view, Qt::LeftButton, {}, from);
    QEvent away(QEvent::Leave);
    QApplication::sendEvent(view, &away);
}

TEST_CASE("Fringes of a full sector beside its congestion area", "[screens][slow]") {
    needGuiApp();
    MainWindow& w = portMerrow();
    const Plan& plan = w.space().document.plan();
    REQUIRE(plan.congestionAreas.begin() != plan.congestionAreas.end());
    const CongestionArea& area = *plan.congestionAreas.begin();
    w.space().selection.setOne(area.id);
    stage(w, 1);
    std::vector<ItemId> full;
    for (const Cell& c : plan.cells)
        if (c.load.dlPrbUse.value_or(0) > 0.7) full.push_back(c.id);
    REQUIRE_FALSE(full.empty());
    w.space().fringes.compute(full);
    REQUIRE(QTest::qWaitFor([&] { return !w.space().fringes.maps().empty(); }, kPatienceMs));
    w.map()->zoomTo(boundsOf(area.area).grown(300));
    settleDown(w);
    checkPicture("fringe", w);
    w.space().fringes.clear();
}

TEST_CASE("Works, with what each mount needs", "[screens][slow]") {
    needGuiApp();
    MainWindow& w = portMerrow();
    stage(w, 3);
    goTo(w, bestMount(w), 1.2);
    settleDown(w);
    checkPicture("works", w);
}

TEST_CASE("Best server, with all that is shown unfolded", "[screens][slow]") {
    needGuiApp();
    MainWindow& w = portMerrow();
    w.space().selection.clear();
    auto* card = w.findChild<ShownCard*>();
    REQUIRE(card);
    card->setLayersFolded(false);
    w.space().shown.setTint(GroundTint::bestServer);
    stage(w, 2);
    w.map()->zoomToPlan();
    settleDown(w);
    checkPicture("servers", w);
    w.space().shown.setTint(GroundTint::prbCost);
    card->setLayersFolded(true);
}

TEST_CASE("SINR before beside after, parted by the divider", "[screens][slow]") {
    needGuiApp();
    MainWindow& w = portMerrow();
    w.space().selection.clear();
    w.space().shown.setTint(GroundTint::sinr);
    w.space().shown.setSwipe(true);
    stage(w, 2);
    goTo(w, bestMount(w), 1.2);
    w.space().selection.clear();
    settleDown(w);
    auto* divider = w.map()->findChild<SwipeDivider*>();
    REQUIRE(divider);
    divider->setValue(550);
    settleDown(w);
    checkPicture("swipe", w);
    w.space().shown.setSwipe(false);
    w.space().shown.setTint(GroundTint::prbCost);
}

TEST_CASE("The pack before it is written", "[screens][slow]") {
    needGuiApp();
    MainWindow& w = portMerrow();
    w.action(QStringLiteral("pack"))->trigger();
    PackPreview* pack = w.packPreview();
    REQUIRE(pack);
    pack->findChild<QDateEdit*>()->setDate(QDate(2026, 3, 2));
    pack->setFolder(QStringLiteral("/plans/port-merrow-pack"));
    pack->setSites({bestMount(w)});
    pack->resize(1200, 800);
    REQUIRE(QTest::qWaitFor([&] { return pack->current(); }, kPatienceMs));
    QTest::qWait(600);
    if (QWidget* focus = QApplication::focusWidget()) focus->clearFocus();
    checkPicture("pack", *pack);
    pack->close();
}

TEST_CASE("Names that are long and in several scripts", "[screens][slow]") {
    needGuiApp();
    MainWindow& w = portMerrow();
    const Plan& plan = w.space().document.plan();
    const std::string words[] = {
        "Corner of Great Rope Walk and Old Customs House Lane, harbour side, third lamp from the quay",
        "Πλατεία Ελευθερίας, βόρεια πλευρά, στύλος φωτισμού δίπλα στο περίπτερο",
        "Улица Капитанская, дом 14, угол, под карнизом над вторым окном",
        "Donaudampfschifffahrtsgesellschaftskapitänswitwenhaus"};
    Edit edit{"Rename", {}};
    std::size_t k = 0;
    const auto rename = [&](const auto& items) {
        for (auto item : items) {
            ++k;
            item.name = words[k % std::size(words)] + " " + std::to_string(k);
            edit.changes.push_back(Put{item});
        }
    };
    rename(plan.mounts);
    rename(plan.macroSites);
    rename(plan.cells);
    rename(plan.smallCells);
    rename(plan.congestionAreas);
    REQUIRE(w.space().document.perform(edit).ok());
    REQUIRE(allQuiet(w.space(), 240000));
    stage(w, 2);
    goTo(w, bestMount(w), 0.8);
    settleDown(w);
    checkPicture("long-names", w);
    w.space().document.history().undo();
    REQUIRE(allQuiet(w.space(), 240000));
}

TEST_CASE("The window from right to left", "[screens][slow]") {
    needGuiApp();
    MainWindow& w = portMerrow();
    stage(w, 2);
    QApplication::setLayoutDirection(Qt::RightToLeft);
    settleDown(w);
    goTo(w, bestMount(w), 0.8);
    settleDown(w);
    checkPicture("right-to-left", w);
    QApplication::setLayoutDirection(Qt::LeftToRight);
    settleDown(w);
}

// Run by itself with QT_SCALE_FACTOR=2, which holds for a whole program.
TEST_CASE("A chosen small cell at two pixels to one", "[.][screens2]") {
    needGuiApp();
    MainWindow& w = portMerrow();
    w.resize(1280, 800);
    REQUIRE(w.devicePixelRatioF() == 2);
    stage(w, 2);
    goTo(w, bestMount(w), 0.6);
    settleDown(w);
    checkPicture("cell-twice", w, 1);
}
