// SPDX-License-Identifier: GPL-3.0-or-later
// The evidence page from the window, by the menu: a name is asked for, a worker writes, the
// notice line says where it went or why not. Poppler is the judge of what was written.
#include "pdf_reader.h"
#include "store/folder.h"
#include "window_hand.h"

#include <QFileDialog>
#include <QLineEdit>
#include <QTimer>

using namespace fw;
using namespace fwtest;

namespace {

struct EvidenceDesk : OpenedWindow {
    testing::TestFolder folder;
    EvidenceDesk() { adopt(); }

    [[nodiscard]] QString at(const char* name) const {
        return QString::fromStdString((folder / name).string());
    }
    /// Chooses the menu's entry and types a name into the dialog that it opens; an empty one leaves it by
    /// Esc.
    void ask(const QString& name, const QString& filter = {}) {
        QTimer hand;
        bool met = false;
        QObject::connect(&hand, &QTimer::timeout, [&] {
            auto* dialog = qobject_cast<QFileDialog*>(QApplication::activeModalWidget());
            if (!dialog || met || !dialog->isVisible()) return;
            met = true;
            if (name.isEmpty()) {
                dialog->reject();
                return;
            }
            if (!filter.isEmpty())
                for (const QString& f : dialog->nameFilters())
                    if (f.startsWith(filter)) dialog->selectNameFilter(f);
            dialog->findChild<QLineEdit*>(QStringLiteral("fileNameEdit"))->setText(name);
            QMetaObject::invokeMethod(dialog, "accept", Qt::QueuedConnection);
        });
        hand.start(20);
        chooseInMenu(window, QStringLiteral("Plan"), QStringLiteral("evidence"));
        REQUIRE(QTest::qWaitFor([&] { return met; }, kPatienceMs));
    }
    QString said() {
        REQUIRE(QTest::qWaitFor([&] { return !window.notice()->text().isEmpty(); }, kPatienceMs));
        return window.notice()->text();
    }
};

} // namespace

TEST_CASE("the evidence page is written from the menu, and the notice says where it went", "[evidence]") {
    EvidenceDesk desk;
    const int steps = desk.steps();
    desk.ask({});
    CHECK(desk.window.notice()->text().isEmpty()); // left
    CHECK(std::filesystem::is_empty(desk.folder / ""));

    // The ending is added; the paper is the one that was chosen. Letter is 8.5 x 11 inches of 72 points.
    desk.ask(desk.at("for approval"), QStringLiteral("Letter"));
    const QString said = desk.said();
    INFO(said.toStdString());
    CHECK(said.contains(QStringLiteral("for approval.pdf")));
    const auto file = desk.folder / "for approval.pdf";
    REQUIRE(std::filesystem::exists(file));
    CHECK(pagesIn(file) == 1);
    CHECK(QString::fromUtf8(outputOf(QStringLiteral("pdfinfo"), {pathOf(file)}))
              .contains(QStringLiteral("612 x 792 pts")));
    CHECK(desk.steps() == steps);
}

TEST_CASE("what keeps the evidence page from being written is said in a sentence", "[evidence]") {
    EvidenceDesk desk;
    SECTION("a folder that is not there") {
        desk.window.writeEvidence(desk.at("nowhere/page.pdf"), QPageSize::A4);
        CHECK(desk.said().contains(QStringLiteral("nowhere")));
    }
    SECTION("no cell over the trigger") {
        Cell calm = *desk.now().cells.find(desk.plan.cell);
        calm.load.dlPrbUse = 0.3;
        calm.load.dailyDlPrbUse.clear();
        REQUIRE(desk.space().document.perform({"Calm down", {Put{calm}}}));
        desk.settle();
        desk.window.writeEvidence(desk.at("page.pdf"), QPageSize::A4);
        CHECK(desk.said().contains(QStringLiteral("No cell is over the trigger")));
        CHECK_FALSE(std::filesystem::exists(desk.folder / "page.pdf"));
    }
    SECTION("stopped") {
        desk.window.writeEvidence(desk.at("page.pdf"), QPageSize::A4);
        REQUIRE(desk.space().jobs.runs(QStringLiteral("evidence page")));
        desk.space().jobs.cancel(QStringLiteral("evidence page"));
        CHECK(desk.said().contains(QStringLiteral("Stopped")));
        CHECK_FALSE(std::filesystem::exists(desk.folder / "page.pdf"));
    }
    SECTION("an edit that is not computed yet") {
        Cell other = *desk.now().cells.find(desk.plan.cell);
        other.load.dlPrbUse = 0.9;
        REQUIRE(desk.space().document.perform({"Fill up", {Put{other}}}));
        REQUIRE(desk.space().live.stale());
        desk.window.writeEvidence(desk.at("page.pdf"), QPageSize::A4);
        CHECK(desk.said().contains(QStringLiteral("not yet")));
        desk.settle();
    }
}
