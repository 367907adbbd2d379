// SPDX-License-Identifier: GPL-3.0-or-later
// make_sample DIR: writes the sample project Port Merrow into a folder; the same bytes every time.
// make_sample --aim: looks for the roll-out's azimuths anew and prints them for port_merrow_aims.inc.
#include "aim_sample.h"
#include "sample_files.h"

#include <cstdio>
#include <string_view>

namespace {

constexpr std::size_t kRollOut = 20;

int aim() {
    const auto aims = fw::town::findAims(kRollOut);
    if (!aims) {
        std::fprintf(stderr, "make_sample: %s\n", aims.error().sentence().c_str());
        return 4;
    }
    std::fputs(fw::town::aimsText(*aims).c_str(), stdout);
    return 0;
}

} // namespace

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fprintf(stderr, "usage: make_sample DIR | make_sample --aim\n");
        return 2;
    }
    if (std::string_view(argv[1]) == "--aim") return aim();
    const auto written = fw::town::writeSample(fw::town::makePortMerrow(), argv[1]);
    if (!written) {
        std::fprintf(stderr, "make_sample: %s\n", written.error().sentence().c_str());
        return 3;
    }
    return 0;
}
