// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/drag.h"

#include "base/random.h"
#include "review/review.h"
#include "study/fit.h"
#include "study/rasters.h"

#include <algorithm>

namespace fw::bench {
namespace {

double nowMs() { return threadSeconds() * 1e3; }

class Drag {
public:
    Drag(std::shared_ptr<const Study> study, DragTimes& times) : m_study(std::move(study)), m_times(times) {
        m_quick.remedies = false;
        m_quick.identities = false; // as in a frame of the window
        m_before = reviewAll(*m_study, m_quick);
    }

    /// Picks a cell and moves it; false when something came out empty.
    bool move(std::size_t frames) {
        const auto smalls = m_study->smallCells();
        const SmallCellPart& s = smalls[m_random.below(static_cast<std::uint32_t>(smalls.size()))];
        m_small = s.id;
        Hypothesis h;
        h.mount = *m_study->plan().mounts.find(s.mount);
        h.radio = *m_study->plan().radios.find(s.radio);
        const double t = nowMs();
        (void)m_study->overlay(h)->live();
        m_times.press.add(nowMs() - t);
        m_last = m_study;
        m_known = m_before;
        for (std::size_t k = 0; k < frames; ++k) {
            h.mount->at = h.mount->at + PlanePoint{m_random.between(-6, 6), m_random.between(-6, 6)};
            h.radio->azimuth = TrueAzimuth::of(h.radio->azimuth.deg + m_random.between(-3, 3));
            if (!frame(h)) return false;
        }
        return true;
    }

    /// The cell of the last move turned alone: its path part is known.
    void turn() {
        Hypothesis h;
        h.radio = *m_study->plan().radios.find(m_study->smallCell(m_small)->radio);
        h.radio->azimuth = TrueAzimuth::of(h.radio->azimuth.deg + m_random.between(-20, 20));
        const double t = nowMs();
        const auto over = m_study->overlay(h);
        (void)footprintOf(*over, m_small, m_footprint);
        m_times.turned.add(nowMs() - t);
        (void)over->live();
        (void)fitOf(*over, m_small);
        m_times.turn.add(nowMs() - t);
    }

    [[nodiscard]] std::size_t findings() const { return m_findings; }

private:
    bool frame(const Hypothesis& h) {
        const double t0 = nowMs();
        const auto over = m_study->overlay(h);
        const double t1 = nowMs();
        (void)over->reliefPoints(m_small);
        const double t2 = nowMs();
        const std::size_t cells = over->live().cells.size();
        const double t3 = nowMs();
        const Fit fit = fitOf(*over, m_small);
        const double t4 = nowMs();
        Review after = reviewAfter(*over, std::move(m_known), *m_last, m_quick);
        const double t5 = nowMs();
        const bool shown = footprintOf(*over, m_small, m_footprint);
        const double t6 = nowMs();
        m_times.position.add(t1 - t0);
        m_times.relief.add(t2 - t1);
        m_times.ledger.add(t3 - t2);
        m_times.fit.add(t4 - t3);
        m_times.review.add(t5 - t4);
        m_times.footprint.add(t6 - t5);
        m_times.move.add(t6 - t0);
        m_findings += after.findings.size();
        m_known = std::move(after);
        m_last = over;
        return cells > 0 && shown && !fit.terms.empty();
    }

    std::shared_ptr<const Study> m_study, m_last;
    DragTimes& m_times;
    ReviewOptions m_quick;
    Review m_before, m_known;
    Random m_random{11};
    ItemId m_small;
    std::size_t m_findings = 0;
    SmallFootprint m_footprint;
};

} // namespace

DragTimes measureDrag(const std::shared_ptr<const Study>& study, std::size_t moves) {
    DragTimes times;
    if (study->smallCells().empty() || moves == 0) return times;
    Drag drag(study, times);
    while (times.move.size() < moves) {
        if (!drag.move(std::min<std::size_t>(25, moves - times.move.size()))) return {};
        for (int k = 0; k < 4; ++k) drag.turn();
    }
    times.findingsPerMove = static_cast<double>(drag.findings()) / static_cast<double>(moves);
    return times;
}

} // namespace fw::bench
