// SPDX-License-Identifier: GPL-3.0-or-later
#include "aim_sample.h"

#include "port_merrow_map.h"
#include "port_merrow_parts.h"

#include "review/review.h"
#include "study/study.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>

namespace fw::town {

namespace {

struct Candidate {
    ItemId mount, radio, small;
    std::vector<std::pair<double, double>> best; ///< score and azimuth, best first
};

class Aimer {
public:
    Result<std::vector<Aim>> run(std::size_t count) {
        Sample sample = makePortMerrow({});
        m_terrain = sample.terrain;
        m_plan = std::move(sample.plan);
        std::set<std::string> bad;
        for (const Expected& e : sample.expected) bad.insert(e.mount);
        for (const Mount& m : m_plan.mounts)
            if (!bad.count(m.name) && !hasRadio(m.id)) {
                addCandidate(m);
                if (m.kind == MountKind::pole) addCandidate(m); // a post carries two
            }
        if (auto s = renew(); !s) return s.error();
        for (Candidate& c : m_candidates) rate(c, 10);
        return choose(count);
    }

private:
    [[nodiscard]] bool hasRadio(ItemId mount) const {
        return std::any_of(m_plan.radios.begin(), m_plan.radios.end(),
                           [&](const Radio& r) { return r.mount == mount; });
    }

    void addCandidate(const Mount& m) {
        Candidate c{m.id, {m_plan.lastId.v + 1}, {m_plan.lastId.v + 2}, {}};
        m_plan.lastId = c.small;
        Radio r;
        r.id = c.radio;
        r.mount = m.id;
        r.name = m.name + "a";
        r.azimuth = m.faces.value_or(TrueAzimuth{0});
        r.tiltDeg = m.tiltsDeg[1];
        m_plan.radios.put(r);
        SmallCell s;
        s.id = c.small;
        s.radio = r.id;
        s.variant = m_plan.settings->activeVariant;
        s.name = r.name;
        s.carrier = lowBandCarrier();
        s.chosen = false;
        m_plan.smallCells.put(s);
        m_candidates.push_back(std::move(c));
    }

    Status renew() {
        auto next = Study::advance(m_study, m_plan, m_terrain);
        if (!next) return next.error();
        m_study = *next;
        return Done{};
    }

    // Candidates of one post differ by where they look, or the second would only repeat the first.
    [[nodiscard]] bool beside(const Candidate& c, double azimuth) const {
        return std::any_of(m_candidates.begin(), m_candidates.end(), [&](const Candidate& other) {
            if (other.mount != c.mount || other.radio == c.radio ||
                !m_plan.smallCells.find(other.small)->chosen)
                return false;
            return std::fabs(wrap180(azimuth - m_plan.radios.find(other.radio)->azimuth.deg)) < 95;
        });
    }

    [[nodiscard]] std::shared_ptr<const Study> turned(const Candidate& c, double azimuth) const {
        Hypothesis what;
        what.radio = *m_plan.radios.find(c.radio);
        what.radio->azimuth = TrueAzimuth::of(azimuth);
        what.smallCell = *m_plan.smallCells.find(c.small);
        what.smallCell->chosen = true;
        return m_study->overlay(what);
    }

    // Points taken off full carriers, little for others; nothing where the review blocks.
    [[nodiscard]] double score(const Candidate& c, double azimuth) const {
        if (beside(c, azimuth)) return -1;
        const auto study = turned(c, azimuth);
        const Review review = reviewAll(*study, {false, c.mount});
        double sum = 0;
        for (const Finding& f : review.findings)
            if (f.severity == Severity::block)
                return -1;
            else if (f.severity == Severity::warn)
                sum -= 0.4;
        const auto &now = m_study->live().cells, &then = study->live().cells;
        for (std::size_t i = 0; i < now.size(); ++i) {
            const double points = 100 * (now[i].after - then[i].after);
            // Below its target a carrier needs no more.
            const double useful = std::min(points, 100 * std::max(0.0, now[i].after - now[i].target + 0.01));
            // The money goes to the old quays and the shops first: Eastgate has to wait.
            const double weight = m_plan.label(now[i].cell).starts_with("Eastgate") ? 0.4 : 1;
            sum += now[i].congested ? weight * (points > 0 ? useful : points) : 0.1 * points;
        }
        return sum;
    }

    void rate(Candidate& c, int stepDeg) const {
        const Mount& m = *m_plan.mounts.find(c.mount);
        c.best.clear();
        for (int a = 0; a < 360; a += stepDeg) {
            if (m.faces && std::fabs(wrap180(a - m.faces->deg)) > 80) continue;
            if (const double s = score(c, a); s > 0) c.best.emplace_back(s, a);
        }
        std::sort(c.best.rbegin(), c.best.rend());
        if (c.best.size() > 4) c.best.resize(4);
    }

    Result<std::vector<Aim>> choose(std::size_t count) {
        std::vector<Aim> out;
        while (out.size() < count) {
            // What a mount could bring only falls as others are chosen, about: look at the most hopeful
            // first.
            std::sort(m_candidates.begin(), m_candidates.end(), [](const Candidate& a, const Candidate& b) {
                return std::pair(b.best.empty() ? 0.0 : b.best[0].first, a.mount) <
                       std::pair(a.best.empty() ? 0.0 : a.best[0].first, b.mount);
            });
            Candidate* pick = nullptr;
            for (Candidate& c : m_candidates) {
                if (c.best.empty() || (pick && c.best[0].first <= pick->best[0].first)) break;
                for (auto& [points, azimuth] : c.best) points = score(c, azimuth);
                std::sort(c.best.rbegin(), c.best.rend());
                if (!pick || c.best[0].first > pick->best[0].first) pick = &c;
            }
            if (!pick || pick->best[0].first < 0.3) break;
            take(*pick, out);
            if (auto s = renew(); !s) return s.error();
        }
        addSpares(out);
        for (const LedgerLine& l : m_study->live().cells)
            if (l.congested)
                fmt::print(stderr, "{}: {:.3f} -> {:.3f}\n", m_plan.label(l.cell), l.before, l.after);
        return out;
    }

    // The next best stay in the plan as candidates that are not chosen, some of them chosen in variant B:
    // first second radios of chosen posts, then mounts of their own.
    void addSpares(std::vector<Aim>& out) {
        std::set<ItemId> used;
        for (const Candidate& c : m_candidates)
            if (m_plan.smallCells.find(c.small)->chosen) used.insert(c.mount);
        for (const auto& [second, most] : {std::pair{true, 3}, std::pair{false, 5}}) {
            int spares = 0;
            for (Candidate& c : m_candidates) {
                if (second && used.count(c.mount) && !m_plan.smallCells.find(c.small)->chosen) rate(c, 10);
                if (c.best.empty() || spares == most || beside(c, c.best[0].second) ||
                    !second == used.count(c.mount))
                    continue;
                used.insert(c.mount);
                out.push_back({m_plan.label(c.mount), c.best[0].second, m_plan.radios.find(c.radio)->tiltDeg,
                               'L', spares++ % 3 == 0 ? "aB" : "a"});
            }
        }
    }

    void take(Candidate& c, std::vector<Aim>& out) {
        Radio r = *m_plan.radios.find(c.radio);
        r.azimuth = TrueAzimuth::of(c.best[0].second);
        m_plan.radios.put(r);
        SmallCell s = *m_plan.smallCells.find(c.small);
        s.chosen = true;
        // Facades take their timing over the backhaul: some of them get the carrier of their own at once.
        const bool own = m_plan.mounts.find(c.mount)->kind == MountKind::wall && ++m_walls % 3 == 0;
        if (own) s.carrier = ownCarrier();
        m_plan.smallCells.put(s);
        out.push_back({m_plan.label(c.mount), r.azimuth.deg, r.tiltDeg, own ? 'O' : 'L',
                       out.size() % 4 == 3 ? "A" : "AB"});
        fmt::print(stderr, "{:2} {} {:.0f} deg: {:.2f}\n", out.size(), out.back().mount, r.azimuth.deg,
                   c.best[0].first);
        c.best.clear();
    }

    Plan m_plan;
    std::shared_ptr<const Terrain> m_terrain;
    std::shared_ptr<const Study> m_study;
    std::vector<Candidate> m_candidates;
    int m_walls = 0;
};

} // namespace

Result<std::vector<Aim>> findAims(std::size_t count) { return Aimer().run(count); }

std::string aimsText(const std::vector<Aim>& aims) {
    std::string out = "// SPDX-License-Identifier: GPL-3.0-or-later\n// Written by make_sample --aim; do not "
                      "edit by hand.\n";
    for (const Aim& a : aims)
        out += fmt::format("{{\"{}\", {:.0f}, {:.0f}, '{}', \"{}\"}},\n", a.mount, a.azimuthDeg, a.tiltDeg,
                           a.carrier, a.variants);
    return out;
}

} // namespace fw::town
