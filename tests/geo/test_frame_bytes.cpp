// SPDX-License-Identifier: GPL-3.0-or-later
// The C library picks other code for its sines where the processor has fused multiply-add, with other last
// bits. Frames must not pass them on.
#include "catch.h"
#include "geo/frame.h"

#include <array>
#include <cstdio>
#include <filesystem>
#include <string>

using namespace fw;

namespace {

struct Piece {
    int epsg;
    GeoPoint from;
};
constexpr std::array<Piece, 3> kPieces{{{32627, {36.9, -20.4}}, {6677, {36, 139.7}}, {2154, {47, 2.3}}}};

/// Runs this program's hidden case below with an environment of its own and gives back what it prints.
std::string printedWith(const std::string& environment) {
    const std::string self = std::filesystem::read_symlink("/proc/self/exe").string();
    FILE* const out = ::popen((environment + " '" + self + "' '[.frame-bytes]'").c_str(), "r");
    if (!out) return "cannot run";
    std::string text;
    std::array<char, 256> chunk{};
    while (std::fgets(chunk.data(), chunk.size(), out)) text += chunk.data();
    const int status = ::pclose(out);
    return status == 0 ? text : "failed: " + text;
}

} // namespace

TEST_CASE("prints frame bytes", "[.frame-bytes]") {
    for (const Piece& piece : kPieces) {
        const auto f = Frame::fromEpsg(piece.epsg);
        REQUIRE(f);
        for (int i = 0; i < 5000; ++i) {
            const auto p = f->toPlane({piece.from.latDeg + i * 2.1e-5, piece.from.lonDeg + i * 2.3e-5});
            REQUIRE(p);
            const auto g = f->toGeo({p->x + 1, p->y + 2});
            REQUIRE(g);
            // Hexadecimal: every bit is there.
            std::printf("%a %a %a %a %a %a\n", p->x, p->y, g->latDeg, g->lonDeg, f->scale(*p),
                        f->convergenceDeg(*p));
        }
    }
}

TEST_CASE("Frames give the same bytes on processors with and without fused multiply-add", "[frame]") {
    const std::string here = printedWith("env");
    REQUIRE(here.find("0x1") != std::string::npos);
    CHECK(printedWith("env GLIBC_TUNABLES=glibc.cpu.hwcaps=-AVX2,-FMA,-FMA4,-AVX2_Usable,-FMA_Usable") ==
          here);
}
