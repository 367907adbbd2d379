// SPDX-License-Identifier: GPL-3.0-or-later
// Who runs this program, where, since when: what lock files and journals say about their session.
#pragma once

#include <chrono>
#include <cstdint>
#include <string>

namespace fw {

std::string userName();
std::string hostName();
/// Changes with every start of the machine; empty where the system does not tell.
std::string bootId();
/// When a process started, in the system's ticks since boot: with the pid it names one process of a boot,
/// pids being used again. 0: no such process, or one that
/// is not shown to us.
std::uint64_t startOfProcess(std::int64_t pid);

/// "2026-06-01T09:30:00Z"
std::string utcText(std::chrono::system_clock::time_point when);

} // namespace fw
