// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/one_heap.h"

#include <cstdlib> // says whose library it is

#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace fw {

void useOneHeap() {
#ifdef __GLIBC__
    mallopt(M_ARENA_MAX, 1);
#endif
}

} // namespace fw
