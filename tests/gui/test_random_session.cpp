// SPDX-License-Identifier: GPL-3.0-or-later
// Somebody who clicks, drags, types and scrolls everywhere. Nothing may fall over, what is shown must be what
// a cold computation gives, and undo must lead back to the start. Some seconds here; FRINGEWRIGHT_SESSION=600
// for ten minutes.
#include "catch.h"
#include "gui_app.h"
#include "support/places.h"
#include "window_plan.h"

#include "base/random.h"
#include "bench/stage_table.h"
#include "canvas/map_view.h"
#include "commands/commands.h"
#include "main_window.h"
#include "skyline/skyline_view.h"

#include <QElapsedTimer>
#include <QScopeGuard>
#include <QTimer>
#include <QWheelEvent>

#include <set>

using namespace fw;
using namespace fwtest;

namespace {

// Actions that open a box which waits for an answer, or end the session.
const std::set<QString> kNotHere{"new", "open", "saveAs", "save", "closePlan", "quit", "about", "sample"};

class Session {
public:
    Session(MainWindow& window, std::uint64_t seed) : m_window(window), m_random(seed) {}

    void step() {
        switch (m_random.below(14)) {
        case 0:
        case 1:
        case 2:
            return drag(*m_window.map());
        case 3:
        case 4:
            return drag(*m_window.bench()->skyline());
        case 5:
            return click(anyWidget());
        case 6:
            return wheel(*m_window.map());
        case 7:
            return key(anyWidget());
        case 8:
            return action();
        case 9:
            return select();
        case 10:
            return QTest::mouseClick(m_window.map(), Qt::LeftButton, anyModifiers(),
                                     anyPlace(*m_window.map()));
        case 11:
            if (m_random.chance(0.1)) wear(m_random.chance(0.5) ? Appearance::day : Appearance::night);
            return;
        case 12:
            if (m_random.chance(0.1))
                m_window.resize(900 + static_cast<int>(m_random.below(700)),
                                620 + static_cast<int>(m_random.below(400)));
            return;
        default:
            QCoreApplication::processEvents();
        }
    }

private:
    QPoint anyPlace(const QWidget& w) {
        return {static_cast<int>(m_random.below(static_cast<std::uint32_t>(std::max(1, w.width())))),
                static_cast<int>(m_random.below(static_cast<std::uint32_t>(std::max(1, w.height()))))};
    }
    Qt::KeyboardModifiers anyModifiers() {
        static const Qt::KeyboardModifier all[] = {Qt::NoModifier, Qt::NoModifier, Qt::ShiftModifier,
                                                   Qt::ControlModifier, Qt::AltModifier};
        return all[m_random.below(5)];
    }
    QWidget& anyWidget() {
        std::vector<QWidget*> seen;
        for (QWidget* w : m_window.findChildren<QWidget*>())
            if (w->isVisible() && w->isEnabled() && w->width() > 2 && w->height() > 2 &&
                !w->inherits("QMenuBar") && w->window() == &m_window)
                seen.push_back(w);
        return seen.empty() ? m_window : *seen[m_random.below(static_cast<std::uint32_t>(seen.size()))];
    }
    void drag(QWidget& w) {
        QPoint at = anyPlace(w);
        const Qt::KeyboardModifiers with = m_random.chance(0.2) ? Qt::AltModifier : Qt::NoModifier;
        QTest::mousePress(&w, Qt::LeftButton, with, at);
        for (int k = 0; k < 6; ++k) {
            at +=
                QPoint(static_cast<int>(m_random.below(61)) - 30, static_cast<int>(m_random.below(61)) - 30);
            QTest::mouseMove(&w, at);
            if (m_random.chance(0.03)) QTest::keyClick(&w, Qt::Key_Escape);
        }
        QTest::mouseRelease(&w, Qt::LeftButton, with, at);
    }
    void click(QWidget& w) {
        QTest::mouseClick(&w, Qt::LeftButton, {}, anyPlace(w));
        if (QWidget* popup = QApplication::activePopupWidget()) popup->close();
    }
    void wheel(QWidget& w) {
        const QPointF at = anyPlace(w);
        QWheelEvent e(at, w.mapToGlobal(at), {}, {0, m_random.chance(0.5) ? 120 : -120}, Qt::NoButton, {},
                      Qt::NoScrollPhase, false);
        QCoreApplication::sendEvent(&w, &e);
    }
    void key(QWidget& w) {
        static const Qt::Key keys[] = {
            Qt::Key_Left,        Qt::Key_Right, Qt::Key_Up,     Qt::Key_Down,
            Qt::Key_BracketLeft, Qt::Key_Tab,   Qt::Key_Return, Qt::Key_BracketRight,
            Qt::Key_Escape,      Qt::Key_Space, Qt::Key_7,      Qt::Key_A,
            Qt::Key_Minus,       Qt::Key_F4,    Qt::Key_F6,     Qt::Key_Delete,
            Qt::Key_Home,        Qt::Key_N,     Qt::Key_P,      Qt::Key_S};
        QTest::keyClick(&w, keys[m_random.below(20)], anyModifiers());
        if (QWidget* popup = QApplication::activePopupWidget()) popup->close();
    }
    void action() {
        const QList<QAction*> all = m_window.actions();
        QAction* a = all[static_cast<int>(m_random.below(static_cast<std::uint32_t>(all.size())))];
        if (!kNotHere.contains(a->objectName())) a->trigger();
        for (QWidget* top : QApplication::topLevelWidgets())
            if (top != &m_window && top->isVisible() && top->inherits("QDialog") && m_random.chance(0.5))
                top->close();
    }
    void select() {
        const Plan& plan = m_window.space().document.plan();
        std::vector<ItemId> ids;
        for (const Mount& m : plan.mounts) ids.push_back(m.id);
        for (const Cell& c : plan.cells) ids.push_back(c.id);
        for (const CongestionArea& c : plan.congestionAreas) ids.push_back(c.id);
        if (!ids.empty())
            m_window.space().selection.setOne(ids[m_random.below(static_cast<std::uint32_t>(ids.size()))]);
    }
    MainWindow& m_window;
    Random m_random;
};

} // namespace

TEST_CASE("A session of random clicks, drags and keys leaves nothing broken", "[window][session]") {
    needGuiApp();
    const int seconds = std::max(8, qEnvironmentVariableIntValue("FRINGEWRIGHT_SESSION"));
    const std::uint64_t seed = qEnvironmentVariableIsSet("FRINGEWRIGHT_SEED")
                                   ? qEnvironmentVariable("FRINGEWRIGHT_SEED").toULongLong()
                                   : 20261125;
    INFO("seed " << seed);
    const auto byDay = qScopeGuard([] { wear(Appearance::day); }); // for those that come after
    WindowPlan w = windowPlan();
    const Plan before = w.loaded.plan;
    MainWindow window{
        WindowData{{}, MagneticField::load(fw::testing::sourceFile("resources/magnetic")).value(), "test"}};
    window.resize(1440, 900);
    window.show();
    REQUIRE(window.space().document.adopt(w.loaded));
    // Who clicks about does not answer questions: what waits for an answer is put away.
    for (const QString& name : kNotHere) window.action(name)->setShortcuts(QList<QKeySequence>());
    QTimer putAway;
    QObject::connect(&putAway, &QTimer::timeout, [] {
        if (QWidget* menu = QApplication::activePopupWidget()) menu->close();
        if (QWidget* box = QApplication::activeModalWidget()) box->close();
    });
    putAway.start(50);
    Session session(window, seed);
    QElapsedTimer clock;
    clock.start();
    int steps = 0;
    while (clock.elapsed() < seconds * 1000) {
        session.step();
        ++steps;
    }
    window.space().drag.abandon();
    // A hand that clicks anywhere also stops the computation.
    LiveStudy& live = window.space().live;
    REQUIRE(QTest::qWaitFor(
        [&] {
            if (live.stale()) live.computeNow();
            return !live.stale() && !live.settling() && live.study();
        },
        kPatienceMs));
    CHECK(steps > 20);
    const auto cold =
        Study::advance(nullptr, window.space().document.plan(), window.space().document.terrain());
    REQUIRE(cold);
    CHECK(cli::ledgerJson(**cold, &(*cold)->live(), nullptr) ==
          cli::ledgerJson(*window.space().live.study(), window.space().live.ledger(), nullptr));
    QUndoStack& history = window.space().document.history();
    INFO(history.count() << " steps of history after " << steps << " of the hand");
    while (history.canUndo()) history.undo();
    CHECK(window.space().document.plan() == before);
}
