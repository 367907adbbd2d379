// SPDX-License-Identifier: GPL-3.0-or-later
// Runs a piece of work in a child process that the kernel ends at its first step towards the network.
#pragma once

#include <csignal>
#include <cstddef>
#include <functional>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <stdexcept>
#include <string>
#include <sys/prctl.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

namespace fw::testing {

struct Offline {
    bool ended = false;   ///< of its own accord
    bool trapped = false; ///< it called socket() or connect()
    std::string said;
};

/// From here on socket() and connect() end this process (seccomp(2), a filter of classic BPF).
inline bool forbidSockets() {
#if defined(__x86_64__)
    constexpr unsigned kMachine = AUDIT_ARCH_X86_64;
#elif defined(__aarch64__)
    constexpr unsigned kMachine = AUDIT_ARCH_AARCH64;
#else
#error "name this processor's AUDIT_ARCH"
#endif
    sock_filter filter[] = {
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(seccomp_data, arch)),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, kMachine, 1, 0),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_KILL_PROCESS),
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(seccomp_data, nr)),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_socket, 1, 0),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_connect, 0, 1),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_KILL_PROCESS),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW),
    };
    const sock_fprog program{sizeof filter / sizeof *filter, filter};
    return prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0 &&
           prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program, 0, 0) == 0;
}

inline Offline inOfflineChild(const std::function<std::string()>& work) {
    int ends[2];
    if (pipe(ends) != 0) throw std::runtime_error("no pipe");
    const pid_t child = fork();
    if (child < 0) throw std::runtime_error("no child");
    if (child == 0) {
        if (!forbidSockets()) _exit(3);
        const std::string said = work();
        _exit(write(ends[1], said.data(), said.size()) == static_cast<ssize_t>(said.size()) ? 0 : 2);
    }
    close(ends[1]);
    Offline ran;
    char block[4096];
    for (ssize_t n = 0; (n = read(ends[0], block, sizeof block)) > 0;)
        ran.said.append(block, static_cast<std::size_t>(n));
    close(ends[0]);
    int status = 0;
    waitpid(child, &status, 0);
    ran.ended = WIFEXITED(status) && WEXITSTATUS(status) == 0;
    ran.trapped = WIFSIGNALED(status) && WTERMSIG(status) == SIGSYS;
    return ran;
}

} // namespace fw::testing
