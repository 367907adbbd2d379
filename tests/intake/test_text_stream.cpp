// SPDX-License-Identifier: GPL-3.0-or-later
// A large text is read in blocks. What it takes is asked of the kernel (proc(5): VmRSS, VmHWM, clear_refs).
#include "intake/table_text.h"

#include <charconv>
#include <fstream>

using namespace fw;
using namespace fwtest;

namespace {

// kB; 0 where the kernel does not say.
long memory(const std::string& what) {
    std::ifstream status("/proc/self/status");
    for (std::string line; std::getline(status, line);) {
        if (line.rfind(what + ":", 0) != 0) continue;
        const auto from = line.find_first_of("0123456789");
        long kB = 0;
        std::from_chars(line.data() + from, line.data() + line.size(), kB);
        return kB;
    }
    return 0;
}

} // namespace

TEST_CASE("100 MB of counters take no more memory than a few blocks", "[text][slow]") {
    const testing::TestFolder folder;
    std::int64_t lines = 0;
    {
        std::ofstream out(folder / "counters.csv", std::ios::binary);
        const std::string row =
            "PM01-1;2026-04-06 19:00;71,25;33,5;\"quoted; and \"\"doubled\"\"\";12,75\r\n";
        out << "cell;hour;dl;ul;remark;users\r\n";
        for (std::size_t bytes = 0; bytes < 100'000'000; bytes += row.size(), ++lines) out << row;
    }
    auto source = openTextSource(folder / "counters.csv");
    REQUIRE(source.ok());
    std::ofstream("/proc/self/clear_refs") << "5"; // begins a new peak
    const long before = memory("VmRSS");
    std::int64_t rows = 0, last = 0;
    REQUIRE((*source)
                ->forEachRow({},
                             [&](SourceRow& row) {
                                 ++rows;
                                 last = row.number;
                                 return true;
                             })
                .ok());
    CHECK(rows == lines);
    CHECK(last == lines + 1);
    if (before > 0) CHECK(memory("VmHWM") - before < 4096); // 64 KiB of bytes, their text, one row
}
