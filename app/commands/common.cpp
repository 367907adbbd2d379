// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/common.h"

#include "commands/nearest.h"
#include "review/limits.h"
#include "store/plan_terrain.h"

#include <cerrno>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fmt/format.h>
#include <fstream>
#include <mutex>
#include <sstream>
#include <unistd.h>

namespace fw::cli {

namespace fs = std::filesystem;

int exitFor(ErrorCode code) {
    switch (code) {
    case ErrorCode::cancelled:
        return exitInterrupted;
    case ErrorCode::internal:
        return exitInternal;
    default:
        return exitFile;
    }
}

Failure failureOf(const Error& error) { return {exitFor(error.code), error.sentence()}; }
Failure failureOf(const Error& error, int exit) {
    const bool ours = error.code == ErrorCode::cancelled || error.code == ErrorCode::internal;
    return {ours ? exitFor(error.code) : exit, error.sentence()};
}

std::string points(double share) { return fmt::format("{:.1f}", std::round(share * 1000) / 10 + 0.0); }

void deliver(const std::string& text) {
    const bool written = std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
    if (!written || std::fflush(stdout) != 0)
        throw Failure{exitFile, fmt::format("The result cannot be written to the standard output: {}.",
                                            std::strerror(errno))};
}

void readyToWrite(const std::string& file, std::string_view example) {
    namespace fs = std::filesystem;
    std::error_code fault;
    const fs::path path = file;
    if (file.empty() || fs::is_directory(path, fault))
        throw Failure{exitFile, fmt::format("{}: This is a folder; name the file to write, such as {}.",
                                            file.empty() ? "\"\"" : file, (path / example).string())};
    const fs::path folder = path.parent_path();
    if (!folder.empty() && !fs::is_directory(folder, fault))
        throw Failure{exitFile,
                      fmt::format("{}: There is no folder {} to write it to.", file, folder.string())};
}

void say(std::string_view sentence) { fmt::print(stderr, "fringewright: {}\n", sentence); }

struct Progress::Impl {
    using Clock = std::chrono::steady_clock;
    std::mutex lock;
    Clock::time_point next = Clock::now() + std::chrono::milliseconds(300); // what is quick stays silent
    bool shown = false;

    void show(double share, std::string_view what) {
        const std::scoped_lock hold(lock);
        const auto now = Clock::now();
        if (now < next) return;
        next = now + std::chrono::milliseconds(100);
        shown = true;
        fmt::print(stderr, "\r\x1b[K{:3.0f} % {}", share * 100, what);
        std::fflush(stderr);
    }
    void wipe() {
        const std::scoped_lock hold(lock);
        if (shown) fmt::print(stderr, "\r\x1b[K");
        shown = false;
    }
};

namespace {

bool isTerminal(int stream) {
    const char* term = std::getenv("TERM");
    return isatty(stream) == 1 && term && std::string_view(term) != "dumb";
}

} // namespace

Progress::Progress(std::stop_token stop) : m_stop(std::move(stop)) {
    if (isTerminal(STDERR_FILENO)) m_impl = std::make_shared<Impl>();
}
Progress::~Progress() {
    if (m_impl) m_impl->wipe();
}

Job Progress::job() const {
    Job job;
    job.stop = m_stop;
    if (m_impl)
        job.progress = [impl = m_impl](double share, std::string_view what) { impl->show(share, what); };
    return job;
}

void Progress::check() const {
    if (m_stop.stop_requested()) throw Failure{exitInterrupted, "Interrupted; nothing was written."};
}

namespace {

ItemId variantCalled(const Plan& plan, const std::string& name) {
    ItemId found;
    std::vector<std::string> names;
    for (const Variant& v : plan.variants) {
        if (v.name == name && found)
            throw Failure{exitUsage,
                          fmt::format("Several variants are called \"{}\". Rename one of them.", name)};
        if (v.name == name) found = v.id;
        names.push_back(v.name);
    }
    if (!found)
        throw Failure{exitUsage, fmt::format("There is no variant \"{}\".{} There are: {}.", name,
                                             didYouMean(name, names), fmt::join(names, ", "))};
    return found;
}

RuleProfile profileIn(const fs::path& file) {
    std::error_code fault;
    if (!fs::is_regular_file(file, fault))
        throw Failure{exitFile, fmt::format("{}: There is no such file of limits.", file.string())};
    std::ifstream in(file, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    if (!in || !text) throw Failure{exitFile, fmt::format("{}: The file cannot be read.", file.string())};
    auto profile = profileFromToml(text.str());
    if (!profile) throw Failure{exitFile, fmt::format("{}: {}", file.string(), profile.error().sentence())};
    return std::move(profile).value();
}

} // namespace

OpenPlan openAs(const PlanChoice& choice) {
    OpenPlan opened = take(openPlan(choice.plan));
    for (const std::string& note : opened.notes) say(note);
    if (choice.variant.empty() && choice.profile.empty()) return opened;
    PlanSettings settings = *opened.plan.settings;
    if (!choice.variant.empty()) settings.activeVariant = variantCalled(opened.plan, choice.variant);
    if (!choice.profile.empty()) settings.profile = profileIn(choice.profile);
    opened.plan.settings = std::make_shared<const PlanSettings>(std::move(settings));
    return opened;
}

std::shared_ptr<const Study> computed(const OpenPlan& opened, unsigned threads, const Progress& progress) {
    auto terrain = take(loadTerrain(opened.plan, opened.path));
    progress.check();
    StudyOptions options;
    options.threads = threads;
    auto study = take(Study::advance(nullptr, opened.plan, terrain, options, progress.job()));
    progress.check();
    return study;
}

namespace {

// Kinds that a person points at; the others have too many items to be worth a look.
template <class F>
void forNamed(const Plan& plan, Kind kind, F&& visit) {
    const auto all = [&](const auto& table) {
        for (const auto& item : table) visit(item.id, item.name);
    };
    if (kind == Kind::mount) all(plan.mounts);
    if (kind == Kind::radio) all(plan.radios);
    if (kind == Kind::smallCell) all(plan.smallCells);
}

} // namespace

ItemId itemCalled(const Plan& plan, const std::string& name, std::initializer_list<Kind> kinds) {
    struct Hit {
        ItemId id;
        std::string byNumber;
    };
    std::vector<Hit> hits;
    std::vector<std::string> names, words;
    ItemId exact; // by kind and number: never two
    for (const Kind kind : kinds) {
        words.emplace_back(nameOf(kind));
        forNamed(plan, kind, [&](ItemId id, const std::string& itsName) {
            std::string byNumber = fmt::format("{} {}", nameOf(kind), id.v);
            if (name == byNumber) exact = id;
            if (!itsName.empty()) names.push_back(itsName);
            if (itsName == name) hits.push_back({id, std::move(byNumber)});
        });
    }
    if (exact) return exact;
    if (hits.empty())
        throw Failure{exitUsage, fmt::format("The plan has no {} called \"{}\".{}", fmt::join(words, " or "),
                                             name, didYouMean(name, names))};
    if (hits.size() == 1) return hits.front().id;
    std::string all;
    for (const Hit& hit : hits) all += (all.empty() ? "" : ", ") + hit.byNumber;
    throw Failure{exitUsage, fmt::format("Several items are called \"{}\". Write one of: {}.", name, all)};
}

ItemId smallCellCalled(const Study& study, const std::string& name) {
    const ItemId id = itemCalled(study.plan(), name, {Kind::mount, Kind::radio, Kind::smallCell});
    std::vector<ItemId> found;
    for (const SmallCellPart& s : study.smallCells())
        if (s.id == id || s.radio == id || s.mount == id) found.push_back(s.id);
    if (found.empty())
        throw Failure{exitUsage, fmt::format("\"{}\" carries no small cell in this variant.", name)};
    if (found.size() == 1) return found.front();
    std::string names;
    for (const ItemId each : found) names += (names.empty() ? "" : ", ") + study.plan().label(each);
    throw Failure{exitUsage, fmt::format("\"{}\" carries several: {}. Name one.", name, names)};
}

fs::path dataFolder() {
    if (const char* given = std::getenv("FRINGEWRIGHT_DATA"); given && *given) return given;
    std::error_code fault;
    const fs::path program = fs::read_symlink("/proc/self/exe", fault);
    if (!fault) {
        fs::path beside = program.parent_path().parent_path() / "share" / "fringewright";
        if (fs::is_directory(beside, fault)) return beside;
    }
    return FW_SOURCE_RESOURCES;
}

Ink::Ink() {
    const char* none = std::getenv("NO_COLOR");
    m_on = isTerminal(STDOUT_FILENO) && !(none && *none);
}

std::string Ink::in(const char* code, std::string_view text) const {
    return m_on ? fmt::format("\x1b[{}m{}\x1b[0m", code, text) : std::string(text);
}

} // namespace fw::cli
