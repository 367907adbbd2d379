// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace fw {

/// Has all threads take their memory from one heap. Otherwise the C library gives each thread its own, and
/// what one thread asked for and another freed lies about in pieces that nobody uses again: in a city, after
/// some drags, half a gigabyte. To be called first thing in a program, before there are threads; does nothing
/// where the C library has no such choice.
void useOneHeap();

} // namespace fw
