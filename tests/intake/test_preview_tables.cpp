// SPDX-License-Identifier: GPL-3.0-or-later
// Tables of every order, sign and encoding, and what their preview says of them.
#include "intake/intake_bench.h"
#include "intake/map_places.h"

using namespace fw;
using namespace fw::testing;
using Catch::Matchers::Contains;

namespace {

std::string utf16(std::string_view ascii, bool bigEndian, bool mark) {
    std::string out;
    const auto put = [&](unsigned char low, unsigned char high = 0) {
        out += static_cast<char>(bigEndian ? high : low);
        out += static_cast<char>(bigEndian ? low : high);
    };
    if (mark) put(0xff, 0xfe);
    for (const char c : ascii) put(static_cast<unsigned char>(c));
    return out;
}

} // namespace

TEST_CASE("mounts come in whatever the order, the signs and the bytes of their table") {
    const IntakeBench bench;
    const PlanePoint at = utm(36.9312, -20.4187);
    struct Trap {
        const char* name;
        std::string bytes;
    };
    const std::string plain = "name,kind,latitude,longitude,height_m\nW-1,wall,36.9312,-20.4187,7.5\n";
    const std::vector<Trap> traps{
        {"plain.csv", plain},
        {"order.csv", "height_m,longitude,name,latitude,kind\n7.5,-20.4187,W-1,36.9312,wall\n"},
        {"semicolons.csv", "name;kind;latitude;longitude;height_m\nW-1;wall;36,9312;-20,4187;7,5\n"},
        {"tabs.txt", "name\tkind\tlatitude\tlongitude\theight_m\nW-1\twall\t36.9312\t-20.4187\t7.5\n"},
        {"mark.csv", "\xef\xbb\xbf" + plain},
        {"utf16le.csv", utf16(plain, false, true)},
        {"utf16be.csv", utf16(plain, true, true)},
        {"utf16 without a mark.csv", utf16(plain, false, false)},
        {"feet.csv", "name,kind,latitude,longitude,height (ft)\nW-1,wall,36.9312,-20.4187,24.6063\n"},
        {"dms.csv", "name,kind,latitude,longitude,height_m\nW-1,wall,36\xc2\xb0"
                    "55'52.32\"N,20\xc2\xb0"
                    "25'07.32\"W,7.5 m\n"},
        {"preamble.csv", "Candidates of Port Merrow\nexported 2026-10-05 08:00\n\n" + plain},
        {"crlf.csv", "name,kind,latitude,longitude,height_m\r\nW-1,wall,36.9312,-20.4187,7.5\r\n"},
        {"headers.csv", "Candidate ID,Type,Lat,Lng,Height AGL [m]\nW-1,wall,36.9312,-20.4187,7.5\n"},
    };
    for (const Trap& trap : traps) {
        const IntakePreview p = bench.preview(trap.name, trap.bytes, IntakeKind::mounts);
        INFO(trap.name << ": " << remarksOf(p));
        REQUIRE(p.good == 1);
        CHECK(p.refused == 0);
        CHECK(p.usable());
        const auto mounts = putsOf<Mount>(p.edit);
        REQUIRE(mounts.size() == 1);
        CHECK(mounts[0].name == "W-1");
        CHECK(mounts[0].kind == MountKind::wall);
        CHECK(mounts[0].height.m == Approx(7.5).margin(1e-4));
        // Places are kept to 2^-20 m; the two libraries agree far below a millimetre inside a zone.
        CHECK(near(mounts[0].at, at, 1e-3));
    }
}

TEST_CASE("columns that write decimals otherwise than the file are told, never misread in silence") {
    const IntakeBench bench;
    // Places with a decimal point, heights with a comma: refused one by one, with what stands in the way.
    const auto mixed = bench.preview(
        "mixed.csv", "name;latitude;longitude;height_m\nA;36.9312;-20.4187;7,5\nB;36.9313;-20.4187;8\n",
        IntakeKind::mounts);
    INFO(remarksOf(mixed));
    CHECK(mixed.good == 1);
    REQUIRE(mixed.refusals.size() == 1);
    CHECK_THAT(mixed.refusals[0].reason, Contains("has a decimal comma, where the file has points"));
    CHECK(says(mixed, IntakeRemark::Weight::look, "\"height_m\" has a decimal comma"));
    // With three places it could as well be a thousand and more: taken, and said.
    const auto open = bench.preview("open.csv",
                                    "name;latitude;longitude;height_m\nA;36.9312;-20.4187;7,512\n"
                                    "B;36.9313;-20.4187;8,250\n",
                                    IntakeKind::mounts);
    INFO(remarksOf(open));
    REQUIRE(says(open, IntakeRemark::Weight::look, "In \"height_m\" the comma is taken to part thousands"));
    CHECK(open.good == 0); // 7512 m is no height, but other fields would not tell
    IntakeRequest request;
    request.kind = IntakeKind::mounts;
    choose(request, open.remarks[0].choices.at(0));
    const auto said = bench.preview(bench.path("open.csv"), request);
    INFO(remarksOf(said));
    REQUIRE(said.good == 2);
    CHECK(putsOf<Mount>(said.edit)[0].height.m == Approx(7.512).margin(1e-4));
    CHECK_FALSE(says(said, IntakeRemark::Weight::look, "height_m"));
    // Of degrees, and of columns that nobody reads, there is nothing to ask.
    const auto idle = bench.preview("idle.csv", "name;latitude;longitude;remark\nA;36.931;-20.418;1.234\n",
                                    IntakeKind::mounts);
    INFO(remarksOf(idle));
    CHECK_FALSE(says(idle, IntakeRemark::Weight::look, "decimal sign"));
    // A file that settles it has nothing to say.
    const auto sure = bench.preview(
        "sure.csv", "name;latitude;longitude;height_m\nA;36,9312;-20,4187;7,512\n", IntakeKind::mounts);
    CHECK_FALSE(says(sure, IntakeRemark::Weight::look, "height_m"));
}

TEST_CASE("names keep their letters in Latin-1 and in UTF-8") {
    const IntakeBench bench;
    // 0xe6 is ae in ISO 8859-1 and in Windows-1252.
    const auto latin = bench.preview("latin.csv", "name,latitude,longitude\n\xc6r\xf8 kaj,36.9312,-20.4187\n",
                                     IntakeKind::mounts);
    const auto utf8 =
        bench.preview("utf8.csv", "name,latitude,longitude\nÆrø kaj,36.9312,-20.4187\n", IntakeKind::mounts);
    REQUIRE(putsOf<Mount>(latin.edit).size() == 1);
    CHECK(putsOf<Mount>(latin.edit)[0].name == "Ærø kaj");
    CHECK(putsOf<Mount>(utf8.edit) == putsOf<Mount>(latin.edit));
}
