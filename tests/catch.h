// SPDX-License-Identifier: GPL-3.0-or-later
// One door to Catch2: Debian 12 ships version 2, newer systems version 3.
#pragma once
#if __has_include(<catch2/catch_all.hpp>)
#include <catch2/catch_all.hpp>
using Catch::Approx;
#else
#include <catch2/catch.hpp>
#endif
