// SPDX-License-Identifier: GPL-3.0-or-later
// Levels of directional sectors, which a kernel makes a row of pixels at a time, against the pattern asked
// pixel by pixel.
#include "catch.h"
#include "fringe/serving_map.h"
#include "plan/settings.h"

#include <algorithm>

using namespace fw;

namespace {

constexpr int kLoss = 9000, kBase = 3300; // 0.01 dB

TileReceivers openTile() {
    TileReceivers t;
    t.key = {1100, 8000};
    t.weight.assign(kTileArea, 1024);
    t.openCells.assign(kTileArea, 15);
    t.inArea.assign(kTileArea, 0);
    t.groundAmsl.resize(kTileArea);
    for (std::size_t i = 0; i < kTileArea; ++i) t.groundAmsl[i] = static_cast<float>(i % 29) * 0.5f;
    return t;
}

PathSlice sliceFrom(int pixelX, int pixelY) {
    PathSlice s;
    s.loss.assign(kTileArea, kLoss);
    s.indoor = std::make_shared<const IndoorAngles>();
    s.antennaAmsl = 34;
    s.pixelX = pixelX;
    s.pixelY = pixelY;
    return s;
}

// A measured antenna that loses 30 dB straight behind and less to either side of that.
Pattern measured() {
    CutTable cuts;
    cuts.gainDbi = 15;
    for (int k = 0; k < 24; ++k) {
        const double deg = 15.0 * k, off = std::min(deg, 360 - deg);
        cuts.horizontal.push_back({deg, off == 180 ? 30 : std::min(off / 6, 28.0)});
        cuts.vertical.push_back({deg, std::min(off / 3, 30.0)});
    }
    return Pattern(cuts);
}

int levelAt(const TileReceivers& tile, const PathSlice& s, const PatternTable& p, int boresight,
            std::size_t pixel) {
    const int dx = static_cast<int>(pixel % kTilePixels) - s.pixelX,
              dy = static_cast<int>(pixel / kTilePixels) - s.pixelY;
    const int azimuth = macroAzimuthRow(dy)[dx + kAzimuthReach];
    return kBase - kLoss - p.lossCenti(azimuth - boresight, elevationOf(s, tile, pixel));
}

} // namespace

TEST_CASE("A sector's levels are its pattern's, in front, to the side and behind") {
    const TileReceivers tile = openTile();
    const ModelTables tables(ModelSettings{});
    const std::vector<PatternTable> patterns{patternTable(Pattern(ParabolicCuts{17, 65, 10, 25, 20}), 0, 6),
                                             patternTable(Pattern(ParabolicCuts{17, 33, 7, 30, 20}), 4, 2),
                                             patternTable(Pattern(ParabolicCuts{11, 360, 8, 25, 20}), 0, 3),
                                             patternTable(measured(), 0, 4)};
    CHECK(patterns[0].backFrom < patterns[0].backTo);
    CHECK(patterns[2].backFrom > patterns[2].backTo);
    // Inside the tile, beside it on all sides, on its rim's row, and far off.
    const std::vector<std::pair<int, int>> places{{60, 40},  {-5, 60},   {140, 60},  {64, -300},
                                                  {64, 500}, {-600, -1}, {700, 128}, {127, 0}};
    std::size_t wrong = 0, behind = 0, looked = 0;
    for (const auto& [x, y] : places) {
        const PathSlice slice = sliceFrom(x, y);
        for (const PatternTable& p : patterns)
            for (int boresight = 0; boresight < 3600; boresight += 325) {
                CellSource c;
                c.baseCenti = kBase;
                c.share = 1 << 16;
                c.azimuth = boresight;
                c.pattern = &p;
                c.slice = &slice;
                const std::vector<std::int64_t> shares{c.share};
                const TileLevels l = makeLevels(tile, {&c, 1}, 1, shares, tables);
                for (std::size_t i = 0; i < kTileArea; i += 3) {
                    const int want = levelAt(tile, slice, p, boresight, i);
                    wrong += levelOf(l.layers[0].strongest[0][i]) != want;
                    behind += want == kBase - kLoss - p.most;
                    ++looked;
                }
            }
    }
    CHECK(wrong == 0);
    CHECK(behind > looked / 5); // or nothing was shown about them
    CHECK(behind < looked / 2);
}
