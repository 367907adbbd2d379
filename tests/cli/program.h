// SPDX-License-Identifier: GPL-3.0-or-later
// Runs the built program as a child process, as a person or a script would.
#pragma once

#include "base/random.h"
#include "store/folder.h"
#include "store/plan_file.h"
#include "support/places.h"
#include "support/random_plan.h"

#include <array>
#include <csignal>
#include <fcntl.h>
#include <functional>
#include <poll.h>
#include <spawn.h>
#include <stdexcept>
#include <string>
#include <sys/wait.h>
#include <unistd.h>
#include <utility>
#include <vector>

extern char** environ;

namespace fwtest {

struct Ran {
    int code = -1; ///< exit code; 1000 + signal when one ended it
    std::string out, err;
};

using Words = std::vector<std::string>;
using Environment = std::vector<std::pair<std::string, std::string>>;

/// Environment of this process with some variables set, or taken away by an empty value.
inline Words environmentWith(const Environment& changes) {
    Words out;
    for (char** at = environ; *at; ++at) {
        const std::string entry = *at;
        bool changed = false;
        for (const auto& [name, value] : changes) changed |= entry.starts_with(name + "=");
        if (!changed) out.push_back(entry);
    }
    for (const auto& [name, value] : changes)
        if (!value.empty()) out.push_back(name + "=" + value);
    return out;
}

class Child {
public:
    Child(const Words& arguments, const Environment& environment, const std::string& folder = "") {
        int out[2], err[2];
        if (pipe2(out, O_CLOEXEC) != 0 || pipe2(err, O_CLOEXEC) != 0) throw std::runtime_error("no pipe");
        posix_spawn_file_actions_t actions;
        posix_spawn_file_actions_init(&actions);
        posix_spawn_file_actions_addopen(&actions, 0, "/dev/null", O_RDONLY, 0);
        posix_spawn_file_actions_adddup2(&actions, out[1], 1);
        posix_spawn_file_actions_adddup2(&actions, err[1], 2);
        if (!folder.empty()) posix_spawn_file_actions_addchdir_np(&actions, folder.c_str());
        Words words{program()}, settings = environmentWith(environment);
        words.insert(words.end(), arguments.begin(), arguments.end());
        std::vector<char*> argv, envp;
        for (std::string& w : words) argv.push_back(w.data());
        for (std::string& w : settings) envp.push_back(w.data());
        argv.push_back(nullptr);
        envp.push_back(nullptr);
        const int fault = posix_spawn(&m_pid, program().c_str(), &actions, nullptr, argv.data(), envp.data());
        posix_spawn_file_actions_destroy(&actions);
        close(out[1]);
        close(err[1]);
        m_out = out[0];
        m_err = err[0];
        if (fault != 0) throw std::runtime_error("the program cannot be started: " + program());
    }
    Child(const Child&) = delete;
    Child& operator=(const Child&) = delete;
    ~Child() {
        close(m_out);
        close(m_err);
    }

    static const std::string& program() {
        static const std::string path = fw::testing::builtFile("fringewright");
        return path;
    }
    void send(int signal) const { kill(m_pid, signal); }

    Ran finish() {
        Ran ran;
        std::array<pollfd, 2> ends{{{m_out, POLLIN, 0}, {m_err, POLLIN, 0}}};
        std::array<char, 65536> block{};
        while (ends[0].fd >= 0 || ends[1].fd >= 0) {
            if (poll(ends.data(), ends.size(), -1) < 0) throw std::runtime_error("poll failed");
            for (std::size_t k = 0; k < ends.size(); ++k) {
                if (ends[k].fd < 0 || !(ends[k].revents & (POLLIN | POLLHUP))) continue;
                const ssize_t n = read(ends[k].fd, block.data(), block.size());
                if (n <= 0)
                    ends[k].fd = -1;
                else
                    (k == 0 ? ran.out : ran.err).append(block.data(), static_cast<std::size_t>(n));
            }
        }
        int status = 0;
        waitpid(m_pid, &status, 0);
        ran.code = WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
        return ran;
    }

private:
    pid_t m_pid = 0;
    int m_out = -1, m_err = -1;
};

inline Ran run(const Words& arguments, const Environment& environment = {}, const std::string& folder = "") {
    return Child(arguments, environment, folder).finish();
}

/// A small town in a file of its own, the same for all tests of a process.
inline fw::Plan smallTown(std::uint64_t seed = 5) {
    fw::Random random(seed);
    fw::testing::RandomPlanSpec spec;
    spec.buildings = 80;
    spec.sites = 2;
    spec.mounts = 5;
    spec.areaM = 600;
    spec.macroReachM = 800;
    return fw::testing::randomPlan(random, spec);
}
inline void saveOrThrow(const fw::Plan& plan, const std::filesystem::path& file) {
    const auto saved = fw::savePlan(plan, file);
    if (!saved) throw std::runtime_error(saved.error().sentence());
}
inline const std::string& townFile() {
    static const fw::testing::TestFolder folder;
    static const std::string file = [] {
        const auto path = folder / "town.plan.gpkg";
        saveOrThrow(smallTown(), path);
        return path.string();
    }();
    return file;
}

} // namespace fwtest
