// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/one_heap.h"

#include <cstdlib> // says whose library it is

#ifdef __GLIBC__
#include <fstream>
#include <malloc.h>
#include <unistd.h>
#endif

namespace fw {

void useOneHeap() {
#ifdef __GLIBC__
    mallopt(M_ARENA_MAX, 1);
#endif
}

void giveBackFreeMemory([[maybe_unused]] std::size_t slack) {
#ifdef __GLIBC__
    // What is free on the books may have been given back before: what is resident tells.
    std::ifstream pages("/proc/self/statm");
    std::size_t size = 0, resident = 0;
    if (!(pages >> size >> resident)) return;
    const struct mallinfo2 books = mallinfo2();
    const std::size_t held = resident * static_cast<std::size_t>(sysconf(_SC_PAGESIZE));
    if (held > books.uordblks + books.hblkhd + slack) malloc_trim(0);
#endif
}

} // namespace fw
