// SPDX-License-Identifier: GPL-3.0-or-later
// The twin of sweep_kernel.cpp, eight cells at a time: the same operations in the same order. Neither fused
// multiply-add nor the approximate reciprocals, whose bits differ between makers.
#include "surface/sweep_kernel.h"

#if defined(__x86_64__)
#include <algorithm>
#include <immintrin.h>

#define FW_AVX2 __attribute__((target("avx2")))

namespace fw::sweep {
namespace {

struct RowFactors {
    float row, perRow, raysPerCol, colsPerRay;
};

/// Whole vectors of ray numbers for the eight cells from column j on.
FW_AVX2 inline __m256i nearestRays(int j, __m256 radius, float raysPerCol) {
    const __m256 lanes = _mm256_setr_ps(0, 1, 2, 3, 4, 5, 6, 7);
    const __m256 col = _mm256_add_ps(_mm256_set1_ps(static_cast<float>(j)), lanes);
    const __m256 k = _mm256_add_ps(_mm256_mul_ps(col, _mm256_set1_ps(raysPerCol)), _mm256_set1_ps(kHalfUp));
    return _mm256_cvtps_epi32(
        _mm256_max_ps(_mm256_sub_ps(_mm256_setzero_ps(), radius), _mm256_min_ps(radius, k)));
}

/// from[first + offset] for offsets 0..15.
FW_AVX2 inline __m256 pick16(const float* from, __m256i offset, __m256 upper) {
    const __m256 low = _mm256_permutevar8x32_ps(_mm256_loadu_ps(from), offset);
    const __m256 high = _mm256_permutevar8x32_ps(_mm256_loadu_ps(from + 8), offset);
    return _mm256_blendv_ps(low, high, upper);
}

/// Each cell of the row takes the state of its nearest ray. In the outer half of the disc eight cells meet
/// at most sixteen neighbouring rays, which two loads and permutations bring in faster than a gather.
template <bool kDist>
FW_AVX2 inline void readRow(const Rays& rays, int reach, float radius, float raysPerCol, float* slopeOut,
                            float* distOut) {
    const __m256 most = _mm256_set1_ps(radius);
    if (raysPerCol > 2.0f) {
        for (int j = -reach; j <= reach; j += 8) {
            const __m256i ray = nearestRays(j, most, raysPerCol);
            _mm256_storeu_ps(slopeOut + j, _mm256_i32gather_ps(rays.slope, ray, 4));
            if constexpr (kDist) _mm256_storeu_ps(distOut + j, _mm256_i32gather_ps(rays.distM, ray, 4));
        }
        return;
    }
    const __m256i seven = _mm256_set1_epi32(7);
    for (int j = -reach; j <= reach; j += 8) {
        const __m256i ray = nearestRays(j, most, raysPerCol);
        const int first = _mm_cvtsi128_si32(_mm256_castsi256_si128(ray));
        const __m256i offset = _mm256_sub_epi32(ray, _mm256_set1_epi32(first));
        const __m256 upper = _mm256_castsi256_ps(_mm256_cmpgt_epi32(offset, seven));
        _mm256_storeu_ps(slopeOut + j, pick16(rays.slope + first, offset, upper));
        if constexpr (kDist) _mm256_storeu_ps(distOut + j, pick16(rays.distM + first, offset, upper));
    }
}

/// Each ray takes in the row's cell nearest to it. Eight neighbouring rays meet at most eight neighbouring
/// cells: one load and a permutation.
template <bool kDist>
FW_AVX2 inline void raiseRays(const Rays& rays, const SectorSpec& spec, int last, const RowFactors& f,
                              const float* row) {
    const __m256 lanes = _mm256_setr_ps(0, 1, 2, 3, 4, 5, 6, 7);
    const __m256 antenna = _mm256_set1_ps(spec.antennaAmsl), bulge = _mm256_set1_ps(spec.bulgePerM);
    const __m256 factor = _mm256_set1_ps(f.colsPerRay), half = _mm256_set1_ps(kHalfUp);
    const __m256 rowV = _mm256_set1_ps(f.row), perRow = _mm256_set1_ps(f.perRow);
    for (int k = -last; k <= last; k += 8) {
        const __m256 ray = _mm256_add_ps(_mm256_set1_ps(static_cast<float>(k)), lanes);
        const __m256i col = _mm256_cvtps_epi32(_mm256_add_ps(_mm256_mul_ps(ray, factor), half));
        const int first = _mm_cvtsi128_si32(_mm256_castsi256_si128(col));
        const __m256 cells = _mm256_permutevar8x32_ps(_mm256_loadu_ps(row + first),
                                                      _mm256_sub_epi32(col, _mm256_set1_epi32(first)));
        const __m256 dist = _mm256_mul_ps(_mm256_loadu_ps(rays.runM + k), rowV);
        const __m256 perDist = _mm256_mul_ps(_mm256_loadu_ps(rays.perRunM + k), perRow);
        const __m256 slope =
            _mm256_sub_ps(_mm256_mul_ps(_mm256_sub_ps(cells, antenna), perDist), _mm256_mul_ps(dist, bulge));
        const __m256 before = _mm256_loadu_ps(rays.slope + k);
        const __m256 higher = _mm256_cmp_ps(slope, before, _CMP_GT_OQ);
        _mm256_storeu_ps(rays.slope + k, _mm256_blendv_ps(before, slope, higher));
        if constexpr (kDist)
            _mm256_storeu_ps(rays.distM + k, _mm256_blendv_ps(_mm256_loadu_ps(rays.distM + k), dist, higher));
    }
}

template <bool kDist>
FW_AVX2 void sector(const Sector& s, const Rays& rays, const SectorSpec& spec) {
    const int R = spec.radius;
    const auto most = static_cast<float>(R);
    for (int i = 1; i <= R; ++i) {
        const auto fi = static_cast<float>(i);
        const RowFactors f{fi, 1.0f / fi, most / fi, fi / most};
        readRow<kDist>(rays, std::min(i, spec.halfWidth[i]), most, f.raysPerCol, s.edgeSlope + i * s.step,
                       kDist ? s.edgeDistM + i * s.step : nullptr);
        const int last = spec.halfWidth[i] < i ? std::min(R, R * spec.halfWidth[i] / i + 2) : R;
        raiseRays<kDist>(rays, spec, last, f, s.top + i * s.step);
    }
}

struct Sight {
    __m256 dist, drop, antenna, receiver;
};
/// Eight cells of a row from column j on.
FW_AVX2 inline void maskEight(const MaskRow& r, int j, const Sight& s) {
    const __m256 over = _mm256_add_ps(_mm256_sub_ps(_mm256_loadu_ps(r.top + j), s.antenna), s.receiver);
    const __m256i seen = _mm256_castps_si256(_mm256_cmp_ps(
        _mm256_sub_ps(over, s.drop), _mm256_mul_ps(_mm256_loadu_ps(r.edgeSlope + j), s.dist), _CMP_GT_OQ));
    const __m128i words = _mm_packs_epi32(_mm256_castsi256_si128(seen), _mm256_extracti128_si256(seen, 1));
    const __m128i bytes = _mm_and_si128(_mm_packs_epi16(words, words), _mm_set1_epi8(1));
    _mm_storel_epi64(reinterpret_cast<__m128i*>(r.visible + j), bytes);
}

} // namespace

FW_AVX2 void sectorAvx2(const Sector& s, const Rays& rays, const SectorSpec& spec) {
    s.edgeDistM ? sector<true>(s, rays, spec) : sector<false>(s, rays, spec);
}

FW_AVX2 void maskRowsAvx2(const MaskRow& a, const MaskRow& b, const MaskSpec& spec) {
    const __m256 lanes = _mm256_setr_ps(0, 1, 2, 3, 4, 5, 6, 7);
    const __m256 rows = _mm256_set1_ps(spec.rowsSquared), cell = _mm256_set1_ps(spec.cellM);
    const __m256 bulge = _mm256_set1_ps(spec.bulgePerM);
    Sight s{{}, {}, _mm256_set1_ps(spec.antennaAmsl), _mm256_set1_ps(spec.receiverM)};
    for (int j = -spec.halfWidth; j <= spec.halfWidth; j += 8) {
        const __m256 col = _mm256_add_ps(_mm256_set1_ps(static_cast<float>(j)), lanes);
        s.dist = _mm256_mul_ps(cell, _mm256_sqrt_ps(_mm256_add_ps(_mm256_mul_ps(col, col), rows)));
        s.drop = _mm256_mul_ps(_mm256_mul_ps(s.dist, s.dist), bulge);
        maskEight(a, j, s);
        maskEight(b, j, s);
    }
}

FW_AVX2 void transpose8Avx2(const float* from, float* to, std::ptrdiff_t stride) {
    __m256 a[8], b[8];
    for (int r = 0; r < 8; ++r) a[r] = _mm256_loadu_ps(from + r * stride);
    for (int r = 0; r < 8; r += 2) {
        b[r] = _mm256_unpacklo_ps(a[r], a[r + 1]);
        b[r + 1] = _mm256_unpackhi_ps(a[r], a[r + 1]);
    }
    for (int r = 0; r < 8; r += 4) {
        a[r] = _mm256_shuffle_ps(b[r], b[r + 2], 0x44);
        a[r + 1] = _mm256_shuffle_ps(b[r], b[r + 2], 0xee);
        a[r + 2] = _mm256_shuffle_ps(b[r + 1], b[r + 3], 0x44);
        a[r + 3] = _mm256_shuffle_ps(b[r + 1], b[r + 3], 0xee);
    }
    for (int r = 0; r < 4; ++r) {
        _mm256_storeu_ps(to + r * stride, _mm256_permute2f128_ps(a[r], a[r + 4], 0x20));
        _mm256_storeu_ps(to + (r + 4) * stride, _mm256_permute2f128_ps(a[r], a[r + 4], 0x31));
    }
}

} // namespace fw::sweep

#else

namespace fw::sweep {
void sectorAvx2(const Sector& sector, const Rays& rays, const SectorSpec& spec) {
    sectorPlain(sector, rays, spec);
}
void maskRowsAvx2(const MaskRow& a, const MaskRow& b, const MaskSpec& spec) { maskRowsPlain(a, b, spec); }
void transpose8Avx2(const float* from, float* to, std::ptrdiff_t stride) {
    transpose8Plain(from, to, stride);
}
} // namespace fw::sweep

#endif
