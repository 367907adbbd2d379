// SPDX-License-Identifier: GPL-3.0-or-later
// The window of models and values, by real keys: a step of the history each, refusals in a sentence, undo
// shown.
#include "dialogs/models_window.h"
#include "plan/fields.h"
#include "window_hand.h"

#include <QComboBox>
#include <QLineEdit>
#include <QRegularExpression>
#include <QTableWidget>

using namespace fw;
using namespace fwtest;

namespace {

struct ModelsDesk : OpenedWindow {
    ModelsDesk() { adopt(); }
    ModelsWindow& open() {
        chooseInMenu(window, QStringLiteral("Plan"), QStringLiteral("models"));
        REQUIRE(window.models());
        REQUIRE(QTest::qWaitForWindowActive(window.models(), kPatienceMs));
        return *window.models();
    }
    static int rowOf(const ModelsWindow& w, const QString& words) {
        for (int r = 0; r < w.values()->rowCount(); ++r)
            if (w.values()->item(r, 0)->text() == words) return r;
        return -1;
    }
    /// Types a value where it stands.
    static void enter(ModelsWindow& w, int row, const QString& text) {
        REQUIRE(row >= 0);
        w.values()->setFocus();
        w.values()->setCurrentCell(row, 1);
        key(Qt::Key_F2);
        REQUIRE(QTest::qWaitFor([&] { return w.values()->findChild<QLineEdit*>() != nullptr; }, kPatienceMs));
        auto* line = w.values()->findChild<QLineEdit*>();
        line->selectAll();
        QTest::keyClicks(line, text);
        QTest::keyClick(line, Qt::Key_Return);
        // Taken over by an event of its own.
        REQUIRE(QTest::qWaitFor([&] { return w.values()->findChild<QLineEdit*>() == nullptr; }, kPatienceMs));
    }
    const ModelSettings& model() { return now().settings->model; }
};

} // namespace

TEST_CASE("a model is chosen by keys as one step, and undo shows in the window", "[gui][models]") {
    ModelsDesk desk;
    ModelsWindow& w = desk.open();
    struct Case {
        const char* setting;
        std::function<int()> now;
    };
    const Case cases[] = {{"efficiency_model", [&] { return static_cast<int>(desk.model().efficiency); }},
                          {"macro_path_model", [&] { return static_cast<int>(desk.model().macroPath); }},
                          {"small_path_model", [&] { return static_cast<int>(desk.model().smallPath); }},
                          {"entry_model", [&] { return static_cast<int>(desk.model().entry); }}};
    for (const Case& c : cases) {
        QComboBox* box = w.choice(c.setting);
        REQUIRE(box);
        CHECK(box->count() == 2);
        CHECK(box->currentIndex() == 0);
        CHECK(box->itemText(0).contains(QStringLiteral("recommended")));
        CHECK_FALSE(box->accessibleName().isEmpty());
        CHECK(box->accessibleDescription().contains(QStringLiteral("Recommended")));
        const int steps = desk.steps();
        box->setFocus();
        key(Qt::Key_Down);
        CHECK(c.now() == 1);
        CHECK(desk.steps() == steps + 1);
        desk.space().document.history().undo();
        CHECK(c.now() == 0);
        CHECK(box->currentIndex() == 0);
    }
    key(Qt::Key_Escape);
    CHECK(QTest::qWaitFor([&] { return !w.isVisible(); }, kPatienceMs));
}

TEST_CASE("values are typed where they stand; what is out of range is refused in a sentence",
          "[gui][models]") {
    ModelsDesk desk;
    ModelsWindow& w = desk.open();
    // Every number of the computation has a row in words, none the papers of the plan.
    int numbers = 0;
    const auto count = [&](const char*, const auto& v) {
        using V = std::remove_cvref_t<decltype(v)>;
        numbers += std::is_same_v<V, double> || std::is_same_v<V, int>;
    };
    const PlanSettings usual;
    field_detail::model(usual.model, count);
    field_detail::spread(usual.spread, count);
    field_detail::uplink(usual.uplink, count);
    CHECK(w.values()->rowCount() == numbers);
    int own = 0;
    for (int r = 0; r < w.values()->rowCount(); ++r) {
        CHECK_FALSE(w.values()->item(r, 0)->text().contains(QLatin1Char('_')));
        // Each tells why its usual value is usual, and whence.
        w.values()->setCurrentCell(r, 1);
        CHECK(w.whyText().startsWith(w.values()->item(r, 0)->text() + QStringLiteral(" \u2013 ")));
        CHECK(w.whyText().contains(
            QRegularExpression(QStringLiteral("Published|Common practice|Our judgement"))));
        own += w.values()->item(r, 1)->text() != w.values()->item(r, 3)->text();
    }
    CHECK(own == 1); // plans made by hand have a reach of their own
    const int noise = ModelsDesk::rowOf(w, QStringLiteral("Noise figure"));
    const int steps = desk.steps();
    ModelsDesk::enter(w, noise, QStringLiteral("7.5"));
    CHECK(desk.model().noiseFigureDb == 7.5);
    CHECK(desk.steps() == steps + 1);
    CHECK(w.values()->item(noise, 1)->font().bold()); // differs from the usual
    CHECK(w.refusedText().isEmpty());
    for (const QString& bad : {QStringLiteral("400"), QStringLiteral("much")}) {
        ModelsDesk::enter(w, noise, bad);
        CHECK(desk.model().noiseFigureDb == 7.5);
        CHECK_FALSE(w.refusedText().isEmpty());
        CHECK(w.values()->item(noise, 1)->text() == QStringLiteral("7.5"));
    }
    ModelsDesk::enter(w, ModelsDesk::rowOf(w, QStringLiteral("Days over the trigger")), QStringLiteral("3"));
    CHECK(desk.model().triggerDays == 3);
    const int speed = ModelsDesk::rowOf(w, QStringLiteral("Speed along streets"));
    ModelsDesk::enter(w, speed, QStringLiteral("0")); // who stands still never leaves
    CHECK_FALSE(w.refusedText().isEmpty());
    ModelsDesk::enter(w, speed, QStringLiteral("30"));
    CHECK(desk.model().streetSpeedKmh == 30);
    ModelsDesk::enter(w, ModelsDesk::rowOf(w, QStringLiteral("Uplink: share of path loss made up for")),
                      QStringLiteral("1"));
    CHECK(desk.now().settings->uplink.alpha == 1);
    CHECK(w.refusedText().isEmpty());
}
