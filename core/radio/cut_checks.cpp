// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/cut_checks.h"

#include "base/units.h"
#include "radio/antenna.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <optional>

namespace fw {
namespace {

constexpr double kSameDb = 0.05, kGapDeg = 30, kAsideDeg = 5, kTiltDeg = 15, kSidesDb = 3, kBehindDb = 3;
constexpr double kNothingDb = 0.005; // rounding of a table

// One plane by angle, [0, 360).
struct Plane {
    const char* name;
    std::vector<double>&deg, &lossDb;
    std::map<double, double> at;

    // The first fault of the values themselves, or nothing.
    std::string read() {
        for (std::size_t k = 0; k < std::min(deg.size(), lossDb.size()); ++k) {
            const auto [it, fresh] = at.try_emplace(wrap360(deg[k]), lossDb[k]);
            if (!fresh && std::fabs(it->second - lossDb[k]) > kSameDb)
                return fmt::format(
                    "its {} cut gives {:g} dB and {:g} dB at {:g} deg, a whole turn apart or twice; "
                    "leave one of them out",
                    name, it->second, lossDb[k], it->first);
        }
        return {};
    }
    [[nodiscard]] double least() const {
        return std::min_element(at.begin(), at.end(), [](auto& a, auto& b) { return a.second < b.second; })
            ->second;
    }
    [[nodiscard]] double most() const {
        return std::max_element(at.begin(), at.end(), [](auto& a, auto& b) { return a.second < b.second; })
            ->second;
    }
    void change(double factor, double less) {
        for (double& v : lossDb) v = factor * v - less + 0.0; // never -0
        for (auto& [angle, v] : at) v = factor * v - less + 0.0;
    }
    // Between the points in a straight line; nothing where a gap is too wide to say.
    [[nodiscard]] std::optional<double> lossAt(double angleDeg) const {
        const double a = wrap360(angleDeg);
        auto next = at.lower_bound(a);
        if (next != at.end() && next->first == a) return next->second;
        const auto before = next == at.begin() ? std::prev(at.end()) : std::prev(next);
        if (next == at.end()) next = at.begin();
        const double span = wrap360(next->first - before->first), into = wrap360(a - before->first);
        if (span <= 0 || span > kGapDeg) return std::nullopt;
        return before->second + (next->second - before->second) * into / span;
    }
    // Of equal peaks the one nearest to 0.
    [[nodiscard]] double peak() const {
        double best = at.begin()->first, bestLoss = at.begin()->second;
        for (const auto& [angle, v] : at)
            if (v < bestLoss - kNothingDb ||
                (v < bestLoss + kNothingDb && std::fabs(wrap180(angle)) < std::fabs(wrap180(best)))) {
                best = angle;
                bestLoss = v;
            }
        return wrap180(best);
    }
};

std::string settleSign(Plane& p, std::vector<std::string>& said) {
    const double least = p.least(), most = p.most();
    if (least < -kNothingDb && most > kNothingDb)
        return fmt::format(
            "its {} cut goes from {:g} to {:g} dB; give losses below the peak, all of them 0 or more", p.name,
            least, most);
    if (least < -kNothingDb) {
        p.change(-1, 0);
        said.push_back(fmt::format("its {} cut is nowhere above 0: taken as gains below the peak", p.name));
    }
    const auto front = p.lossAt(0), behind = p.lossAt(180);
    if (front && behind && p.most() - p.least() > kSidesDb && *front > p.most() - kSameDb &&
        *behind < *front - kSidesDb)
        return fmt::format(
            "its {} cut is greatest in front, {:g} dB, and {:g} dB behind: these are gains; give losses "
            "below the peak",
            p.name, *front, *behind);
    if (p.least() > kNothingDb) {
        said.push_back(fmt::format("its {} cut loses {:g} dB at the peak, which is taken off all of it",
                                   p.name, p.least()));
        p.change(1, p.least());
    }
    return {};
}

void lookForGaps(const Plane& p, bool frontOnly, std::vector<std::string>& said) {
    for (auto it = p.at.begin(); it != p.at.end(); ++it) {
        const auto next = std::next(it) == p.at.end() ? p.at.begin() : std::next(it);
        const double span = p.at.size() == 1 ? 360 : wrap360(next->first - it->first);
        const bool behind = it->first >= 90 && it->first + span <= 270;
        if (span <= kGapDeg + 1e-9 || (frontOnly && behind)) continue;
        said.push_back(
            fmt::format("its {} cut has nothing between {:g} and {:g} deg, where a straight line is taken; "
                        "give an angle at least every 30 deg",
                        p.name, it->first, next->first));
        return;
    }
}

void lookAtSides(const Plane& p, std::vector<std::string>& said) {
    double sum = 0;
    int n = 0;
    for (int deg = 10; deg <= 90; deg += 5) {
        const auto left = p.lossAt(-deg), right = p.lossAt(deg);
        if (!left || !right) continue;
        sum += std::fabs(*left - *right);
        ++n;
    }
    if (n > 0 && sum / n > kSidesDb)
        said.push_back(
            fmt::format("its {} cut differs by {:.1f} dB on average from side to side; see whether angles "
                        "count clockwise from boresight",
                        p.name, sum / n));
}

} // namespace

CutVerdict settleCuts(AntennaCut& cut) {
    CutVerdict out;
    Plane across{"horizontal", cut.horizontalDeg, cut.horizontalLossDb, {}},
        upright{"vertical", cut.verticalDeg, cut.verticalLossDb, {}};
    for (Plane* p : {&across, &upright}) {
        if (out.refused.empty()) out.refused = p->read();
        if (p->at.empty() || !out.refused.empty()) continue;
        out.refused = settleSign(*p, out.said);
    }
    if (!out.refused.empty()) return out;
    if (!across.at.empty()) {
        lookForGaps(across, false, out.said);
        lookAtSides(across, out.said);
        if (const double peak = across.peak(); std::fabs(peak) > kAsideDeg)
            out.said.push_back(
                fmt::format("its horizontal cut is strongest at {:g} deg, not at boresight", peak));
    }
    if (upright.at.empty()) return out;
    lookForGaps(upright, true, out.said);
    if (const double peak = upright.peak(); std::fabs(peak) > kTiltDeg)
        out.said.push_back(
            fmt::format("its vertical cut is strongest {:g} deg {} the horizon; elevations count upwards "
                        "from it",
                        std::fabs(peak), peak > 0 ? "above" : "below"));
    const auto behind = across.at.empty() ? std::nullopt : across.lossAt(180), same = upright.lossAt(180);
    if (behind && same && std::fabs(*behind - *same) > kBehindDb)
        out.said.push_back(
            fmt::format("its cuts disagree about straight behind, {:g} dB and {:g} dB", *behind, *same));
    return out;
}

} // namespace fw
