// SPDX-License-Identifier: GPL-3.0-or-later
// A drag as the planner has it: the whole window over a city of 50,000 buildings, every panel shown, one
// mouse move after another; from the event to the painted and flushed picture: bench_window [moves].
#include "bench/measure.h"
#include "canvas/map_view.h"
#include "main_window.h"
#include "theme/paper_fonts.h"
#include "theme/window_theme.h"

#include "../../sample-projects/generate/city.h"

#include <QApplication>
#include <QElapsedTimer>
#include <QMouseEvent>
#include <QStandardPaths>
#include <QTest>
#include <QThread>

#include <fmt/format.h>

#include <clocale>
#include <cmath>

using namespace fw;

namespace {

constexpr double kFrameMs = 1000.0 / 60;

struct Times {
    bench::Series cpu, wall;
    std::size_t due = 0, painted = 0;
};

void send(MapView& map, QEvent::Type type, QPointF at, Qt::MouseButton button, Qt::MouseButtons buttons) {
    QMouseEvent event(type, at, map.mapToGlobal(at), button, buttons, Qt::NoModifier);
    QCoreApplication::sendEvent(&map, &event);
    // The repaints that the event asked for, to the last flush.
    QCoreApplication::processEvents(QEventLoop::ExcludeUserInputEvents);
}

/// One mount dragged round in circles of some metres by a hand that moves at 60 Hz; positions that fall due
/// while a frame is still at work are lost, as they would be.
void dragOne(MainWindow& window, ItemId mount, std::size_t moves, Times& t) {
    MapView& map = *window.map();
    const Mount& m = *window.space().document.plan().mounts.find(mount);
    window.space().selection.setOne(mount);
    Camera camera = map.camera();
    camera.centre = m.at;
    camera.metresPerPixel = 0.6;
    map.setCamera(camera);
    if (!QTest::qWaitFor([&] { return map.sharp(); }, 20000)) fmt::print("the map did not become sharp\n");
    const QPointF from = map.camera().toScreen(m.at);
    send(map, QEvent::MouseButtonPress, from, Qt::LeftButton, Qt::LeftButton);
    send(map, QEvent::MouseMove, from + QPointF(6, 0), Qt::NoButton, Qt::LeftButton);
    QElapsedTimer clock;
    clock.start();
    for (std::size_t k = 0; k < moves; ++k) {
        const double due = static_cast<double>(k + 1) * kFrameMs;
        const double now = static_cast<double>(clock.nsecsElapsed()) * 1e-6;
        ++t.due;
        if (now > due + kFrameMs) continue;
        if (now < due) QThread::usleep(static_cast<unsigned long>((due - now) * 1000));
        ++t.painted;
        const double angle = static_cast<double>(k) * 0.13, r = 10 + 0.4 * static_cast<double>(k % 60);
        const double cpu = bench::threadSeconds();
        QElapsedTimer wall;
        wall.start();
        send(map, QEvent::MouseMove, from + QPointF(r * std::cos(angle), r * std::sin(angle)), Qt::NoButton,
             Qt::LeftButton);
        t.wall.add(static_cast<double>(wall.nsecsElapsed()) * 1e-6);
        t.cpu.add((bench::threadSeconds() - cpu) * 1e3);
    }
    window.space().drag.abandon();
    send(map, QEvent::MouseButtonRelease, from, Qt::LeftButton, Qt::NoButton);
}

void pan(MainWindow& window, bench::Series& cpu) {
    MapView& map = *window.map();
    Camera camera = map.camera();
    for (int k = 0; k < 200; ++k) {
        camera.centre.x += 4 * camera.metresPerPixel;
        const double from = bench::threadSeconds();
        map.setCamera(camera);
        QCoreApplication::processEvents(QEventLoop::ExcludeUserInputEvents);
        cpu.add((bench::threadSeconds() - from) * 1e3);
    }
}

void zoom(MainWindow& window, bench::Series& cpu) {
    MapView& map = *window.map();
    for (int k = 0; k < 200; ++k) {
        const double from = bench::threadSeconds();
        Camera camera = map.camera();
        camera.zoomAt({300, 200}, k % 80 < 40 ? 1.05 : 1 / 1.05);
        map.setCamera(camera);
        QCoreApplication::processEvents(QEventLoop::ExcludeUserInputEvents);
        cpu.add((bench::threadSeconds() - from) * 1e3);
    }
}

} // namespace

int main(int argc, char** argv) {
    if (qEnvironmentVariableIsEmpty("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
    QStandardPaths::setTestModeEnabled(true);
    QApplication app(argc, argv);
    std::setlocale(LC_NUMERIC, "C");
    loadPaperFonts();
    QFont face = paperFont(13);
    face.setPointSizeF(10);
    QApplication::setFont(face);
    wear(Appearance::day);
    const std::size_t moves = argc > 1 ? static_cast<std::size_t>(std::atoi(argv[1])) : 600;
    town::CitySpec spec;
    spec.hilly = true;
    LoadedPlan loaded;
    loaded.plan = town::makeCity(spec);
    loaded.terrain = town::cityTerrain(spec);
    fmt::print("city: {} buildings, {} cells, {} mounts, {} small cells\n",
               loaded.plan.scenery.buildingCount(), loaded.plan.cells.size(), loaded.plan.mounts.size(),
               loaded.plan.smallCells.size());
    MainWindow window({});
    window.resize(1600, 1000);
    window.show();
    if (!window.space().document.adopt(std::move(loaded))) return 1;
    if (!QTest::qWaitFor([&] { return !window.space().live.stale() && !window.space().live.settling(); },
                         600000)) {
        fmt::print("the city was not computed in time\n");
        return 1;
    }
    Times t;
    const auto smalls = window.space().live.study()->smallCells();
    for (std::size_t k = 0; t.due < moves; ++k)
        dragOne(window, smalls[(k * 37) % smalls.size()].mount, std::min<std::size_t>(100, moves - t.due), t);
    bench::Series panned, zoomed;
    pan(window, panned);
    zoom(window, zoomed);
    fmt::print("{}{}{}{}", t.cpu.line("drag: event to flush, CPU of the window's thread"),
               t.wall.line("drag: event to flush, wall"), panned.line("pan: one step to flush"),
               zoomed.line("zoom: one step to flush"));
    fmt::print("painted {:.1f} % of {} positions at 60 Hz; goal: p99 12 ms, 95 %\n",
               100.0 * static_cast<double>(t.painted) / static_cast<double>(t.due), t.due);
    window.space().jobs.cancelAll();
    return 0;
}
