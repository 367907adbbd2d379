// SPDX-License-Identifier: GPL-3.0-or-later
// One small cell dragged over a city of 50,000 buildings: everything that follows the pointer, computed anew
// each frame.
#include "../../sample-projects/generate/city.h"
#include "base/random.h"
#include "review/review.h"
#include "study/fit.h"
#include "study/study.h"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>

#include <sys/resource.h>
#include <time.h>

using namespace fw;

namespace {

// Wall time for what runs on several threads.
double now() {
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now().time_since_epoch())
        .count();
}
// Time of this thread's own work: a busy neighbour does not count. A frame runs on one thread.
double work() {
    timespec t{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
    return static_cast<double>(t.tv_sec) * 1e3 + static_cast<double>(t.tv_nsec) * 1e-6;
}

struct Series {
    std::vector<double> ms;
    void print(const char* what) {
        if (ms.empty()) return;
        std::sort(ms.begin(), ms.end());
        std::printf("%-44s median %7.3f ms   p99 %7.3f   max %7.3f   (%zu)\n", what, ms[ms.size() / 2],
                    ms[ms.size() * 99 / 100], ms.back(), ms.size());
    }
};

/// The levels of the dragged cell as the map would show them: a colour index a pixel.
std::size_t footprint(const Study& study, ItemId small, std::vector<std::uint8_t>& pixels) {
    const MountPart& m = *study.mount(study.smallCell(small)->mount);
    pixels.clear();
    for (int y = -75; y <= 75; ++y)
        for (int x = -75; x <= 75; ++x) {
            const auto level = study.smallAt(small, m.at + PlanePoint{x * 4.0, y * 4.0});
            pixels.push_back(level ? static_cast<std::uint8_t>(std::clamp(*level + 140, 1.0, 255.0)) : 0);
        }
    return pixels.size();
}

} // namespace

int main(int argc, char** argv) {
    const std::size_t moves = argc > 1 ? static_cast<std::size_t>(std::atoi(argv[1])) : 500;
    town::CitySpec spec;
    spec.hilly = true;
    double t = now();
    const Plan plan = town::makeCity(spec);
    std::printf("city: %zu buildings, %zu cells, %zu mounts, %zu small cells made in %.0f ms\n",
                plan.scenery.buildingCount(), plan.cells.size(), plan.mounts.size(), plan.smallCells.size(),
                now() - t);
    t = now();
    const auto made = Study::advance(nullptr, plan, town::cityTerrain(spec));
    if (!made) {
        std::printf("%s\n", made.error().sentence().c_str());
        return 1;
    }
    const auto study = *made;
    rusage use{};
    getrusage(RUSAGE_SELF, &use);
    std::printf("full study: %.0f ms, peak memory %ld MB\n", now() - t, use.ru_maxrss / 1024);
    t = now();
    ReviewOptions quick;
    quick.remedies = false;
    const Review before = reviewAll(*study, quick);
    std::printf("full review: %zu findings in %.0f ms\n", before.findings.size(), now() - t);

    Series press, frame, turn, overlay, totals, ledger, fit, review, paint;
    Random r(11);
    std::vector<std::uint8_t> pixels;
    std::size_t findings = 0, frames = 0;
    const auto smalls = study->smallCells();
    while (frames < moves) {
        const SmallCellPart& s = smalls[r.below(static_cast<std::uint32_t>(smalls.size()))];
        const Mount* home = plan.mounts.find(s.mount);
        const Radio* radio = plan.radios.find(s.radio);
        Hypothesis h;
        h.mount = *home;
        h.radio = *radio;
        // Press: what the others do is summed once.
        t = work();
        (void)study->overlay(h)->live();
        press.ms.push_back(work() - t);
        std::shared_ptr<const Study> last = study;
        const Review* known = &before;
        Review held;
        for (int k = 0; k < 25 && frames < moves; ++k, ++frames) {
            h.mount->at = h.mount->at + PlanePoint{r.between(-6, 6), r.between(-6, 6)};
            h.radio->azimuth = TrueAzimuth::of(h.radio->azimuth.deg + r.between(-3, 3));
            const double t0 = work();
            const auto over = study->overlay(h);
            const double t1 = work();
            (void)over->reliefPoints(s.id);
            const double t2 = work();
            const std::size_t cells = over->live().cells.size();
            const double t3 = work();
            const Fit f = fitOf(*over, s.id);
            const double t4 = work();
            const Review after = reviewAfter(*over, *known, *last, quick);
            const double t5 = work();
            const std::size_t shown = footprint(*over, s.id, pixels);
            const double t6 = work();
            overlay.ms.push_back(t1 - t0);
            totals.ms.push_back(t2 - t1);
            ledger.ms.push_back(t3 - t2);
            fit.ms.push_back(t4 - t3);
            review.ms.push_back(t5 - t4);
            paint.ms.push_back(t6 - t5);
            frame.ms.push_back(t6 - t0);
            findings += after.findings.size();
            if (cells == 0 || shown == 0 || f.terms.empty()) return 1;
            held = after;
            known = &held;
            last = over;
        }
        // Turning alone: the path part is known.
        for (int k = 0; k < 4; ++k) {
            Hypothesis g;
            g.radio = *radio;
            g.radio->azimuth = TrueAzimuth::of(radio->azimuth.deg + r.between(-20, 20));
            const double t0 = work();
            const auto over = study->overlay(g);
            (void)over->live();
            (void)fitOf(*over, s.id);
            turn.ms.push_back(work() - t0);
        }
    }
    std::printf("%zu moves, %.1f findings a frame\n", frames,
                static_cast<double>(findings) / static_cast<double>(frames));
    press.print("press (others summed once)");
    overlay.print("  position: sweep, skyline, parts");
    totals.print("  relief and harm by difference");
    ledger.print("  live ledger");
    fit.print("  fit with terms");
    review.print("  review");
    paint.print("  footprint");
    frame.print("frame: a move with everything");
    turn.print("turn only: ledger and fit");
    std::sort(frame.ms.begin(), frame.ms.end());
    const double p99 = frame.ms[frame.ms.size() * 99 / 100];
    std::printf("ratio to a 60 Hz frame of 16.7 ms: %.2f (p99); goal 8 ms: %s; findings: %s\n", p99 / 16.7,
                p99 <= 8 ? "met" : "MISSED", findings ? "yes" : "NONE");
    return 0;
}
