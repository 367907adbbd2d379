// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/propose.h"

#include "commands/commands.h"
#include "commands/intake_words.h"
#include "commands/json_out.h"
#include "commands/working_text.h"
#include <algorithm>

#include <fmt/format.h>

namespace fw::cli {
namespace {

std::string proposalText(const Proposal& p) {
    std::string out = fmt::format("{}; fit {:.0f}, before {:.0f}", p.text, p.fitKept, p.fitBefore);
    if (p.warnings > 0) out += fmt::format("; {} warning{} more", p.warnings, p.warnings > 1 ? "s" : "");
    if (p.warnings < 0) out += fmt::format("; {} warning{} fewer", -p.warnings, p.warnings < -1 ? "s" : "");
    return out + "." + (p.consent.empty() ? "" : " " + p.consent);
}

Json proposalJson(const Plan& plan, const Finding& f, const Proposal& p, bool withWorking) {
    Json out = {{"kind", wordFor(p.kind)},       {"text", p.text},
                {"change", number(p.change)},    {"fit_before", number(p.fitBefore)},
                {"fit_kept", number(p.fitKept)}, {"warnings_more", p.warnings}};
    out["consent"] = p.consent.empty() ? Json(nullptr) : Json(p.consent);
    out["radios"] = Json::array();
    for (const Proposal::Ghost& g : p.ghosts)
        out["radios"].push_back({{"radio", item(plan, g.radio)},
                                 {"azimuth_true_deg", number(g.azimuth.deg, 3)},
                                 {"tilt_deg", number(g.tiltDeg, 3)}});
    if (withWorking) out["working"] = working(workingOf(p, f));
    return out;
}

Json findingJson(const Plan& plan, std::size_t number, const Finding& f, const Proposals& p,
                 bool withWorking) {
    Json out = {{"number", number}, {"rule", f.rule}, {"severity", wordFor(f.severity)}, {"text", f.text}};
    out["subjects"] = Json::array();
    for (const ItemId id : f.subjects) out["subjects"].push_back(item(plan, id));
    out["proposals"] = Json::array();
    for (const Proposal& each : p.list) out["proposals"].push_back(proposalJson(plan, f, each, withWorking));
    out["tried"] = Json::array();
    for (const Proposals::Tried& t : p.tried)
        out["tried"].push_back(
            {{"kind", wordFor(t.kind)}, {"trials", t.trials}, {"cleared", t.cleared}, {"why", t.why}});
    return out;
}

std::string findingText(std::size_t number, const Finding& f, const Proposals& p, bool withWorking,
                        const Ink& ink) {
    const std::string grade = wordFor(f.severity);
    std::string out = fmt::format("{:>3}  {}  {}\n", number,
                                  f.severity == Severity::block ? ink.red(grade) : ink.yellow(grade), f.text);
    for (std::size_t k = 0; k < p.list.size(); ++k) {
        out += fmt::format("     {}. {}\n", k + 1, proposalText(p.list[k]));
        if (withWorking) out += workingText(workingOf(p.list[k], f), "          ");
    }
    if (!p.nothing.empty()) out += "     " + p.nothing + "\n";
    return out;
}

// Numbers of the findings that are looked at, in the order of the review, from 1 on.
std::vector<std::size_t> asked(const Review& review, const ProposeRequest& request, const Study& study,
                               ItemId only) {
    ReviewOptions options;
    options.remedies = false;
    options.only = only;
    const Review about = only ? reviewAll(study, options) : Review{};
    std::vector<std::size_t> out;
    for (std::size_t k = 0; k < review.findings.size(); ++k) {
        const Finding& f = review.findings[k];
        if (!isOpen(f) || (request.finding > 0 && k + 1 != static_cast<std::size_t>(request.finding)))
            continue;
        if (request.finding == 0 && !request.notes && f.severity == Severity::note) continue;
        if (only && std::none_of(about.findings.begin(), about.findings.end(), [&](const Finding& x) {
                return x.rule == f.rule && x.subjects == f.subjects;
            }))
            continue;
        out.push_back(k + 1);
    }
    return out;
}

} // namespace

int runPropose(const ProposeRequest& request, std::stop_token stop) {
    if (request.apply > 0 && request.finding == 0)
        throw Failure{exitUsage, "--apply needs --finding: say which one the proposal is for."};
    const Progress progress(std::move(stop));
    const OpenPlan opened = openAs(request.choice);
    ItemId only;
    if (!request.only.empty())
        only = itemCalled(opened.plan, request.only, {Kind::mount, Kind::radio, Kind::smallCell});
    const auto study = computed(opened, request.choice.threads, progress);
    ReviewOptions options;
    options.remedies = false;
    const Review review = reviewAll(*study, options, progress.job());
    progress.check();
    const auto numbers = asked(review, request, *study, only);
    if (request.finding > 0 && numbers.empty())
        throw Failure{exitUsage, fmt::format("There is no open finding {} here; {} are in the list.",
                                             request.finding, review.findings.size())};
    Json out = head("propose", 1, opened.plan);
    out["findings"] = Json::array();
    std::string text;
    for (const std::size_t n : numbers) {
        const Finding& f = review.findings[n - 1];
        const Proposals p = take(proposalsFor(study, review, f, {}, progress.job()));
        progress.check();
        const auto wanted = static_cast<std::size_t>(request.apply);
        if (wanted > p.list.size())
            throw Failure{exitUsage, fmt::format("There is no proposal {} for it; there are {}.", wanted,
                                                 p.list.size())};
        if (wanted > 0) changePlan(request.choice.plan, p.list[wanted - 1].edit, progress.job());
        if (request.json)
            out["findings"].push_back(findingJson(opened.plan, n, f, p, request.working));
        else
            text += findingText(n, f, p, request.working, Ink());
        if (wanted > 0) text += fmt::format("Taken: {}.\n", p.list[wanted - 1].text);
    }
    deliver(request.json ? written(out) : text.empty() ? "Nothing open to propose for.\n" : text);
    return exitClean;
}

} // namespace fw::cli
