// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/place_text.h"

#include "catch.h"

#include <regex>

using namespace fw;

TEST_CASE("degrees, minutes and seconds, worked by hand") {
    // 36.889884: 0.889884 * 60 = 53.39304; 0.39304 * 60 = 23.5824.
    CHECK(latitudeDms(36.889884) == "36°53'23.58\" N");
    // 20.405797: 0.405797 * 60 = 24.34782; 0.34782 * 60 = 20.8692.
    CHECK(longitudeDms(-20.405797) == "20°24'20.87\" W");
    CHECK(latitudeDms(-0.5) == "0°30'00.00\" S");
    CHECK(longitudeDms(180.0) == "180°00'00.00\" E");
}

TEST_CASE("seconds carry into minutes and degrees and never read 60") {
    CHECK(latitudeDms(59.9999999) == "60°00'00.00\" N");
    CHECK(longitudeDms(12.0166666) == "12°01'00.00\" E"); // 12 deg 0 min 59.99976 s
    CHECK(latitudeDms(-0.0000000001) == "0°00'00.00\" N");
}

TEST_CASE("a geo address has the form of RFC 5870, 3.3, and the poles have longitude 0 (3.4.2)") {
    // geo-URI = "geo:" num "," num; num = [ "-" ] 1*DIGIT [ "." 1*DIGIT ]
    const std::regex form(R"(geo:-?[0-9]+(\.[0-9]+)?,-?[0-9]+(\.[0-9]+)?)");
    for (const GeoPoint p :
         {GeoPoint{36.889884, -20.405797}, {-33.9, 151.2}, {0, 0}, {90, 12}, {-1e-9, -1e-9}}) {
        INFO(geoUri(p));
        CHECK(std::regex_match(geoUri(p), form));
    }
    CHECK(geoUri({36.889884, -20.405797}) == "geo:36.889884,-20.405797");
    CHECK(geoUri({90, 12}) == "geo:90.000000,0.000000");
    CHECK(geoUri({-1e-9, -1e-9}) == "geo:0.000000,0.000000");
}

TEST_CASE("azimuths round to whole degrees below 360") {
    CHECK(wholeDegrees(359.5) == 0);
    CHECK(wholeDegrees(359.49) == 359);
    CHECK(wholeDegrees(-0.4) == 0);
    CHECK(wholeDegrees(-90) == 270);
    CHECK(azimuthText(7) == "007");
}

TEST_CASE("power and tilt in words") {
    // Definition of dBm: 10^(x/10) mW. 37 dBm = 5011.872 mW, 30 dBm = 1 W.
    CHECK(wattsOf(37) == Approx(5.011872336).epsilon(1e-9));
    CHECK(wattsOf(30) == Approx(1).epsilon(1e-12));
    CHECK(tiltWord(3) == "down");
    CHECK(tiltWord(-2) == "up");
    CHECK(tiltWord(0.04) == "level");
}
