// SPDX-License-Identifier: GPL-3.0-or-later
// Files on their way in: shown first, asked about, taken in as one step, by real clicks.
#include "drop_files.h"
#include "intake/file_openings.h"
#include "store/folder.h"
#include "window_hand.h"

#include "dialogs/intake_window.h"

#include <QLabel>
#include <QListWidget>
#include <QTableView>
#include <QTableWidget>

#include <fmt/format.h>

using namespace fw;
using namespace fwtest;

namespace {

struct IntakeDesk : OpenedWindow {
    testing::TestFolder folder;

    QString write(const std::string& name, const std::string& bytes) const {
        testing::writeBytes(folder / name, bytes);
        return QString::fromStdString((folder / name).string());
    }
    IntakeWindow& intake() {
        REQUIRE(window.intake());
        return *window.intake();
    }
    /// The chosen file has been read, with the plan as it is.
    void read() {
        REQUIRE(QTest::qWaitFor([&] { return window.intake() && !window.intake()->files().reading(); },
                                kPatienceMs));
        REQUIRE(QTest::qWaitForWindowActive(&intake(), kPatienceMs));
        QApplication::processEvents(); // what was put into a layout is shown by an event
    }
    const IntakeFile& file(int k = 0) { return intake().files().files().at(static_cast<std::size_t>(k)); }
    /// A table of mounts round the small cell, `n` good rows and one that is none.
    std::string table(int n) {
        const PlanePoint at = now().mounts.find(mount())->at;
        std::string rows = "name;east;north;height_m\n";
        for (int k = 0; k < n; ++k)
            rows += fmt::format("P-{};{:.0f};{:.0f};7,5\n", k + 1, at.x + 30 + 8 * k, at.y + 20);
        return rows + fmt::format("P-99;{:.0f};{:.0f};7,5x\n", at.x, at.y);
    }
};

} // namespace

TEST_CASE("a dropped table is shown, asked about, taken in as one step and undone", "[intake]") {
    IntakeDesk desk;
    desk.adopt();
    const Plan before = desk.now();
    const int steps = desk.steps();
    drop(desk.window, {desk.write("poles.csv", desk.table(12))});
    desk.read();
    REQUIRE(desk.file().preview);
    // The rows lie in plane metres of a system that the file does not name.
    CHECK_FALSE(desk.file().preview->usable());
    CHECK(desk.now() == before);
    QAbstractButton* own = buttonIn(desk.intake(), QStringLiteral("The plan's own"));
    click(*own);
    desk.read();
    const IntakePreview& p = *desk.file().preview;
    CHECK(p.usable());
    CHECK(p.rows == 13);
    CHECK(p.good == 12);
    CHECK(desk.intake().stateText().contains(QStringLiteral("13 rows: 12 good, 1 refused")));
    CHECK_FALSE(desk.intake().extent().empty());
    CHECK(desk.now() == before);
    CHECK(desk.steps() == steps);

    click(*buttonIn(desk.intake(), QStringLiteral("Take in")));
    CHECK(desk.now().mounts.size() == before.mounts.size() + 12);
    CHECK(desk.steps() == steps + 1);
    CHECK(desk.space().document.history().undoText().contains(QStringLiteral("poles.csv")));
    CHECK(desk.intake().extent().empty());
    CHECK(desk.file().taken);
    desk.space().document.history().undo();
    CHECK(desk.now() == before);
    // Undone, it is shown again, and can be taken in once more.
    CHECK_FALSE(desk.file().taken);
    desk.read();
    CHECK(desk.file().preview->usable());
    desk.space().document.history().redo();
    CHECK(desk.now().mounts.size() == before.mounts.size() + 12);
}

TEST_CASE("a preview in the window opens its file once and no more", "[intake]") {
    IntakeDesk desk;
    desk.adopt();
    const QString name = desk.write(
        "taps.kml",
        "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document><Placemark><name>Feeder 9</name><Point>"
        "<coordinates>-20.42,36.93</coordinates></Point></Placemark></Document></kml>");
    testing::FileOpenings opened(name.toStdString());
    REQUIRE(openSource(name.toStdString()));
    const int once = opened.count();
    desk.window.takeFilesIn({name});
    desk.read();
    CHECK(desk.file().layers.size() == 1);
    CHECK(opened.count() <= once + 1); // what it is, by its first bytes
}

TEST_CASE("refused rows are listed with their reason, and saved to a file", "[intake]") {
    IntakeDesk desk;
    desk.adopt();
    desk.window.takeFilesIn({desk.write("poles.csv", desk.table(3))});
    desk.read();
    click(*buttonIn(desk.intake(), QStringLiteral("The plan's own")));
    desk.read();
    QTableView* refused = nullptr;
    for (auto* t : desk.intake().findChildren<QTableView*>())
        if (t->accessibleName() == QStringLiteral("Refused rows")) refused = t;
    REQUIRE(refused);
    INFO(desk.intake().stateText().toStdString()
         << refused->model()->index(0, 3).data().toString().toStdString());
    REQUIRE(refused->model()->rowCount() == 1);
    CHECK(refused->model()->index(0, 0).data().toString() == QStringLiteral("5"));
    CHECK(refused->model()->index(0, 2).data().toString() == QStringLiteral("7,5x"));
    const auto out = desk.folder / "refused.csv";
    desk.intake().saveRefused(QString::fromStdString(out.string()));
    const std::string csv = testing::bytesOf(out);
    CHECK(csv.find("P-99") != std::string::npos);
    CHECK(csv.find("row,reason,name") == 0);
}

TEST_CASE("a preview belongs to the plan as it is: an edit meanwhile makes it anew", "[intake]") {
    IntakeDesk desk;
    desk.adopt();
    const PlanePoint at = desk.now().mounts.find(desk.mount())->at;
    desk.window.takeFilesIn(
        {desk.write("taps.geojson", R"({"type":"FeatureCollection","features":[{"type":"Feature",)"
                                    R"("properties":{"name":"Feeder 9"},"geometry":{"type":"Point",)"
                                    R"("coordinates":[-21.0,36.9]}}]})")});
    desk.read();
    const ItemId lastBefore = desk.now().lastId;
    FibrePoint point{desk.now().nextId(), "Closure 14", at};
    REQUIRE(desk.space().document.perform({"Add fibre point", {Put{point}}}).ok());
    desk.read();
    REQUIRE(QTest::qWaitFor([&] { return desk.file().preview != nullptr; }, kPatienceMs));
    for (const Change& c : desk.file().preview->edit.changes)
        if (const auto* put = std::get_if<Put>(&c)) CHECK(lastBefore < idOf(put->item));
}

TEST_CASE("many rows are taken in while the window stays usable; an edit meanwhile comes first", "[intake]") {
    IntakeDesk desk;
    desk.adopt();
    const Plan before = desk.now();
    std::string rows = "name,lat,lon\n";
    for (int k = 0; k < 21000; ++k)
        rows +=
            fmt::format("T-{},{:.6f},{:.6f}\n", k, 36.90 + 0.0002 * (k % 150), -21.0 + 0.0002 * (k / 150));
    desk.window.takeFilesIn({desk.write("trees.csv", rows)});
    desk.read();
    IntakeFiles& files = desk.intake().files();
    files.change(0, desk.file().request, IntakeKind::trees);
    desk.read();
    INFO(desk.intake().stateText().toStdString());
    REQUIRE(desk.file().preview);
    REQUIRE(desk.file().preview->good == 21000);
    const auto done = [&] { return QTest::qWaitFor([&] { return !files.taking(); }, kPatienceMs); };

    // Another edit is made while a worker puts the trees in: that one stands, and the trees wait.
    REQUIRE(files.takeIn(0).ok());
    CHECK(files.taking());
    CHECK(desk.now() == before);
    FibrePoint point{desk.now().nextId(), "Closure 14", desk.now().mounts.begin()->at};
    REQUIRE(desk.space().document.perform({"Add fibre point", {Put{point}}}).ok());
    REQUIRE(done());
    CHECK(desk.now().scenery.trees.size() == before.scenery.trees.size());
    CHECK(desk.steps() == 1);
    CHECK_FALSE(desk.file().taken);
    CHECK(desk.window.notice()->text().contains(QStringLiteral("changed meanwhile")));

    desk.read();
    REQUIRE(QTest::qWaitFor([&] { return files.ready(0); }, kPatienceMs));
    click(*buttonIn(desk.intake(), QStringLiteral("Take in")));
    REQUIRE(done());
    CHECK(desk.file().taken);
    CHECK(desk.steps() == 2);
    CHECK(desk.now().scenery.trees.size() == before.scenery.trees.size() + 21000);
    desk.space().document.history().undo();
    desk.space().document.history().undo();
    CHECK(desk.now() == before);

    REQUIRE(QTest::qWaitFor([&] { return files.ready(0); }, kPatienceMs));
    REQUIRE(files.takeIn(0).ok());
    files.stop();
    REQUIRE(done());
    CHECK(desk.now() == before);
    CHECK_FALSE(desk.file().taken);
}

TEST_CASE("files without a plan begin one where they lie", "[intake]") {
    IntakeDesk desk;
    REQUIRE_FALSE(desk.space().document.isOpen());
    desk.window.takeFilesIn({desk.write("candidates.csv", "name,lat,lon\nA,36.9312,-20.4187\n"
                                                          "B,36.9320,-20.4190\n")});
    REQUIRE(QTest::qWaitFor([&] { return desk.space().document.isOpen(); }, kPatienceMs));
    CHECK(desk.now().settings->epsg == 32627);
    CHECK_FALSE(desk.window.notice()->isVisible());
    desk.read();
    REQUIRE(QTest::qWaitFor([&] { return desk.file().preview != nullptr; }, kPatienceMs));
    CHECK(desk.file().preview->usable());
    click(*buttonIn(desk.intake(), QStringLiteral("Take in")));
    CHECK(desk.now().mounts.size() == 2);
    CHECK(desk.now().settings->workArea.contains(desk.now().mounts.begin()->at));
}

TEST_CASE("folders and unreadable files are refused in a sentence, and nothing changes", "[intake]") {
    IntakeDesk desk;
    desk.adopt();
    const Plan before = desk.now();
    drop(desk.window, {QString::fromStdString(desk.folder.path().string())});
    CHECK(desk.window.notice()->text().contains(QStringLiteral("is a folder")));
    CHECK_FALSE(desk.window.intake());
    desk.window.takeFilesIn({desk.write("noise.xyz", std::string(3000, '\0'))});
    desk.read();
    CHECK(desk.file().trouble.size() > 20);
    CHECK_FALSE(buttonIn(desk.intake(), QStringLiteral("Take in"))->isEnabled());
    CHECK(desk.now() == before);
}
