// SPDX-License-Identifier: GPL-3.0-or-later
// Pictures of the window, compared with those in tests/gui/screens. FRINGEWRIGHT_SCREENS=write makes them
// anew: look at each before it is kept. Actual picture and difference of a failure lie in build/.../screens.
#include "catch.h"
#include "gui_app.h"
#include "window_plan.h"

#include "bench/findings_panel.h"
#include "bench/stage_table.h"
#include "canvas/map_view.h"
#include "dialogs/pack_preview.h"
#include "main_window.h"
#include "skyline/skyline_view.h"

#include <QDir>
#include <QPainter>

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

QImage kept(const QWidget& w) {
    const QImage all = const_cast<QWidget&>(w).grab().toImage().convertToFormat(QImage::Format_RGB32);
    QImage one = all.scaled(w.size() * kKept, Qt::IgnoreAspectRatio, Qt::SmoothTransformation);
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

void checkPicture(const QString& name, const QWidget& widget) {
    INFO(name.toStdString());
    const QImage now = kept(widget);
    const QString file = QStringLiteral(FW_SOURCE_DIR "/tests/gui/screens/%1.png").arg(name);
    if (qEnvironmentVariable("FRINGEWRIGHT_SCREENS") == QLatin1String("write")) {
        QDir().mkpath(QStringLiteral(FW_SOURCE_DIR "/tests/gui/screens"));
        REQUIRE(now.save(file));
        return;
    }
    QImage before(file);
    REQUIRE_FALSE(before.isNull());
    before = before.convertToFormat(QImage::Format_RGB32);
    QImage difference;
    const double share = shareThatDiffers(now, before, difference);
    if (share > kAllowed) {
        const QString folder = QStringLiteral(FW_BINARY_DIR "/screens");
        QDir().mkpath(folder);
        now.save(folder + QLatin1Char('/') + name + QStringLiteral("-actual.png"));
        difference.save(folder + QLatin1Char('/') + name + QStringLiteral("-difference.png"));
    }
    CHECK(share <= kAllowed);
}

/// Port Merrow in the window, everything computed. Made once: the computation takes seconds.
MainWindow& portMerrow() {
    static MainWindow* window = [] {
        auto* w = new MainWindow(
            WindowData{FW_SOURCE_DIR "/sample-projects/port-merrow/port-merrow.plan.gpkg",
                       MagneticField::load(FW_SOURCE_DIR "/resources/magnetic").value(), "test"});
        w->resize(1440, 900);
        w->show();
        w->openSample();
        return w;
    }();
    REQUIRE(QTest::qWaitFor([] { return window->space().document.isOpen(); }, 30000));
    REQUIRE(allQuiet(window->space(), 240000));
    return *window;
}

void settleDown(MainWindow& w) {
    QTest::qWait(150); // words of the stages come a little later than the figures
    REQUIRE(QTest::qWaitFor([&] { return w.map()->sharp(); }, 20000));
    REQUIRE(w.space().jobs.waitForDone(60000));
    QTest::qWait(50);
}

ItemId mountNamed(const Plan& plan, const std::string& name) {
    for (const Mount& m : plan.mounts)
        if (m.name == name) return m.id;
    FAIL("there is no mount " << name);
    return {};
}

/// The chosen mount with the most relief: something is to be seen round it.
ItemId bestMount(MainWindow& w) {
    const auto study = w.space().live.study();
    ItemId best;
    double most = -1;
    for (const SmallCellPart& s : study->smallCells())
        if (s.chosen && study->reliefPoints(s.id) > most) {
            most = study->reliefPoints(s.id);
            best = s.mount;
        }
    return best;
}

void goTo(MainWindow& w, ItemId mount, double metresPerPixel) {
    w.space().selection.setOne(mount);
    Camera c = w.map()->camera();
    c.centre = w.space().document.plan().mounts.find(mount)->at;
    c.metresPerPixel = metresPerPixel;
    w.map()->setCamera(c);
}

void stage(MainWindow& w, int k) {
    if (w.stages()->current() != k) QTest::mouseClick(w.stages()->button(k), Qt::LeftButton);
}

} // namespace

TEST_CASE("The start page looks as it should", "[screens]") {
    needGuiApp();
    MainWindow w(WindowData{"sample.plan.gpkg", std::nullopt, "test"});
    w.resize(1200, 760);
    w.show();
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
    goTo(w, bestMount(w), 0.6);
    stage(w, 2);
    settleDown(w);
    checkPicture("cell-day", w);
    wear(Appearance::night);
    settleDown(w);
    checkPicture("cell-night", w);
    wear(Appearance::day);
}
