// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"

#include <clocale>
#include <cstdlib>
#include <string>

// The run under a decimal comma proves nothing when the locale is not there and the C library stays with the
// point without a word.
TEST_CASE("A run that asks for a decimal comma has one", "[locale]") {
    if (std::getenv("FW_EXPECT_DECIMAL_COMMA") == nullptr) return;
    CHECK(std::string(std::localeconv()->decimal_point) == ",");
}
