// SPDX-License-Identifier: GPL-3.0-or-later
// A drag as the planner has it: the whole window over a city of 50,000 buildings, every panel shown, one
// mouse move after another; from the event to the painted and flushed picture; then edits that make anew what
// drags leave alone, and the memory after both: bench_window [moves] [edits].
// The map alone over a million footprints, without a study: bench_window map [buildings].
#include "base/one_heap.h"
#include "bench/bench.h"
#include "bench/facts_panel.h"
#include "bench/findings_panel.h"
#include "bench/measure.h"
#include "bench/stage_table.h"
#include "canvas/map_view.h"
#include "canvas/shown_card.h"
#include "charts/fit_bar.h"
#include "charts/ledger_chart.h"
#include "main_window.h"
#include "skyline/skyline_view.h"
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
#include <cstring>
#include <fstream>

using namespace fw;

namespace {

constexpr double kFrameMs = 1000.0 / 60;

double cpuMs() { return bench::threadSeconds() * 1e3; }

/// Knows what painting costs, panel by panel.
class Application : public QApplication {
public:
    using QApplication::QApplication;

    struct Panel {
        const char* name;
        QWidget* widget;
        double ms = 0;
        std::size_t paints = 0;
    };
    std::vector<Panel> panels;

    bool notify(QObject* receiver, QEvent* event) override {
        if (event->type() != QEvent::Paint || panels.empty()) return QApplication::notify(receiver, event);
        const double from = cpuMs();
        const bool taken = QApplication::notify(receiver, event);
        const double spent = cpuMs() - from;
        for (const QObject* o = receiver; o; o = o->parent())
            for (Panel& p : panels)
                if (p.widget == o) {
                    p.ms += spent;
                    ++p.paints;
                    return taken;
                }
        return taken;
    }
    void forget() {
        for (Panel& p : panels) p.ms = 0, p.paints = 0;
    }
};

struct Times {
    bench::Series cpu, wall, follow;
    std::size_t due = 0, painted = 0, inTime = 0;
};

void send(MapView& map, QEvent::Type type, QPointF at, Qt::MouseButton button, Qt::MouseButtons buttons) {
    QMouseEvent event(type, at, map.mapToGlobal(at), button, buttons, Qt::NoModifier);
    QCoreApplication::sendEvent(&map, &event);
}

// The repaints that were asked for, to the last flush.
void flush() { QCoreApplication::processEvents(QEventLoop::ExcludeUserInputEvents); }

/// One mount dragged round in circles of some metres by a hand that moves at 60 Hz; positions that fall due
/// while a frame is still at work are lost, as they would be. The clock is the thread's own, so that a busy
/// neighbour on the machine does not count. False where nothing was taken hold of.
bool dragOne(MainWindow& window, ItemId mount, std::size_t moves, Times& t) {
    MapView& map = *window.map();
    const LiveStudy& live = window.space().live;
    const PlanePoint at = window.space().document.plan().mounts.find(mount)->at;
    window.space().selection.setOne(mount);
    Camera camera = map.camera();
    camera.centre = at;
    camera.metresPerPixel = 0.6;
    map.setCamera(camera);
    // What follows a choice (rose, remedies, blocked bearings) starts a little later and comes to its end.
    QTest::qWait(200);
    if (!window.space().jobs.waitForDone(30000) || !QTest::qWaitFor([&] { return map.sharp(); }, 30000))
        fmt::print("the window did not come to rest\n");
    std::size_t frames = 0;
    const auto counting = QObject::connect(&map, &MapView::framePainted, &map, [&] { ++frames; });
    const QPointF from = map.camera().toScreen(at);
    send(map, QEvent::MouseButtonPress, from, Qt::LeftButton, Qt::LeftButton);
    send(map, QEvent::MouseMove, from + QPointF(6, 0), Qt::NoButton, Qt::LeftButton);
    flush();
    const bool held = window.space().drag.active();
    double free = 0; // ms since the press when the frame before was done, as a thread of its own would be
    for (std::size_t k = 0; held && k < moves; ++k) {
        const double due = static_cast<double>(k + 1) * kFrameMs;
        ++t.due;
        if (free > due + kFrameMs) continue;
        const double angle = static_cast<double>(k) * 0.13, r = 10 + 0.4 * static_cast<double>(k % 60);
        const std::size_t before = frames;
        const auto study = live.study();
        QElapsedTimer wall;
        wall.start();
        const double cpu = cpuMs();
        send(map, QEvent::MouseMove, from + QPointF(r * std::cos(angle), r * std::sin(angle)), Qt::NoButton,
             Qt::LeftButton);
        t.follow.add(cpuMs() - cpu);
        flush();
        const double took = cpuMs() - cpu, passed = static_cast<double>(wall.nsecsElapsed()) * 1e-6;
        t.wall.add(passed);
        t.cpu.add(took);
        free = std::max(free, due) + took;
        t.painted += frames > before && live.study() != study;
        t.inTime += passed <= kFrameMs;
    }
    QObject::disconnect(counting);
    window.space().drag.abandon();
    send(map, QEvent::MouseButtonRelease, from, Qt::LeftButton, Qt::NoButton);
    flush();
    return held;
}

bench::Series pan(MapView& map) {
    bench::Series cpu;
    Camera camera = map.camera();
    for (int k = 0; k < 200; ++k) {
        camera.centre.x += 4 * camera.metresPerPixel;
        const double from = cpuMs();
        map.setCamera(camera);
        flush();
        cpu.add(cpuMs() - from);
    }
    return cpu;
}

bench::Series zoom(MapView& map) {
    bench::Series cpu;
    for (int k = 0; k < 200; ++k) {
        const double from = cpuMs();
        Camera camera = map.camera();
        camera.zoomAt({300, 200}, k % 80 < 40 ? 1.05 : 1 / 1.05);
        map.setCamera(camera);
        flush();
        cpu.add(cpuMs() - from);
    }
    return cpu;
}

/// A hand that pulls the map over ground that is not drawn yet, in real time, zooming on the way: what its
/// frames cost while workers draw tiles, and for how long the window's thread was away from its events.
struct Walk {
    bench::Series cpu, wall;
    double stallMs = 0;
    std::size_t sharp = 0;
    void print(const char* name) const {
        fmt::print("{}{}  longest stall of the window's thread {:.1f} ms; {} frames of {} sharp\n",
                   cpu.line(fmt::format("{}, CPU", name)), wall.line(fmt::format("{}, wall", name)), stallMs,
                   sharp, cpu.size());
    }
};
Walk walk(MapView& map, double pixelsAFrame, double zoom, int frames) {
    Walk w;
    Camera camera = map.camera();
    QElapsedTimer clock;
    clock.start();
    const auto ms = [&] { return static_cast<double>(clock.nsecsElapsed()) * 1e-6; };
    for (int k = 0; k < frames; ++k) {
        const double from = ms(), cpu = cpuMs();
        const double angle = k * 0.02;
        camera.metresPerPixel *= zoom;
        camera.centre = camera.centre +
                        PlanePoint{std::cos(angle), std::sin(angle)} * (pixelsAFrame * camera.metresPerPixel);
        map.setCamera(camera);
        flush();
        w.cpu.add(cpuMs() - cpu);
        w.wall.add(ms() - from);
        w.stallMs = std::max(w.stallMs, ms() - from);
        w.sharp += map.sharp();
        while (ms() < from + kFrameMs) {
            const double before = ms();
            QCoreApplication::processEvents(QEventLoop::AllEvents);
            w.stallMs = std::max(w.stallMs, ms() - before);
            QThread::usleep(300);
        }
    }
    return w;
}

/// "VmRSS", "VmHWM" of the process in MB.
long memoryMb(const char* what) {
    std::ifstream status("/proc/self/status");
    for (std::string line; std::getline(status, line);)
        if (line.rfind(what, 0) == 0) return std::atol(line.c_str() + std::strlen(what) + 1) / 1024;
    return 0;
}

LoadedPlan cityOf(const town::CitySpec& spec) {
    LoadedPlan loaded;
    loaded.plan = town::makeCity(spec);
    loaded.terrain = town::cityTerrain(spec);
    fmt::print("city: {} buildings, {} cells, {} mounts, {} small cells; {} MB\n",
               loaded.plan.scenery.buildingCount(), loaded.plan.cells.size(), loaded.plan.mounts.size(),
               loaded.plan.smallCells.size(), memoryMb("VmRSS"));
    return loaded;
}

int benchMap(std::size_t buildings) {
    town::CitySpec spec;
    spec.hilly = true;
    spec.buildings = buildings;
    spec.sideM = 10000 * std::sqrt(static_cast<double>(buildings) / 50000);
    LoadedPlan loaded = cityOf(spec);
    Cell stranger =
        *loaded.plan.cells.begin(); // on no band: the study refuses at once and takes no part here
    stranger.carrier.channel = 999999;
    loaded.plan.cells.put(stranger);
    Workspace space;
    MapView map(space);
    map.resize(1600, 700);
    map.show();
    QElapsedTimer wall;
    const double from = cpuMs(), all = bench::processSeconds();
    wall.start();
    if (!space.document.adopt(std::move(loaded))) return 1;
    flush();
    fmt::print("first frame: {:.0f} ms of CPU, {} ms wall; {} MB\n", cpuMs() - from, wall.elapsed(),
               memoryMb("VmRSS"));
    const bool whole = QTest::qWaitFor([&] { return map.sharp(); }, 120000);
    fmt::print("{}: {} ms wall, {:.1f} s of CPU on all threads; {} MB, at most {} MB\n",
               whole ? "sharp from afar" : "not sharp from afar", wall.elapsed(),
               bench::processSeconds() - all, memoryMb("VmRSS"), memoryMb("VmHWM"));
    fmt::print("{}{}", pan(map).line("pan from afar"), zoom(map).line("zoom from afar"));
    map.zoomBy(1 / map.camera().metresPerPixel);
    (void)QTest::qWaitFor([&] { return map.sharp(); }, 30000);
    fmt::print("{}{}", pan(map).line("pan near"), zoom(map).line("zoom near"));
    map.zoomToPlan();
    (void)QTest::qWaitFor([&] { return map.sharp(); }, 30000);
    walk(map, 25, 0.99, 400).print("over new ground, from afar to near");
    walk(map, 25, 1, 400).print("over new ground, near");
    map.zoomBy(0.1);
    walk(map, 25, 1, 400).print("over new ground, ten times as far");
    if (!space.document.plan().mounts.empty()) {
        bench::Series edits;
        for (int k = 0; k < 50; ++k) {
            Mount m = *space.document.plan().mounts.begin();
            m.at.x += 3;
            const double before = cpuMs();
            (void)space.document.perform({"Move a mount", {Put{m}}});
            flush();
            edits.add(cpuMs() - before);
        }
        fmt::print("{}", edits.line("an edit: to flush"));
    }
    fmt::print("{} MB, at most {} MB\n", memoryMb("VmRSS"), memoryMb("VmHWM"));
    space.jobs.cancelAll();
    return 0;
}

/// The k-th of edits that make anew what drags leave alone: a sector turned, a load, a house raised, a mast
/// moved, a mount moved, all undone now and then.
Edit bigEdit(const Plan& plan, std::size_t k) {
    const auto nth = [&](const auto& table) { return *std::next(table.begin(), (k * 37) % table.size()); };
    switch (k % 5) {
    case 0: {
        Sector s = nth(plan.sectors);
        s.azimuth = TrueAzimuth::of(s.azimuth.deg + 7);
        return {"Turn a sector", {Put{s}}};
    }
    case 1: {
        Cell c = nth(plan.cells);
        c.load.dlPrbUse = 0.61;
        c.load.dailyDlPrbUse.clear();
        return {"Change a load", {Put{c}}};
    }
    case 2: {
        const auto& chunks = plan.scenery.buildingChunks();
        Building b = *plan.scenery.building(chunks[(k * 37) % chunks.size()]->ids[0]);
        b.heightM += 2;
        return {"Raise a house", {Put{b}}};
    }
    case 3: {
        MacroSite s = nth(plan.macroSites);
        s.at.x += 8;
        return {"Move a mast", {Put{s}}};
    }
    default: {
        Mount m = nth(plan.mounts);
        m.at.x += 3;
        return {"Move a mount", {Put{m}}};
    }
    }
}

bool edits(MainWindow& window, std::size_t many) {
    const LiveStudy& live = window.space().live;
    bench::Series wall;
    for (std::size_t k = 0; k < many; ++k) {
        QElapsedTimer clock;
        clock.start();
        if (k % 10 == 9)
            window.space().document.history().undo();
        else if (!window.space().document.perform(bigEdit(window.space().document.plan(), k)))
            return false;
        if (!QTest::qWaitFor([&] { return live.study() && !live.stale() && !live.settling(); }, 600000))
            return false;
        wall.add(static_cast<double>(clock.elapsed()));
    }
    fmt::print("{}{} MB, at most {} MB\n", wall.line("edits: to settled figures, wall"), memoryMb("VmRSS"),
               memoryMb("VmHWM"));
    return true;
}

int benchWindow(Application& app, std::size_t moves, std::size_t many) {
    town::CitySpec spec;
    spec.hilly = true;
    LoadedPlan loaded = cityOf(spec);
    MainWindow window({});
    window.resize(1600, 1000);
    window.show();
    if (window.stages()->current() != static_cast<int>(Stage::cells))
        window.stages()->button(static_cast<int>(Stage::cells))->click();
    if (!window.space().document.adopt(std::move(loaded))) return 1;
    const LiveStudy& live = window.space().live;
    if (!QTest::qWaitFor([&] { return live.study() && !live.stale() && !live.settling(); }, 600000)) {
        fmt::print("the city was not computed in time\n");
        return 1;
    }
    const Bench& b = *window.bench();
    app.panels = {{"map", window.map()},
                  {"stage table", window.table(Stage::cells)},
                  {"stages", window.stages()},
                  {"facts", b.facts()},
                  {"skyline", b.skyline()},
                  {"fit", b.fit()},
                  {"ledger", b.ledger()},
                  {"findings", b.findings()},
                  {"shown card", window.findChild<ShownCard*>()},
                  {"others", &window}};
    for (const auto& p : app.panels)
        if (!p.widget || !p.widget->isVisible()) {
            fmt::print("not in view: {}\n", p.name);
            return 1;
        }
    fmt::print("{} findings, {} MB\n", live.review().findings.size(), memoryMb("VmRSS"));
    Times t;
    const auto smalls = live.study()->smallCells();
    std::vector<ItemId> mounts;
    for (std::size_t k = 0; k < smalls.size(); ++k) mounts.push_back(smalls[(k * 37) % smalls.size()].mount);
    app.forget();
    for (std::size_t k = 0; t.due < moves; ++k)
        if (!dragOne(window, mounts[k % mounts.size()], std::min<std::size_t>(100, moves - t.due), t) &&
            k > mounts.size()) {
            fmt::print("nothing could be dragged\n");
            return 1;
        }
    fmt::print("{}{}{}", t.cpu.line("drag: event to flush, CPU of the window's thread"),
               t.follow.line("  of it before painting"), t.wall.line("drag: event to flush, wall"));
    fmt::print("painted {:.1f} % of {} positions at 60 Hz; goal: p99 12 ms, 95 %\n",
               100.0 * static_cast<double>(t.painted) / static_cast<double>(t.due), t.due);
    fmt::print("{:.1f} % of the frames within a sixtieth of a second by the wall clock\n",
               100.0 * static_cast<double>(t.inTime) / static_cast<double>(t.wall.size()));
    for (const auto& p : app.panels)
        fmt::print("  painting {:<12} {:6.3f} ms a frame, {:.2f} paints\n", p.name,
                   p.ms / static_cast<double>(t.cpu.size()),
                   static_cast<double>(p.paints) / static_cast<double>(t.cpu.size()));
    fmt::print("{}{}", pan(*window.map()).line("pan: one step to flush"),
               zoom(*window.map()).line("zoom: one step to flush"));
    fmt::print("{} MB, at most {} MB\n", memoryMb("VmRSS"), memoryMb("VmHWM"));
    if (many > 0 && !edits(window, many)) {
        fmt::print("an edit was refused, or not computed in time\n");
        return 1;
    }
    window.space().jobs.cancelAll();
    return 0;
}

} // namespace

int main(int argc, char** argv) {
    useOneHeap();
    if (qEnvironmentVariableIsEmpty("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
    QStandardPaths::setTestModeEnabled(true);
    Application app(argc, argv);
    std::setlocale(LC_NUMERIC, "C");
    loadPaperFonts();
    QFont face = paperFont(13);
    face.setPointSizeF(10);
    QApplication::setFont(face);
    wear(Appearance::day);
    const auto number = [&](int at, std::size_t otherwise) {
        return argc > at ? static_cast<std::size_t>(std::strtoul(argv[at], nullptr, 10)) : otherwise;
    };
    if (argc > 1 && !std::strcmp(argv[1], "map")) return benchMap(number(2, 1000000));
    return benchWindow(app, number(1, 600), number(2, 0));
}
