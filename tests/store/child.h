// SPDX-License-Identifier: GPL-3.0-or-later
// A process of its own to be killed, and one byte at a time between it and the test.
#pragma once

#include <csignal>
#include <cstdint>
#include <functional>
#include <stdexcept>
#include <sys/wait.h>
#include <unistd.h>
#include <utility>

namespace fw::testing {

class Pipe {
public:
    Pipe() {
        if (::pipe(m_ends) != 0) throw std::runtime_error("no pipe");
    }
    ~Pipe() {
        closeEnd(0);
        closeEnd(1);
    }
    Pipe(Pipe&& from) noexcept
        : m_ends{std::exchange(from.m_ends[0], -1), std::exchange(from.m_ends[1], -1)} {}
    Pipe(const Pipe&) = delete;
    Pipe& operator=(const Pipe&) = delete;

    void closeEnd(int end) {
        if (m_ends[end] >= 0) ::close(std::exchange(m_ends[end], -1));
    }
    void put(char c) { (void)!::write(m_ends[1], &c, 1); }
    void putNumber(std::uint32_t n) { (void)!::write(m_ends[1], &n, sizeof n); }
    /// 0 when the other side is gone.
    char get() {
        char c = 0;
        return ::read(m_ends[0], &c, 1) == 1 ? c : '\0';
    }
    /// False when the other side is gone.
    bool number(std::uint32_t& n) { return ::read(m_ends[0], &n, sizeof n) == sizeof n; }

private:
    int m_ends[2] = {-1, -1};
};

/// Runs `work(out, in)` in a child, which then ends at once: nothing of the test program's end runs in it.
class Child {
public:
    explicit Child(const std::function<void(Pipe& out, Pipe& in)>& work) {
        m_pid = ::fork();
        if (m_pid < 0) throw std::runtime_error("no child");
        if (m_pid == 0) {
            m_fromChild.closeEnd(0);
            m_toChild.closeEnd(1);
            int code = 0;
            try {
                work(m_fromChild, m_toChild);
            } catch (...) {
                code = 3;
            }
            ::_exit(code);
        }
        m_fromChild.closeEnd(1);
        m_toChild.closeEnd(0);
    }
    ~Child() {
        if (m_pid > 0) kill();
    }
    Child(Child&& from) noexcept
        : m_pid(std::exchange(from.m_pid, -1)), m_was(from.m_was), m_fromChild(std::move(from.m_fromChild)),
          m_toChild(std::move(from.m_toChild)) {}
    Child(const Child&) = delete;
    Child& operator=(const Child&) = delete;

    [[nodiscard]] pid_t pid() const { return m_pid > 0 ? m_pid : m_was; }
    void kill() {
        ::kill(m_pid, SIGKILL);
        wait();
    }
    /// Its exit code; -1 when it was killed.
    int wait() {
        int status = 0;
        ::waitpid(m_pid, &status, 0);
        m_was = std::exchange(m_pid, -1);
        return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    }
    char get() { return m_fromChild.get(); }
    void put(char c) { m_toChild.put(c); }
    Pipe& out() { return m_fromChild; }

private:
    pid_t m_pid = -1, m_was = -1;
    Pipe m_fromChild, m_toChild;
};

} // namespace fw::testing
