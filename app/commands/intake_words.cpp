// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/intake_words.h"

#include "commands/nearest.h"
#include "store/session_lock.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw::cli {
namespace {

using Weight = IntakeRemark::Weight;

constexpr std::size_t kRowsShown = 10; // JSON and --refused have them all

const char* wordFor(Weight weight) {
    switch (weight) {
    case Weight::note:
        return "note";
    case Weight::look:
        return "look";
    case Weight::question:
        return "question";
    }
    return "";
}

const char* wordFor(MappedField::By by) {
    switch (by) {
    case MappedField::By::nobody:
        return "nobody";
    case MappedField::By::header:
        return "header";
    case MappedField::By::memory:
        return "memory";
    case MappedField::By::user:
        return "user";
    }
    return "";
}

std::string mappingText(const IntakePreview& p) {
    const IntakeKindInfo& info = infoOf(p.kind);
    std::string text;
    for (const MappedField& m : p.mapping) {
        if (m.column < 0) continue;
        const IntakeField& field = info.fields[static_cast<std::size_t>(m.field)];
        const SourceColumn& column = p.head.columns[static_cast<std::size_t>(m.column)];
        std::string samples;
        for (std::size_t k = 0; k < std::min<std::size_t>(3, column.samples.size()); ++k)
            samples += (k ? ", " : "") + column.samples[k];
        const std::string unit = m.unit.empty() || m.unit == "1" ? "" : fmt::format(" [{}]", m.unit);
        text += fmt::format("  {:<26} from {:<24} {}\n", std::string(field.words) + unit,
                            fmt::format("\"{}\"", column.name), samples);
    }
    std::string unused;
    for (std::size_t c = 0; c < p.head.columns.size(); ++c)
        if (std::none_of(p.mapping.begin(), p.mapping.end(),
                         [&](const MappedField& m) { return m.column == static_cast<int>(c); }))
            unused += (unused.empty() ? "" : ", ") + p.head.columns[c].name;
    if (!unused.empty()) text += "  not used: " + unused + "\n";
    return text;
}

std::string countsText(const IntakePreview& p) {
    std::string text;
    const auto say = [&](std::size_t n, Kind kind, const char* what) {
        if (n == 0) return;
        text +=
            fmt::format("{}{} {}{} {}", text.empty() ? "" : ", ", n, nameOf(kind), n == 1 ? "" : "s", what);
    };
    for (const IntakeCount& c : p.counts) {
        say(c.added, c.kind, "added");
        say(c.changed, c.kind, "changed");
    }
    return text;
}

} // namespace

const IntakeKindInfo& kindCalled(const std::string& name) {
    if (const auto kind = intakeKindNamed(name)) return infoOf(*kind);
    std::vector<std::string> names;
    names.reserve(kIntakeKinds);
    for (int k = 0; k < kIntakeKinds; ++k) names.emplace_back(infoOf(static_cast<IntakeKind>(k)).name);
    throw Failure{exitUsage, fmt::format("There is no kind \"{}\".{} There are: {}.", name,
                                         didYouMean(name, names), fmt::join(names, ", "))};
}

MapWords mapWordsFrom(const std::vector<std::string>& given) {
    MapWords words;
    for (const std::string& each : given) {
        auto [field, word] = take(mapWordFrom(each), exitUsage);
        if (!words.emplace(field, word).second)
            throw Failure{exitUsage, fmt::format("--map {} is given twice.", field)};
    }
    return words;
}

std::string remarkText(const IntakeRemark& r, const Ink& ink) {
    const std::string word = r.weight == Weight::question ? ink.red("question")
                             : r.weight == Weight::look   ? ink.yellow("look")
                                                          : "note";
    return fmt::format("{}: {}{}\n", word, r.text, r.answer.empty() ? "" : fmt::format(" Say {}.", r.answer));
}

Json remarksJson(const std::vector<IntakeRemark>& remarks) {
    Json out = Json::array();
    for (const IntakeRemark& r : remarks)
        out.push_back({{"weight", wordFor(r.weight)}, {"text", r.text}, {"answer", r.answer}});
    return out;
}

std::string previewText(const IntakePreview& p, const Ink& ink) {
    std::string text =
        fmt::format("{}: {}{}, {} rows\n", p.head.file.filename().string(), p.head.format,
                    p.head.layer.empty() ? "" : fmt::format(", layer {}", p.head.layer), p.rows);
    if (!p.crs.empty()) text += fmt::format("  places in {}\n", p.crs);
    if (!p.extent.empty())
        text += fmt::format("  from {:.1f}, {:.1f} to {:.1f}, {:.1f} (east, north, m)\n", p.extent.x0,
                            p.extent.y0, p.extent.x1, p.extent.y1);
    text += mappingText(p);
    for (const IntakeRemark& r : p.remarks) text += remarkText(r, ink);
    // While nothing can be read for want of an answer, every row is refused for the same reason.
    const bool asks =
        p.good == 0 && std::any_of(p.remarks.begin(), p.remarks.end(),
                                   [](const IntakeRemark& r) { return r.weight == Weight::question; });
    for (std::size_t k = 0; k < (asks ? 0 : std::min(kRowsShown, p.refusals.size())); ++k)
        text += fmt::format("{}: {}\n", ink.yellow("refused"), sentenceOf(p.refusals[k], p.head));
    if (!asks && p.refused > kRowsShown)
        text +=
            fmt::format("... and {} more. --refused OUT writes them to a file.\n", p.refused - kRowsShown);
    text += fmt::format("{} rows: {} good, {} refused", p.rows, p.good, p.refused);
    if (p.duplicates > 0) text += fmt::format(" ({} of them twice)", p.duplicates);
    const std::string counts = countsText(p);
    return text + (counts.empty() ? ".\n" : "; " + counts + ".\n");
}

Json previewJson(const IntakePreview& p) {
    const IntakeKindInfo& info = infoOf(p.kind);
    Json out = head("add", 1);
    out["file"] = p.head.file.string();
    out["format"] = p.head.format;
    out["layer"] = p.head.layer;
    out["kind"] = info.name;
    out["crs"] = p.crs;
    out["rows"] = p.rows;
    out["good"] = p.good;
    out["refused"] = p.refused;
    out["duplicates"] = p.duplicates;
    out["usable"] = p.usable();
    out["extent"] = p.extent.empty() ? Json(nullptr)
                                     : Json::array({number(p.extent.x0, 3), number(p.extent.y0, 3),
                                                    number(p.extent.x1, 3), number(p.extent.y1, 3)});
    out["mapping"] = Json::array();
    for (const MappedField& m : p.mapping)
        if (m.column >= 0)
            out["mapping"].push_back(
                {{"field", info.fields[static_cast<std::size_t>(m.field)].name},
                 {"column", p.head.columns[static_cast<std::size_t>(m.column)].name},
                 {"unit", m.unit},
                 {"by", wordFor(m.by)},
                 {"samples", p.head.columns[static_cast<std::size_t>(m.column)].samples}});
    out["remarks"] = remarksJson(p.remarks);
    out["refusals"] = Json::array();
    for (const RefusedRow& r : p.refusals)
        out["refusals"].push_back(
            {{"row", r.row}, {"column", r.column}, {"value", r.value}, {"reason", r.reason}});
    out["unlisted"] = p.refused - p.refusals.size();
    out["items"] = Json::array();
    for (const IntakeCount& c : p.counts)
        out["items"].push_back({{"kind", nameOf(c.kind)}, {"added", c.added}, {"changed", c.changed}});
    return out;
}

void changePlan(const std::filesystem::path& file, const Edit& edit, const Job& job) {
    auto taken = take(SessionLock::take(file));
    if (const auto* held = std::get_if<LockHolder>(&taken)) throw Failure{exitFile, held->sentence()};
    if (const auto* cannot = std::get_if<CannotLock>(&taken)) throw Failure{exitFile, cannot->sentence};
    OpenPlan opened;
    const auto handle = take(PlanFile::open(file, opened));
    Plan plan = opened.plan;
    take(apply(plan, edit));
    if (const Status s = handle->save(plan, job.stop); !s.ok()) throw failureOf(s.error());
}

} // namespace fw::cli
