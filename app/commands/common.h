// SPDX-License-Identifier: GPL-3.0-or-later
// What the commands share: how they end, what they open, where their data lies.
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "commands/requests.h"
#include "plan/plan.h"
#include "store/plan_file.h"
#include "study/study.h"

#include <filesystem>
#include <initializer_list>
#include <memory>
#include <stop_token>
#include <string>
#include <string_view>

namespace fw::cli {

/// Exit codes; scripts rest on them.
enum Exit : int {
    exitClean = 0,
    exitBlocked = 1, ///< review: open findings that block; check: faults
    exitUsage = 2,
    exitFile = 3, ///< something cannot be read or written
    exitInternal = 4,
    exitInterrupted = 130,
};

/// Ends a command with a sentence; main() catches it. The only exception of the commands.
struct Failure {
    int exit = exitInternal;
    std::string sentence;
};
/// Exit code for what a file's content or the computation on it refused.
int exitFor(ErrorCode code);
Failure failureOf(const Error& error);
/// The same with an exit code of one's own; being stopped stays being stopped.
Failure failureOf(const Error& error, int exit);

template <class T>
T take(Result<T> result) {
    if (!result) throw failureOf(result.error());
    return std::move(result).value();
}
template <class T>
T take(Result<T> result, int exit) {
    if (!result) throw failureOf(result.error(), exit);
    return std::move(result).value();
}

/// "4.2" of a share 0.042: points of PRB use, never "-0.0".
std::string points(double share);

/// Writes to the standard output, all of it or a Failure.
void deliver(const std::string& text);
/// One line to the standard error stream, after "fringewright: ".
void say(std::string_view sentence);

/// Progress on the standard error stream, on one line that is wiped at the end; silent unless that is a
/// terminal.
class Progress {
public:
    explicit Progress(std::stop_token stop);
    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;
    /// For one piece of long work.
    [[nodiscard]] Job job() const;
    /// Throws a Failure once the user has interrupted.
    void check() const;

private:
    struct Impl;
    std::shared_ptr<Impl> m_impl;
    std::stop_token m_stop;
};

/// A Failure (exitFile) where a file of that name cannot be made: it is a folder, or its folder is not there.
/// To be asked before anything long begins. @param example  what such a file may be called.
void readyToWrite(const std::string& file, std::string_view example);

/// Opens a plan and applies variant and profile; says what the file's reader noted. Computes nothing.
OpenPlan openAs(const PlanChoice& choice);
/// Reads the plan's terrain and computes.
std::shared_ptr<const Study> computed(const OpenPlan& opened, unsigned threads, const Progress& progress);

/// The item of one of these kinds with that name, or called "kind number" ("radio 17"). A Failure (usage)
/// where there is none, or several.
ItemId itemCalled(const Plan& plan, const std::string& name, std::initializer_list<Kind> kinds);

/// The small cell with that name in the active variant, or the only one on the radio or mount so called; else
/// a Failure (usage).
ItemId smallCellCalled(const Study& study, const std::string& name);

/// Folder of the installed data: FRINGEWRIGHT_DATA, else beside the program, else where it was built.
std::filesystem::path dataFolder();

/// Words in colour where that is wanted: the standard output is a terminal and NO_COLOR is not set.
class Ink {
public:
    Ink();
    [[nodiscard]] std::string bold(std::string_view text) const { return in("1", text); }
    [[nodiscard]] std::string red(std::string_view text) const { return in("1;31", text); }
    [[nodiscard]] std::string yellow(std::string_view text) const { return in("33", text); }

private:
    [[nodiscard]] std::string in(const char* code, std::string_view text) const;
    bool m_on = false;
};

} // namespace fw::cli
