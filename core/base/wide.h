// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/sanitized.h"

// Before a kernel that is compiled twice and picked by the processor's abilities. One result with and without
// the wide instructions: no contraction, no reordering, no approximate reciprocals. The sanitizers' run-time
// does not stand the picking.
#if defined(FW_WIDE)
// Set from outside: a test compiles a kernel again for one kind of processor.
#elif defined(__x86_64__) && !defined(FW_SANITIZED)
#define FW_WIDE __attribute__((target_clones("default", "arch=x86-64-v3")))
#else
#define FW_WIDE
#endif
