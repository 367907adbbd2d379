// SPDX-License-Identifier: GPL-3.0-or-later
#if __has_include(<catch2/catch_session.hpp>)
#include <catch2/catch_session.hpp>
#else
#define CATCH_CONFIG_RUNNER
#include <catch2/catch.hpp>
#endif

#include <clocale>

int main(int argc, char** argv) {
    // As a program with a window does: what the user's country writes numbers with must not reach core.
    std::setlocale(LC_ALL, "");
    return Catch::Session().run(argc, argv);
}
