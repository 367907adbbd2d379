// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/trials.h"

#include "base/text.h"
#include "plan/bracket.h"
#include "siting/places.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace fw {

namespace {

constexpr double kBothStepDeg = 10, kBothMostDeg = 60; // by how much two radios are turned at once
constexpr double kHeightStepM = 0.5;
constexpr double kShiftStepM = 2;
constexpr std::size_t kMountsTried = 10;
constexpr double kMountTurnsDeg[] = {0, 30, -30, 60, -60, 90, -90, 135, -135, 180};

void sortByChange(std::vector<Trial>& trials) {
    std::stable_sort(trials.begin(), trials.end(),
                     [](const Trial& a, const Trial& b) { return a.change < b.change; });
}

Radio turned(const Radio& radio, double azimuth) {
    Radio r = radio;
    r.azimuth = TrueAzimuth::of(azimuth);
    return r;
}

const char* askAgain(const Mount& m) {
    return m.consent == ConsentState::given
               ? CORE_TEXT("The owner's consent names the present height: ask again.")
               : "";
}

} // namespace

Trials::Trials(const Study& study, const Finding& finding, const ProposeOptions& options)
    : m_study(study), m_options(options) {
    for (const Rule& r : rules())
        if (r.id == finding.rule) m_rule = &r;
    const Plan& plan = study.plan();
    std::set<ItemId> radios, mounts;
    for (const ItemId id : finding.subjects) {
        if (const SmallCellPart* s = study.smallCell(id)) radios.insert(s->radio);
        if (plan.radios.find(id)) radios.insert(id);
        if (plan.mounts.find(id)) mounts.insert(id);
    }
    for (const SmallCellPart& s : study.smallCells())
        if (mounts.count(s.mount)) radios.insert(s.radio);
    for (const ItemId id : radios) {
        m_radios.push_back(*plan.radios.find(id));
        mounts.insert(m_radios.back().mount);
    }
    for (const ItemId id : mounts)
        if (const Mount* m = plan.mounts.find(id)) m_mounts.push_back(*m);
    for (const SmallCellPart& s : study.smallCells())
        if (radios.count(s.radio)) m_smalls.push_back(s.id);
}

std::vector<Trial> Trials::of(ProposalKind kind, std::string& why) const {
    const bool turnable = m_rule && m_rule->turnable;
    std::vector<Trial> out;
    switch (kind) {
    case ProposalKind::turn:
        if (turnable) out = turns(why);
        break;
    case ProposalKind::tilt:
        out = tilts(why);
        break;
    case ProposalKind::turnBoth:
        if (turnable) out = bothTurns(why);
        break;
    case ProposalKind::height:
        out = heights();
        break;
    case ProposalKind::shift:
        out = shifts(why);
        break;
    case ProposalKind::otherMount:
        out = otherMounts(why);
        break;
    }
    if ((kind == ProposalKind::turn || kind == ProposalKind::turnBoth) && !turnable)
        why = CORE_TEXT("What this rule measures does not depend on where a radio points.");
    sortByChange(out);
    return out;
}

bool Trials::locked(const Radio& radio, std::string& why) const {
    if (radio.aimLocked) why = fmt::format("The aim of {} is locked.", m_study.plan().label(radio.id));
    return radio.aimLocked;
}

std::vector<Trial> Trials::turns(std::string& why) const {
    std::vector<Trial> out;
    for (const Radio& r : m_radios) {
        if (locked(r, why)) continue;
        const Mount* m = m_study.plan().mounts.find(r.mount);
        for (int k = 0; k < 360; ++k) {
            const double by = std::fabs(wrap180(k - r.azimuth.deg));
            if (by == 0 || !m || !bracketTurns(*m, TrueAzimuth{static_cast<double>(k)})) continue;
            out.push_back(
                {ProposalKind::turn,
                 {turned(r, k)},
                 {},
                 by,
                 fmt::format("Turn {} by {:.0f} deg to {} deg true", m_study.plan().label(r.id), by, k),
                 ""});
        }
    }
    return out;
}

std::vector<Trial> Trials::tilts(std::string& why) const {
    std::vector<Trial> out;
    for (const Radio& r : m_radios) {
        if (locked(r, why)) continue;
        const Mount* m = m_study.plan().mounts.find(r.mount);
        if (!m) continue;
        for (const double t : m->tiltsDeg) {
            if (t == r.tiltDeg) continue;
            Radio tilted = r;
            tilted.tiltDeg = t;
            out.push_back({ProposalKind::tilt,
                           {tilted},
                           {},
                           std::fabs(t - r.tiltDeg),
                           fmt::format("Tilt {} to {:.1f} deg {}", m_study.plan().label(r.id), std::fabs(t),
                                       t < 0 ? "up" : "down"),
                           ""});
        }
    }
    return out;
}

std::vector<Trial> Trials::bothTurns(std::string& why) const {
    std::vector<Trial> out;
    if (m_radios.size() != 2) {
        why = CORE_TEXT("It is about one radio alone.");
        return out;
    }
    if (locked(m_radios[0], why) || locked(m_radios[1], why)) return out;
    const Plan& plan = m_study.plan();
    for (double a = -kBothMostDeg; a <= kBothMostDeg; a += kBothStepDeg)
        for (double b = -kBothMostDeg; b <= kBothMostDeg; b += kBothStepDeg) {
            if (a == 0 || b == 0) continue;
            Trial t{ProposalKind::turnBoth,
                    {turned(m_radios[0], std::round(m_radios[0].azimuth.deg) + a),
                     turned(m_radios[1], std::round(m_radios[1].azimuth.deg) + b)},
                    {},
                    std::fabs(a) + std::fabs(b),
                    "",
                    ""};
            bool turns = true;
            for (const Radio& r : t.radios) {
                const Mount* m = plan.mounts.find(r.mount);
                turns = turns && m && bracketTurns(*m, r.azimuth);
            }
            t.text =
                fmt::format("Turn {} to {:.0f} and {} to {:.0f} deg true", plan.label(t.radios[0].id),
                            t.radios[0].azimuth.deg, plan.label(t.radios[1].id), t.radios[1].azimuth.deg);
            if (turns) out.push_back(std::move(t));
        }
    return out;
}

std::vector<Trial> Trials::heights() const {
    std::vector<Trial> out;
    const Limits limits(m_study.plan().settings->profile);
    const double low = limits["height-window.lowest"], high = limits["height-window.highest"];
    for (const Mount& m : m_mounts)
        for (double h = low; h <= high + 1e-9; h += kHeightStepM) {
            if (std::fabs(h - m.height.m) < 0.05) continue;
            Mount raised = m;
            raised.height = HeightAgl{h};
            out.push_back({ProposalKind::height,
                           {},
                           raised,
                           std::fabs(h - m.height.m),
                           fmt::format("Set the antenna on {} at {:.1f} m", m_study.plan().label(m.id), h),
                           askAgain(m)});
        }
    return out;
}

std::vector<Trial> Trials::shifts(std::string& why) const {
    std::vector<Trial> out;
    for (const Mount& m : m_mounts) {
        const std::string name = m_study.plan().label(m.id);
        if (m.consent == ConsentState::given) {
            why = fmt::format("The owner's consent for {} names its place; it stays there.", name);
            continue;
        }
        const char* asks = m.kind == MountKind::pole
                               ? CORE_TEXT("A pole that stands cannot be moved: this means one of your own, "
                                           "with its permission.")
                               : "";
        for (const ShiftedMount& s : placesNear(m_study, m, kShiftStepM, m_options.shiftM))
            out.push_back({ProposalKind::shift,
                           {},
                           s.mount,
                           s.metres,
                           fmt::format("Move {} by {:.0f} m to the {}", name, s.metres, s.towards),
                           asks});
    }
    return out;
}

std::vector<Trial> Trials::otherMounts(std::string& why) const {
    std::vector<Trial> out;
    const Plan& plan = m_study.plan();
    std::set<ItemId> carrying;
    for (const Radio& r : plan.radios) carrying.insert(r.mount);
    for (const Radio& r : m_radios) {
        const Mount* from = plan.mounts.find(r.mount);
        if (!from) continue;
        std::vector<std::pair<double, Mount>> near;
        for (const Mount& m : plan.mounts) {
            const double d = planeDistance(m.at, from->at);
            if (d <= m_options.otherMountM && !carrying.count(m.id) && m.consent != ConsentState::refused)
                near.emplace_back(d, m);
        }
        std::stable_sort(near.begin(), near.end(),
                         [](const auto& a, const auto& b) { return a.first < b.first; });
        if (near.size() > kMountsTried) near.resize(kMountsTried);
        for (const auto& [metres, m] : near)
            for (const double by : kMountTurnsDeg) {
                Radio moved = turned(r, std::round(r.azimuth.deg) + by);
                moved.mount = m.id;
                moved.aimLocked = false; // that was for where it stood
                if (!bracketTurns(m, moved.azimuth)) continue;
                moved.tiltDeg = nearestTilt(m, r.tiltDeg);
                // The way there weighs more than a turn: 1 m for 3 deg [own judgement].
                out.push_back(
                    {ProposalKind::otherMount,
                     {moved},
                     {},
                     metres + std::fabs(by) / 3,
                     fmt::format("Put {} on {}, {:.0f} m off, at {:.0f} deg true", plan.label(r.id),
                                 plan.label(m.id), metres, moved.azimuth.deg),
                     m.consent == ConsentState::given
                         ? ""
                         : fmt::format("The owner of {} has not consented yet.", plan.label(m.id))});
            }
    }
    if (out.empty())
        why = fmt::format("No free mount whose owner has not refused stands within {:.0f} m.",
                          m_options.otherMountM);
    return out;
}

} // namespace fw
