// SPDX-License-Identifier: GPL-3.0-or-later
// A map beneath the plan out of a file, the words whose it is, and the dialog that asks for one.
#include "basemap_stand.h"
#include "intake/picture_files.h"

#include "canvas/shown_card.h"
#include "dialogs/basemap_dialog.h"

#include <QCheckBox>
#include <QLabel>
#include <QLineEdit>
#include <QRadioButton>
#include <QSlider>
#include <QSpinBox>
#include <QToolButton>

using namespace fw;
using namespace fwtest;
using fw::testing::kMiddle;
using fw::testing::place;

TEST_CASE("a file beneath the plan lies where it has to and is remembered", "[basemap]") {
    Ground ground;
    testing::TestFolder folder;
    // Two metres a pixel, west of the middle in one colour, east of it in another.
    const testing::PictureLay lay{kMiddle.x - 100, kMiddle.y + 100, 2, 100, 100, 32627};
    testing::writePicture(folder / "a.tif", lay, [](int col, int) {
        return col < 50 ? testing::Color{200, 60, 60, 255} : testing::Color{60, 60, 200, 255};
    });
    BasemapStand s(ground.plan.loaded);
    s.compute();
    s.settle();
    const QImage before = s.picture();
    BasemapChoice c;
    c.kind = BasemapChoice::Kind::file;
    c.file = QString::fromStdString((folder / "a.tif").string());
    c.strength = 100;
    s.space.basemap.choose(c);
    s.settle();
    QImage now = s.picture();
    const QColor west(200, 60, 60), east(60, 60, 200);
    CHECK(distance(s.at(now, place(-1.5, 80)), west) <= 3);
    CHECK(distance(s.at(now, place(1.5, 80)), east) <= 3);
    CHECK(s.at(now, place(-130, 30)) == s.at(before, place(-130, 30))); // beyond its edge
    CHECK(s.map->attributionPlace().isEmpty());                         // nobody is named
    // Half as strong: half way to the ground.
    s.space.basemap.setStrength(50);
    s.settle();
    now = s.picture();
    const QColor ground0 = s.at(before, place(-30, 80)), mixed0 = s.at(now, place(-30, 80));
    CHECK(std::abs(2 * mixed0.red() - west.red() - ground0.red()) <= 4);
    CHECK(std::abs(2 * mixed0.green() - west.green() - ground0.green()) <= 4);
    s.space.basemap.setOn(false);
    s.settle();
    CHECK(s.picture() == before);
    s.space.basemap.setOn(true);
    {
        BasemapStand again(ground.plan.loaded);
        again.compute();
        again.settle();
        CHECK(again.space.basemap.choice() == s.space.basemap.choice());
        CHECK(again.picture() == now);
    }
    // Gone: a sentence, and a map without it.
    std::filesystem::remove(folder / "a.tif");
    BasemapStand gone(ground.plan.loaded);
    gone.settle();
    CHECK(gone.space.basemap.word().contains(QStringLiteral("no such file")));
    CHECK(gone.at(gone.picture(), place(-30, 80)) == ground0);
}

TEST_CASE("the words whose map it is stand beside a card that reaches down", "[basemap]") {
    Ground ground;
    TileServer server;
    BasemapChoice c = choiceOf(server);
    c.attribution =
        QStringLiteral("Survey of Port Merrow and of the lands round it, sheet of the old harbour, ") +
        QStringLiteral("with corrections by many hands over many years");
    keepBasemap("plan-one", c);
    QWidget area;
    area.resize(900, 480);
    BasemapStand s(ground.plan.loaded);
    s.map->setParent(&area);
    s.map->setGeometry(area.rect());
    auto* card = new QWidget(&area);
    card->setProperty(kCardRim, 6);
    card->setGeometry(620, 10, 270, 460);
    area.show();
    s.map->show();
    REQUIRE(QTest::qWaitForWindowExposed(&area, kPatienceMs));
    for (const Qt::LayoutDirection direction : {Qt::LeftToRight, Qt::RightToLeft}) {
        s.map->setLayoutDirection(direction);
        if (direction == Qt::RightToLeft) card->move(10, 10);
        s.settle();
        static_cast<void>(s.picture()); // paints
        const QRect mark = s.map->attributionPlace();
        REQUIRE_FALSE(mark.isEmpty());
        CHECK_FALSE(mark.intersects(card->geometry()));
        CHECK(s.map->rect().contains(mark));
    }
    s.map->setParent(nullptr);
}

TEST_CASE("the dialog asks plainly, refuses by a sentence and shows on the card", "[basemap]") {
    TileServer server;
    OpenedWindow w;
    testing::TestFolder cache;
    qputenv("XDG_CACHE_HOME", QByteArray::fromStdString(cache.path().string()));
    w.adopt();
    auto* card = w.window.findChild<ShownCard*>();
    REQUIRE(card);
    CHECK_FALSE(card->basemapBox()->isVisible());
    chooseInMenu(w.window, QStringLiteral("View"), QStringLiteral("basemap"));
    auto* ask = w.window.findChild<BasemapDialog*>();
    REQUIRE(ask);
    REQUIRE(QTest::qWaitForWindowActive(ask, kPatienceMs));
    CHECK(ask->kindButton(BasemapChoice::Kind::none)->isChecked());
    CHECK(ask->addressField()->text().isEmpty());
    click(*ask->kindButton(BasemapChoice::Kind::address),
          QPoint(10, ask->kindButton(BasemapChoice::Kind::address)->height() / 2));
    ask->addressField()->setFocus();
    type(QStringLiteral("ftp://x"));
    key(Qt::Key_Return);
    CHECK(ask->trouble()->text().contains(QStringLiteral("has to begin with https://")));
    ask->addressField()->clear();
    type(server.address());
    key(Qt::Key_Return);
    CHECK(ask->trouble()->text().contains(QStringLiteral("Name whose map it is")));
    CHECK(ask->attributionField()->hasFocus());
    CHECK(server.connections == 0);
    type(QStringLiteral("Survey of Port Merrow"));
    key(Qt::Key_Return);
    REQUIRE(QTest::qWaitFor([&] { return !w.window.findChild<BasemapDialog*>(); }, kPatienceMs));
    CHECK(w.space().basemap.choice().on);
    REQUIRE(QTest::qWaitFor([&] { return !server.asked.empty(); }, kPatienceMs));
    REQUIRE(QTest::qWaitFor([&] { return card->basemapBox()->isVisible(); }, kPatienceMs));
    CHECK(card->basemapBox()->isChecked());
    // On the card: off, and a strength.
    w.window.activateWindow(); // offscreen nobody does
    REQUIRE(QTest::qWaitForWindowActive(&w.window, kPatienceMs));
    click(*card->basemapBox(), QPoint(10, card->basemapBox()->height() / 2));
    CHECK_FALSE(w.space().basemap.choice().on);
    CHECK_FALSE(w.space().basemap.painter());
    CHECK_FALSE(card->basemapSlider()->isEnabled());
    click(*card->basemapBox(), QPoint(10, card->basemapBox()->height() / 2));
    card->basemapSlider()->setFocus();
    key(Qt::Key_Right, {}, 5);
    CHECK(QTest::qWaitFor([&] { return w.space().basemap.choice().strength == 65; }, kPatienceMs));

    // A file, by name; one that is none is told at once.
    testing::TestFolder folder;
    testing::writeBytes(folder / "a.vrt", "<VRTDataset rasterXSize=\"1\" rasterYSize=\"1\"/>");
    testing::writePicture(folder / "nameless.tif", {kMiddle.x - 100, kMiddle.y + 100, 2, 100, 100, 0},
                          [](int, int) {
                              return testing::Color{90, 200, 90, 255};
                          },
                          {.metadata = {{"TIFFTAG_COPYRIGHT", "Harbour office"}}});
    click(*card->basemapButton());
    ask = w.window.findChild<BasemapDialog*>();
    REQUIRE(ask);
    REQUIRE(QTest::qWaitForWindowActive(ask, kPatienceMs));
    ask->attributionField()->clear();
    // A file that names its system, typed: what it says holds, and its code is not asked for.
    testing::writePicture(folder / "named.tif", {-21, 37, 0.01, 100, 100, 4326}, [](int, int) {
        return testing::Color{90, 200, 90, 255};
    });
    click(*ask->kindButton(BasemapChoice::Kind::file), QPoint(10, 8));
    ask->fileField()->setFocus();
    type(QString::fromStdString((folder / "named.tif").string()));
    key(Qt::Key_Tab);
    REQUIRE(QTest::qWaitFor([&] { return ask->ready(); }, kPatienceMs));
    CHECK(ask->fileWords()->text().contains(QStringLiteral("WGS 84")));
    for (const QSpinBox* box : ask->findChildren<QSpinBox*>())
        CHECK((box->maximum() < 100 || !box->isVisible()));
    ask->setFile(QString::fromStdString((folder / "a.vrt").string()));
    REQUIRE(QTest::qWaitFor([&] { return ask->ready(); }, kPatienceMs));
    CHECK(ask->fileWords()->text().contains(QStringLiteral("virtual data set")));
    click(*buttonIn(*ask, QStringLiteral("OK")));
    CHECK(ask->trouble()->text().contains(QStringLiteral("cannot be shown")));
    ask->setFile(QString::fromStdString((folder / "nameless.tif").string()));
    REQUIRE(QTest::qWaitFor([&] { return ask->ready(); }, kPatienceMs));
    CHECK(ask->fileWords()->text().contains(QStringLiteral("does not say which coordinate system")));
    click(*buttonIn(*ask, QStringLiteral("OK")));
    CHECK(ask->trouble()->text().contains(QStringLiteral("EPSG code")));
    key(Qt::Key_Return); // the plan's own stands in the field
    REQUIRE(QTest::qWaitFor([&] { return ask->ready(); }, kPatienceMs));
    click(*buttonIn(*ask, QStringLiteral("OK")));
    REQUIRE(QTest::qWaitFor([&] { return !w.window.findChild<BasemapDialog*>(); }, kPatienceMs));
    CHECK(w.space().basemap.choice().epsg == 32627);
    REQUIRE(QTest::qWaitFor([&] { return w.space().basemap.painter() != nullptr; }, kPatienceMs));
    // Esc leaves everything as it is.
    click(*card->basemapButton());
    ask = w.window.findChild<BasemapDialog*>();
    REQUIRE(QTest::qWaitForWindowActive(ask, kPatienceMs));
    click(*ask->kindButton(BasemapChoice::Kind::none), QPoint(10, 8));
    key(Qt::Key_Escape);
    REQUIRE(QTest::qWaitFor([&] { return !w.window.findChild<BasemapDialog*>(); }, kPatienceMs));
    CHECK(w.space().basemap.choice().kind == BasemapChoice::Kind::file);
}
