// SPDX-License-Identifier: GPL-3.0-or-later
// The loss kernel twice more: see kernel_plain.cpp and kernel_wide.cpp.
#pragma once

#include "fringe/path_kernel.h"

#include <cstdint>

/// A row of receivers 2 m apart, seen from an antenna 7 m above the datum.
struct RowInput {
    int n = 0;
    float dx0M = 0, dyM = 0;
    const float* z = nullptr;
    const float* bend = nullptr;
};
namespace fw_plain {
void rows(const fw::LossModel& m, const RowInput& in, std::int16_t* loss, std::int16_t* elevation);
}
namespace fw_wide {
/// Only where the processor has AVX2.
void rows(const fw::LossModel& m, const RowInput& in, std::int16_t* loss, std::int16_t* elevation);
} // namespace fw_wide
