// SPDX-License-Identifier: GPL-3.0-or-later
// A disk that fails on command, for SQLite: a virtual file system before the real one.
#pragma once

#include <array>

namespace fw::testing {

enum class FaultAt { write, sync, open, remove };
inline constexpr std::array<FaultAt, 4> kFaults{FaultAt::write, FaultAt::sync, FaultAt::open,
                                                FaultAt::remove};
const char* nameOf(FaultAt what);

/// While it lives, every database is opened through it; connections must be closed before it goes. Not armed
/// it only passes on.
class FaultDisk {
public:
    FaultDisk();
    ~FaultDisk();
    FaultDisk(const FaultDisk&) = delete;
    FaultDisk& operator=(const FaultDisk&) = delete;

    /// The n-th operation of that kind from now (counted from 1) fails, as on a full or broken disk; if
    /// `forGood`, every write, sync, open and removal after it does, too: the drive is gone.
    static void arm(FaultAt what, int n, bool forGood);
    static void disarm();
    /// True when the fault has come since it was armed.
    static bool struck();
};

} // namespace fw::testing
