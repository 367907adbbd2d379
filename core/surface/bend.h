// SPDX-License-Identifier: GPL-3.0-or-later
// How far the best path to a receiver is bent: over the roof in its way, or round a corner beside it.
#pragma once

#include "surface/sight_scan.h"

#include <vector>

namespace fw {

/// Nothing stands between, or nothing that bends the path.
inline constexpr float kUnbent = -1e9f;

/// The diffraction parameter of an edge without the wavelength, squared with its sign kept (m):
/// b = h |h| d / (d1 d2), so that nu = sign(b) sqrt(|b| 2 / lambda) (Rec. ITU-R P.526-16, 4.1, eq. (26)).
/// Above 0: the receiver stands in the edge's shadow, below: it sees past it.
/// @param d         ground distance of the receiver (m)
/// @param rise      receiver less antenna, earth bulge taken off (m)
/// @param edgeSlope, edgeDist the edge, as SightScan has it
/// @return kUnbent without an edge, or with one at either end (d1 d2 <= 0.01 m2)
float edgeBend(float d, float rise, float edgeSlope, float edgeDist);

/// Edges are screens: in the shadow of the one on its own ray a receiver has the least bent of three paths,
/// over its top or round either side, which is where, to the left or right of the receiver, the ray comes
/// clear or passes lower. In sight it has the most bent of three: past its own edge, or past the side of a
/// screen to its left or right. On the line itself both are 0, so that the loss of a walk round a corner has
/// no step but that of the cells. A side's place is known to half a cell, and from eight cells on to a
/// quarter of its distance.
///
/// Rec. ITU-R P.526-16, 5.1 takes the three edges of a screen together by power, up to 4.8 dB less loss than
/// past the best of them alone; that the best alone is taken is our own choice, on the side of more loss and
/// without a step at the line.
class PathBend {
public:
    /// Looks for sides up to `sideM` to the left and right of receivers at `receiverAmsl` (m above the datum,
    /// by cell, laid out as the planes of the scan). Keeps its memory from one scan to the next, and refers
    /// to the scan. The same bytes with wide instructions and without.
    void follow(const SightScan& scan, const std::vector<float>& receiverAmsl, double sideM);
    /// By cell, laid out as the planes of the scan; kUnbent outside the disc.
    [[nodiscard]] const std::vector<float>& plane() const { return m_plane; }
    /// The same for a receiver of its own height `amsl`, `distanceM` from the antenna, in the cell (dx, dy).
    [[nodiscard]] float at(int dx, int dy, double distanceM, double amsl) const;

private:
    void ownEdges(const std::vector<float>& receiverAmsl, int dy);
    void sides(int dy, int dx0, int dx1, std::ptrdiff_t aside);
    [[nodiscard]] std::ptrdiff_t place(int dx, int dy) const {
        return (std::ptrdiff_t{dy} + m_half) * m_stride + dx + m_half;
    }

    const SightScan* m_scan = nullptr;
    std::vector<int> m_asides;   ///< cells to the side that are looked at
    int m_radius = 0;            ///< of the scan (cells)
    int m_half = 0;              ///< cells from the middle to the rim, a margin of the farthest aside with it
    std::ptrdiff_t m_stride = 0; ///< of m_own and m_lever
    std::vector<float> m_own;    ///< bend past the cell's own edge; much above 0 outside the disc
    std::vector<float> m_lever;  ///< d d1 / (d - d1) of that edge (m): the bend of a unit angle
    std::vector<float> m_turn2;  ///< angle of a cell to the side, squared, of a row
    std::vector<int> m_halfWidth; ///< of the disc's rows
    std::vector<float> m_plane;
};

} // namespace fw
