// SPDX-License-Identifier: GPL-3.0-or-later
// make_sample DIR: writes the sample project Port Merrow. The same bytes every time.
#include "sample_files.h"

#include <cstdio>

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fprintf(stderr, "usage: make_sample DIR\n");
        return 2;
    }
    const auto written = fw::town::writeSample(fw::town::makePortMerrow(), argv[1]);
    if (!written) {
        std::fprintf(stderr, "make_sample: %s\n", written.error().sentence().c_str());
        return 3;
    }
    return 0;
}
