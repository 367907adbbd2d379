// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/clipboard.h"

#include "catch.h"
#include "tool_bench.h"

#include <QClipboard>
#include <QGuiApplication>

using namespace fw;
using namespace fw::testing;
using fwtest::needGuiApp;
using fwtest::ToolBench;

TEST_CASE("a copied small cell is pasted at the pointer under new names and chosen") {
    needGuiApp();
    ToolBench b;
    const ItemId mount = b.mountOf(b.plan.small);
    b.space.selection.setOne(b.plan.small); // a small cell stands for its mount
    REQUIRE(copySelection(b.space).ok());
    const QMimeData* data = QGuiApplication::clipboard()->mimeData();
    CHECK(data->hasFormat("application/json"));
    CHECK(data->hasFormat("text/csv"));
    CHECK(data->text().contains("FeatureCollection"));
    CHECK(canPaste(data));
    REQUIRE(pasteInto(b.space, place(-60, 60)).ok());
    REQUIRE(b.space.selection.items().size() == 1);
    const Mount* copy = b.now().mounts.find(b.space.selection.primary());
    REQUIRE(copy);
    CHECK(copy->at == place(-60, 60));
    CHECK(copy->id != mount);
    CHECK(copy->name != b.now().mounts.find(mount)->name);
    CHECK(chainOf(b.now(), copy->id).smallCell);
    CHECK(b.steps() == 1);
    b.space.document.history().undo();
    CHECK_FALSE(b.now().mounts.size() == 3);
}

TEST_CASE("pasted without a pointer, copies lie beside one another") {
    needGuiApp();
    ToolBench b;
    b.space.selection.setOne(b.mountOf(b.plan.small));
    REQUIRE(copySelection(b.space).ok());
    REQUIRE(pasteInto(b.space, {}).ok());
    const PlanePoint first = b.now().mounts.find(b.space.selection.primary())->at;
    REQUIRE(pasteInto(b.space, {}).ok());
    CHECK(planeDistance(first, b.now().mounts.find(b.space.selection.primary())->at) > 1);
}

TEST_CASE("a cut takes away what it copied and a paste brings it back") {
    needGuiApp();
    ToolBench b;
    const auto mounts = b.now().mounts.size();
    b.space.selection.setOne(b.mountOf(b.plan.small));
    REQUIRE(cutSelection(b.space).ok());
    CHECK(b.now().mounts.size() == mounts - 1);
    CHECK_FALSE(b.now().has(b.plan.small));
    REQUIRE(pasteInto(b.space, {}).ok());
    CHECK(b.now().mounts.size() == mounts);
}

TEST_CASE("a duplicate is one step and is what is chosen next") {
    needGuiApp();
    ToolBench b;
    const ItemId mount = b.mountOf(b.plan.small);
    b.space.selection.setOne(mount);
    REQUIRE(duplicateSelection(b.space).ok());
    CHECK(b.space.selection.primary() != mount);
    CHECK(b.steps() == 1);
    CHECK(b.lastStep().startsWith("Duplicate "));
}

TEST_CASE("foreign and broken content is refused by a sentence and changes nothing") {
    needGuiApp();
    ToolBench b;
    const Plan before = b.now();
    QGuiApplication::clipboard()->setText("Dear all, please find attached");
    CHECK_FALSE(canPaste(QGuiApplication::clipboard()->mimeData()));
    CHECK_FALSE(pasteInto(b.space, place(0, 0)).ok());
    b.space.selection.setOne(b.mountOf(b.plan.small));
    REQUIRE(copySelection(b.space).ok());
    QByteArray json = QGuiApplication::clipboard()->mimeData()->data("application/json");
    json.replace("height_m", "hoehe_m");
    auto* broken = new QMimeData;
    broken->setData("application/json", json);
    QGuiApplication::clipboard()->setMimeData(broken);
    CHECK_FALSE(pasteInto(b.space, place(0, 0)).ok());
    b.space.selection.setOne(b.now().macroSites.begin()->id);
    CHECK_FALSE(copySelection(b.space).ok());
    CHECK(b.refusals.size() == 3);
    for (const QString& r : b.refusals) CHECK(r.endsWith('.'));
    CHECK(b.now() == before);
}

TEST_CASE("our own JSON is taken as plain text too, from a mail or a note") {
    needGuiApp();
    ToolBench b;
    b.space.selection.setOne(b.mountOf(b.plan.small));
    REQUIRE(copySelection(b.space).ok());
    const QByteArray json = QGuiApplication::clipboard()->mimeData()->data("application/json");
    QGuiApplication::clipboard()->setText(QString::fromUtf8(json));
    CHECK(canPaste(QGuiApplication::clipboard()->mimeData()));
    CHECK(pasteInto(b.space, place(10, 90)).ok());
}
