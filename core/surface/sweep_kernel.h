// SPDX-License-Identifier: GPL-3.0-or-later
// Inside of the sight sweep: one triangular sector, and the transposes that turn east and west into north
// and south. Each function exists twice, plain and with AVX2, with the same arithmetic in the same order, so
// that both give the same bytes.
#pragma once

#include <cstddef>
#include <cstdint>

namespace fw::sweep {

/// "Nothing between": a slope below every real one.
inline constexpr float kNoEdge = -1e9f;
/// Added before rounding to the nearest whole column or ray, so that a true half always goes up whatever the
/// last bit of the product is. Non-halves are at least 1 / (2 R) away from a half, which stays above this
/// for R up to 2000.
inline constexpr float kHalfUp = 1.0f / 4096.0f;
/// Floats that the ray arrays must offer below -R and beyond R: loops run over whole vectors.
inline constexpr int kRayMargin = 16;

/// A sector's view of the window. All three pointers are at the antenna's cell; `step` floats lead to the
/// next row away from it.
struct Sector {
    const float* top;
    float* edgeSlope;
    float* edgeDistM; ///< null: not asked, and the rays keep none
    std::ptrdiff_t step;
};

/// State of the 2 R + 1 rays of a sector; pointers are at ray 0. Ray k leaves the sector's axis by k columns
/// in R rows.
struct Rays {
    float* slope;         ///< steepest so far
    float* distM;         ///< where that was
    const float* runM;    ///< ground metres along the ray per row
    const float* perRunM; ///< 1 / runM
};

struct SectorSpec {
    int radius = 0;
    float antennaAmsl = 0;
    float bulgePerM = 0;       ///< earth bulge of d metres is this times d squared
    const int* halfWidth = {}; ///< by row 0..R: columns of the disc to either side
};

/// Fills the cells of the disc with |column| <= row of one sector, and up to 7 columns beyond them.
void sectorPlain(const Sector& sector, const Rays& rays, const SectorSpec& spec);
void sectorAvx2(const Sector& sector, const Rays& rays, const SectorSpec& spec);

/// One row of the mask; pointers are at the antenna's column.
struct MaskRow {
    const float* top;
    const float* edgeSlope;
    std::uint8_t* visible;
};
struct MaskSpec {
    int halfWidth = 0;     ///< columns of the disc to either side
    float rowsSquared = 0; ///< row distance from the antenna, squared
    float cellM = 0, antennaAmsl = 0, receiverM = 0, bulgePerM = 0;
};
/// Sets 1 where the receiver is in sight, else 0, in two rows equally far from the antenna, whose distances
/// are worked out once; up to 7 columns beyond the disc too.
void maskRowsPlain(const MaskRow& a, const MaskRow& b, const MaskSpec& spec);
void maskRowsAvx2(const MaskRow& a, const MaskRow& b, const MaskSpec& spec);

/// to[c][r] = from[r][c] for 8 x 8 floats.
void transpose8Plain(const float* from, float* to, std::ptrdiff_t stride);
void transpose8Avx2(const float* from, float* to, std::ptrdiff_t stride);

} // namespace fw::sweep
