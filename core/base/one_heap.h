// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>

namespace fw {

/// Has all threads take their memory from one heap. Otherwise the C library gives each thread its own, and
/// what one thread asked for and another freed lies about in pieces that nobody uses again: in a city, after
/// some drags, half a gigabyte. To be called first thing in a program, before there are threads; does nothing
/// where the C library has no such choice.
void useOneHeap();

/// Gives memory that was freed back to the system, where more than `slack` bytes of it are held: what was
/// freed between what is still used stays otherwise. Takes some 30 ms in a city, during which no other
/// thread gets memory; for when a long computation has ended. Does nothing where the C library has no such
/// choice.
void giveBackFreeMemory(std::size_t slack = std::size_t(64) << 20);

} // namespace fw
