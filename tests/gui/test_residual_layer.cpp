// SPDX-License-Identifier: GPL-3.0-or-later
// Differences on the map and as a histogram: what is drawn is what was handed in.
#include "catch.h"
#include "color_vision.h"
#include "gui_app.h"

#include "base/random.h"
#include "canvas/residual_layer.h"
#include "charts/residual_histogram.h"
#include "theme/palette.h"

#include <QTest>

#include <cmath>

using namespace fw;
using namespace fwtest;

namespace {

Camera view() {
    Camera c;
    c.centre = {1000, 2000};
    c.metresPerPixel = 1;
    c.size = {400, 300};
    return c;
}

QImage drawnLayer(ResidualLayer& layer, const Camera& camera, const WindowPalette& colors) {
    QImage picture(camera.size.toSize(), QImage::Format_ARGB32_Premultiplied);
    picture.fill(colors.ground);
    QPainter p(&picture);
    layer.paint(p, camera, colors);
    return picture;
}

} // namespace

TEST_CASE("steps part at 3, 6 and 12 dB on either side", "[residuals]") {
    const std::pair<double, int> cases[] = {{0, 3},    {2.99, 3}, {-2.99, 3}, {3, 4},     {-3, 2},
                                            {5.99, 4}, {6, 5},    {-6, 1},    {11.99, 5}, {12, 6},
                                            {-12, 0},  {60, 6},   {-60, 0}};
    for (const auto& [db, step] : cases) {
        INFO(db);
        CHECK(residualStep(db) == step);
    }
}

TEST_CASE("each point is drawn in the colour of its step where it lies, by day and by night", "[residuals]") {
    needGuiApp();
    for (const WindowPalette* colors : {&dayPalette(), &nightPalette()}) {
        ResidualLayer layer;
        std::vector<ResidualMark> marks;
        for (int k = 0; k < kResidualSteps; ++k)
            marks.push_back(
                {{900.5 + 30 * k, 2050.5}, std::array{-20., -8., -4., 0., 4., 8., 20.}[std::size_t(k)], {}});
        layer.setMarks(marks);
        Camera camera = view();
        for (const PlanePoint by : {PlanePoint{0, 0}, PlanePoint{37, -21}, PlanePoint{300, 0}}) {
            camera.centre = view().centre + by;
            const QImage picture = drawnLayer(layer, camera, *colors);
            for (int k = 0; k < kResidualSteps; ++k) {
                const QPoint at = camera.toScreen(marks[std::size_t(k)].at).toPoint();
                if (!picture.rect().adjusted(5, 5, -5, -5).contains(at)) continue;
                INFO(k << " at " << at.x() << ", " << at.y());
                CHECK(picture.pixelColor(at) == residualColor(k, *colors));
            }
        }
    }
}

TEST_CASE("the two sides and the middle are told apart by those who lack a kind of cone", "[residuals]") {
    for (const WindowPalette* colors : {&dayPalette(), &nightPalette()})
        for (const auto& [a, b] : {std::pair{0, 6}, {0, 3}, {3, 6}, {1, 5}}) {
            for (const Vision v : kVisions) {
                INFO(a << " and " << b << ", vision " << static_cast<int>(v));
                // Ten times what is just noticed side by side (1 is one such step in CIEDE2000).
                CHECK(difference(residualColor(a, *colors), residualColor(b, *colors), v) > 10);
            }
        }
}

TEST_CASE("a hundred thousand points cost one picture, not one a frame; nothing while it is off",
          "[residuals]") {
    needGuiApp();
    Random random(11);
    std::vector<ResidualMark> marks(100000);
    for (ResidualMark& m : marks)
        m = {{random.between(0, 4000), random.between(0, 4000)}, 8 * random.normal(), {}};
    ResidualLayer layer;
    layer.setMarks(std::move(marks));
    Camera camera = view();
    for (int k = 0; k < 100; ++k) {
        camera.centre.x += 1;
        drawnLayer(layer, camera, dayPalette());
    }
    CHECK(layer.drawn() == 1);
    camera.centre.x += 100; // beyond what the picture holds
    drawnLayer(layer, camera, dayPalette());
    CHECK(layer.drawn() == 2);
    camera.metresPerPixel = 2;
    drawnLayer(layer, camera, dayPalette());
    CHECK(layer.drawn() == 3);
    layer.setMarks({});
    const QImage bare = drawnLayer(layer, camera, dayPalette());
    CHECK(layer.drawn() == 3);
    CHECK(bare.pixelColor(200, 150) == dayPalette().ground);
}

TEST_CASE("the histogram's bars stand for the counts they were given", "[residuals]") {
    needGuiApp();
    ErrorHistograms tallies;
    tallies.before[22] = 30; // 4 dB
    tallies.before[23] = 60;
    tallies.after[20] = 80; // 0 dB
    tallies.after[21] = 10;
    ResidualHistogram chart;
    chart.resize(600, 240);
    chart.setTallies(tallies, QStringLiteral("PM-1"));
    CHECK(chart.firstClass() == 15);
    CHECK(chart.lastClass() == 25);
    const double full = chart.barRect(20, true).height();
    CHECK(full > 100);
    CHECK(chart.barRect(23, false).height() == Approx(full * 60 / 80));
    CHECK(chart.barRect(22, false).height() == Approx(full * 30 / 80));
    CHECK(chart.barRect(20, false).height() == 0);
    CHECK(chart.classText(23) == QStringLiteral("From 5 to 7\u202fdB: 60 before, 0 after"));
    CHECK(chart.accessibleDescription().contains(QStringLiteral("90 held-out points")));
    const QImage picture = chart.grab().toImage();
    const QColor before = dayPalette().line;
    CHECK(picture.pixelColor(chart.barRect(23, false).center().toPoint()) == before);
    CHECK(picture.pixelColor(chart.barRect(17, false).center().toPoint() - QPoint(0, 60)) ==
          dayPalette().base);
    // Keys go through the classes, the pointer too.
    QTest::keyClick(&chart, Qt::Key_Right);
    CHECK(chart.current() == 20);
    QTest::keyClick(&chart, Qt::Key_Right);
    CHECK(chart.current() == 21);
    chart.show();
    REQUIRE(QTest::qWaitForWindowExposed(&chart, kPatienceMs));
    QTest::mouseMove(&chart, chart.barRect(23, false).center().toPoint());
    CHECK(QTest::qWaitFor([&] { return chart.current() == 23; }, kPatienceMs));
}
