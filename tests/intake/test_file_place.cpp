// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "intake/file_place.h"
#include "store/folder.h"
#include "surface/raster_io.h"

#include <GeographicLib/UTMUPS.hpp>

using namespace fw;

TEST_CASE("a raster lies where its middle is", "[intake]") {
    const testing::TestFolder folder;
    const auto file = folder / "heights.tif";
    REQUIRE(writeTerrain(file, Grid<float>(550000, 4081000, 10, 300, 200, 5.0F), 32627).ok());
    double lat = 0, lon = 0;
    GeographicLib::UTMUPS::Reverse(27, true, 551500, 4082000, lat, lon);
    const auto place = placeOfFile(file);
    REQUIRE(place);
    CHECK(place->latDeg == Approx(lat).margin(1e-7)); // a centimetre
    CHECK(place->lonDeg == Approx(lon).margin(1e-7));
    testing::writeBytes(folder / "grid.asc",
                        "ncols 2\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 5\n1 2\n3 4\n");
    CHECK_FALSE(placeOfFile(folder / "grid.asc")); // it names no system
}
