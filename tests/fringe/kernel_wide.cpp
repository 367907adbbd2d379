// SPDX-License-Identifier: GPL-3.0-or-later
// The loss kernel's source compiled again in a namespace of its own, for AVX2 and nothing less. What it
// includes comes first, so that only the kernel is compiled a second time.
#include "base/log_exp.h"
#include "fringe/path_kernel.h"
#include "kernel_rows.h"
#include "radio/knife_edge.h"
#include "radio/street_microcell.h"
#include "radio/urban_macro.h"
#include "radio/urban_micro.h"

#include <bit>
#include <cmath>

namespace fw_wide {
using namespace fw;
}
#if defined(__x86_64__) && !defined(__clang__) // which knows no such pragma
#pragma GCC target("arch=x86-64-v3")
#endif
#define FW_WIDE
#define fw fw_wide
#include "../../core/fringe/path_kernel.cpp" // NOLINT(bugprone-suspicious-include)
#undef fw

void fw_wide::rows(const fw::LossModel& m, const RowInput& in, std::int16_t* loss, std::int16_t* elevation) {
    fw_wide::lossRow(m, in.n, in.dx0M, 2, in.dyM, 7, 0, in.z, in.bend, loss);
    fw_wide::elevationRow(in.n, in.dx0M, 2, in.dyM, 7, in.z, elevation);
}
