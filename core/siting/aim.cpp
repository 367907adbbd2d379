// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/aim.h"

#include "base/text.h"
#include "plan/bracket.h"
#include "review/turned.h"
#include "study/fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {

namespace {

constexpr double kApartDeg = 10; // lobes nearer than that are one to whoever turns a bracket [own]

using FindingKey = std::pair<std::string, std::vector<ItemId>>;

/// One way of pointing, with all that blocks it.
struct Asked {
    AimPoint point;
    bool outOfBracket = false;
    std::vector<Finding> blocking;
};

std::vector<double> tiltsOf(const Mount& mount, const Radio& radio, const AimOptions& options) {
    std::vector<double> tilts = !options.tiltsDeg.empty() ? options.tiltsDeg : mount.tiltsDeg;
    if (tilts.empty()) tilts = {radio.tiltDeg};
    std::sort(tilts.begin(), tilts.end());
    tilts.erase(std::unique(tilts.begin(), tilts.end()), tilts.end());
    return tilts;
}

class Aiming {
public:
    Aiming(const Study& study, const SmallCellPart& small, const Radio& radio, const Mount& mount,
           unsigned threads)
        : m_study(study), m_small(small.id), m_radio(radio), m_mount(mount), m_turned(study, radio.id),
          m_crew(threads) {}

    Asked ask(TrueAzimuth azimuth, double tiltDeg) {
        Hypothesis what;
        what.radio = m_radio;
        what.radio->azimuth = azimuth;
        what.radio->tiltDeg = tiltDeg;
        Asked out;
        out.point.azimuth = azimuth;
        out.point.tiltDeg = tiltDeg;
        const auto over = m_study.overlay(what, &m_crew);
        over->prepare(m_crew);
        out.point.fit = fitOf(*over, m_small).value;
        out.point.reliefPoints = over->reliefPoints(m_small);
        out.outOfBracket = !bracketTurns(m_mount, azimuth);
        out.blocking = m_turned.blocking(*what.radio, over);
        std::erase_if(out.blocking, [](const Finding& f) { return !isOpen(f); });
        return out;
    }

private:
    const Study& m_study;
    ItemId m_small;
    Radio m_radio;
    Mount m_mount;
    TurnedRadio m_turned;
    Crew m_crew;
};

// What blocks wherever the bracket can turn to.
std::map<FindingKey, std::string> blockingEverywhere(const std::vector<Asked>& asked) {
    std::map<FindingKey, std::pair<std::size_t, std::string>> count;
    std::size_t reachable = 0;
    for (const Asked& a : asked) {
        if (a.outOfBracket) continue;
        ++reachable;
        for (const Finding& f : a.blocking) {
            auto& entry = count[{f.rule, f.subjects}];
            if (entry.first++ == 0) entry.second = f.text;
        }
    }
    std::map<FindingKey, std::string> out;
    for (const auto& [key, entry] : count)
        if (entry.first == reachable) out[key] = entry.second;
    return out;
}

void mark(Asked& a, const std::map<FindingKey, std::string>& everywhere) {
    if (a.outOfBracket) {
        a.point.blocked = true;
        a.point.rule = "bracket";
        a.point.why = CORE_TEXT("The bracket does not turn so far: a radio on a wall looks away from it.");
        return;
    }
    const auto f = std::find_if(a.blocking.begin(), a.blocking.end(), [&](const Finding& x) {
        return everywhere.find({x.rule, x.subjects}) == everywhere.end();
    });
    if (f == a.blocking.end()) return;
    a.point.blocked = true;
    a.point.rule = f->rule;
    a.point.why = f->text;
}

// Whether a is the better tilt at one azimuth; ties go to the smaller one, which comes first.
bool betterTilt(const AimPoint& a, const AimPoint& b) {
    return a.blocked != b.blocked ? !a.blocked : a.fit > b.fit;
}

std::vector<AimPoint> lobesOf(const std::vector<AimPoint>& rose) {
    std::vector<std::size_t> order;
    for (std::size_t k = 0; k < rose.size(); ++k)
        if (!rose[k].blocked) order.push_back(k);
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return rose[a].fit > rose[b].fit; });
    std::vector<AimPoint> out;
    if (order.empty()) return out;
    const double drop = std::max(1.0, 0.1 * rose[order.front()].fit);
    std::vector<char> taken(rose.size(), 0);
    for (const std::size_t peak : order) {
        const bool beside = std::any_of(out.begin(), out.end(), [&](const AimPoint& p) {
            return std::fabs(wrap180(p.azimuth.deg - rose[peak].azimuth.deg)) < kApartDeg;
        });
        if (taken[peak] || beside) continue;
        taken[peak] = 1;
        out.push_back(rose[peak]);
        for (const bool clockwise : {true, false}) {
            std::size_t at = peak;
            for (std::size_t step = 1; step < rose.size(); ++step) {
                const std::size_t next = (at + (clockwise ? 1 : rose.size() - 1)) % rose.size();
                const AimPoint& p = rose[next];
                if (p.blocked || taken[next]) break;
                // Down the flank it still belongs; once it has fallen far enough, what rises is another.
                if (p.fit < rose[peak].fit - drop && p.fit > rose[at].fit) break;
                taken[next] = 1;
                at = next;
            }
        }
    }
    return out;
}

Status checked(const AimOptions& options) {
    if (!(options.stepDeg >= 1 && options.stepDeg <= 90))
        return Error{ErrorCode::badInput, fmt::format("a step of {} deg; give 1 to 90", options.stepDeg),
                     "aim"};
    for (const double t : options.tiltsDeg)
        if (!(t >= -90 && t <= 90))
            return Error{ErrorCode::badInput, fmt::format("a tilt of {} deg; give -90 to 90", t), "aim"};
    return Done{};
}

} // namespace

Result<Aim> aimOf(const Study& study, ItemId small, const AimOptions& options, const Job& job) {
    if (auto s = checked(options); !s) return s.error();
    const SmallCellPart* part = study.smallCell(small);
    const Radio* radio = part ? study.plan().radios.find(part->radio) : nullptr;
    const Mount* mount = radio ? study.plan().mounts.find(radio->mount) : nullptr;
    if (!mount)
        return Error{ErrorCode::badInput,
                     CORE_TEXT("there is no such small cell in the active variant; choose one of it"), "aim"};
    Aim out;
    out.small = small;
    out.radio = radio->id;
    out.tiltsDeg = tiltsOf(*mount, *radio, options);
    Aiming aiming(study, *part, *radio, *mount, options.threads);
    const auto azimuths = static_cast<std::size_t>(std::ceil(360 / options.stepDeg - 1e-9));
    std::vector<Asked> asked;
    asked.reserve(azimuths * out.tiltsDeg.size());
    for (const double tilt : out.tiltsDeg)
        for (std::size_t k = 0; k < azimuths; ++k) {
            if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
            job.report(static_cast<double>(asked.size()) /
                           static_cast<double>(azimuths * out.tiltsDeg.size()),
                       "azimuths");
            asked.push_back(aiming.ask(TrueAzimuth{static_cast<double>(k) * options.stepDeg}, tilt));
        }
    Asked now = aiming.ask(radio->azimuth, radio->tiltDeg);
    const auto everywhere = blockingEverywhere(asked);
    for (const auto& [key, text] : everywhere) out.everywhere.push_back(text);
    mark(now, everywhere);
    out.now = now.point;
    for (Asked& a : asked) mark(a, everywhere);
    for (std::size_t k = 0; k < azimuths; ++k) {
        AimPoint best = asked[k].point;
        for (std::size_t t = 1; t < out.tiltsDeg.size(); ++t)
            if (betterTilt(asked[t * azimuths + k].point, best)) best = asked[t * azimuths + k].point;
        out.rose.push_back(std::move(best));
    }
    out.lobes = lobesOf(out.rose);
    return out;
}

Result<Edit> aimEdit(const Plan& plan, ItemId radio, const AimPoint& to) {
    const Radio* found = plan.radios.find(radio);
    if (!found)
        return Error{ErrorCode::badInput, CORE_TEXT("There is no radio to aim; choose one first."), ""};
    if (found->aimLocked)
        return Error{ErrorCode::badInput,
                     fmt::format(CORE_TEXT("The aim of {} is locked; unlock it first."), plan.label(radio)),
                     ""};
    Radio r = *found;
    r.azimuth = TrueAzimuth::of(to.azimuth.deg);
    r.tiltDeg = to.tiltDeg;
    if (r == *found)
        return Error{ErrorCode::badInput, CORE_TEXT("The radio stands so already; nothing to change."), ""};
    return Edit{fmt::format("Aim {} at {:.0f}°, tilt {:.1f}°", plan.label(radio), r.azimuth.deg, r.tiltDeg),
                {Put{r}}};
}

Working workingOf(const Study& study, const Aim& aim) {
    Working w;
    w.title = fmt::format("Aim of {}", study.plan().label(aim.small));
    const auto open = static_cast<double>(
        std::count_if(aim.rose.begin(), aim.rose.end(), [](const AimPoint& p) { return !p.blocked; }));
    w.inputs.push_back({"azimuth now", aim.now.azimuth.deg, "deg true", "plan"});
    w.inputs.push_back({"tilt now", aim.now.tiltDeg, "deg", "plan"});
    w.inputs.push_back({"fit now", aim.now.fit, "", "computed"});
    for (const double t : aim.tiltsDeg) w.inputs.push_back({"tilt tried", t, "deg", "bracket of the mount"});
    w.steps.push_back({"azimuths tried", "", static_cast<double>(aim.rose.size()), ""});
    w.steps.push_back({"of them open at one tilt or more", "", open, ""});
    for (const AimPoint& p : aim.lobes) {
        w.steps.push_back(
            {fmt::format("a lobe at {:.0f} deg true, tilt {:.1f} deg: fit", p.azimuth.deg, p.tiltDeg),
             "study, fit and review of the radio so turned", p.fit, ""});
        if (w.steps.size() > 8) break;
    }
    if (!aim.lobes.empty())
        w.steps.push_back({"best fit of what is not blocked", "max", aim.lobes.front().fit, ""});
    w.source = "own judgement (fit); rules with their own sources";
    for (const std::string& text : aim.everywhere) w.remarks.push_back("No aim clears this: " + text);
    return w;
}

} // namespace fw
