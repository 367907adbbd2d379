// SPDX-License-Identifier: GPL-3.0-or-later
// Antenna patterns in three dimensions, made from a horizontal and a vertical cut.
#pragma once

#include "base/result.h"
#include "base/units.h"
#include "plan/items.h"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fw {

/// The parabolic cuts of 3GPP, for an antenna known by its data-sheet figures only.
/// Source: 3GPP TR 36.814, Table A.2.1.1-2; TR 38.901, Table 7.3-1 has the same form.
struct ParabolicCuts {
    double gainDbi = 0;
    double hBeamDeg = 65;    ///< half-power width, > 0; 360 or more: the same all round
    double vBeamDeg = 10;    ///< half-power width, > 0
    double frontBackDb = 25; ///< Am: no direction loses more, > 0
    double sideLobeDb = 20;  ///< SLAv: the vertical cut alone loses no more, > 0
};

struct CutPoint {
    double angleDeg =
        0; ///< [0, 360). Horizontal: clockwise from boresight. Vertical: below the horizon in front
    double lossDb = 0; ///< below the maximum, >= 0
};
/// Two measured cuts, each ascending by angle, at least 4 points each.
struct CutTable {
    double gainDbi = 0;
    std::vector<CutPoint> horizontal, vertical;
};

/// Reads measured cuts from text: a section "horizontal" and a section "vertical", each with rows "angle,
/// value"; commas, semicolons or tabs between, a decimal comma when semicolons or tabs separate, lines that
/// start with # and blank lines ignored. A header row may name the second column "loss" (positive dB below
/// the maximum) or "gain" (dBi, or dB relative to the maximum); without one, a section without a positive
/// value is taken as relative gain, any other as loss. A row "gain_dbi, 17.5" states the maximum gain;
/// without it the greatest value of a column "gain" is taken, if above 0. Angles -360 to 360, steps of at
/// most 30 deg all round (the vertical cut: from straight up over the front to straight down at least).
/// Refused by a sentence with the row's number.
Result<CutTable> readCutCsv(std::string_view text);

/// Between the file's form and the plan's, whose vertical cut counts elevation upwards. Points of a plan in
/// any order and with any angles; a plane without points loses nothing, of several points at one angle the
/// first holds.
CutTable cutTableOf(const AntennaCut& cut);
AntennaCut antennaCutOf(const CutTable& cuts, ItemId id, std::string name);

struct Beamwidths {
    double horizontalDeg = 0; ///< 360 when no direction loses 3 dB
    double verticalDeg = 0;   ///< 180 when no direction loses 3 dB
};

/// An antenna's gain in every direction. Immutable, cheap to copy around by reference, safe to share between
/// threads.
///
/// Away from the two principal planes the losses of both cuts are added and the sum is bounded:
/// A = min(A_H + A_V, Am). That is the approximation of 3GPP TR 36.814, Table A.2.1.1-2; for measured cuts
/// Am is the greatest loss either cut shows. Tilts are positive downwards. Electrical tilt shifts the
/// vertical cut by the same angle at all azimuths; mechanical tilt turns the whole pattern about the
/// horizontal axis across boresight.
class Pattern {
public:
    explicit Pattern(const ParabolicCuts& cuts);
    /// The cuts must be as readCutCsv() or cutTableOf() give them. A tilt the measurement contains stays in
    /// it.
    explicit Pattern(const CutTable& cuts);

    /// Gain (dBi) towards a direction. Exact for both kinds of tilt within the sum above.
    /// @param azimuthOffBoresightDeg  clockwise, any angle. @param elevationDeg  above the horizon, -90
    /// to 90.
    [[nodiscard]] Db gain(double azimuthOffBoresightDeg, double elevationDeg, double mechanicalTiltDeg,
                          double electricalTiltDeg) const;

    [[nodiscard]] double maxGainDbi() const { return m_gainDbi; }
    [[nodiscard]] Beamwidths halfPowerBeamwidths() const;

    /// Tables for kernels: gain = maxGainDbi - min(H[i] + V[j], maxAttenuationCentiDb) / 100.
    /// Losses in 0.01 dB; H: index = azimuth off boresight in 0.1 deg, 3600 entries.
    [[nodiscard]] std::vector<std::int16_t> horizontalTable() const;
    /// V: index = (elevation + 90 deg) in 0.1 deg, 1801 entries, -90 to +90 deg, tilted down by tiltDeg.
    /// For a mechanically tilted antenna give effectiveTiltDeg() at the azimuth.
    [[nodiscard]] std::vector<std::int16_t> verticalTable(double tiltDeg) const;
    [[nodiscard]] int maxAttenuationCentiDb() const;

private:
    [[nodiscard]] double horizontalLoss(double azimuthDeg) const;
    [[nodiscard]] double verticalLoss(double belowBoresightDeg) const;

    double m_gainDbi = 0;
    double m_maxLossDb = 0;
    std::optional<ParabolicCuts> m_parabolic;
    std::vector<double> m_horizontal, m_vertical; ///< measured cuts, resampled to 0.1 deg, 3600 entries each
};

/// The tilt a kernel gives verticalTable() at an azimuth: electrical + mechanical * cos(azimuth off
/// boresight). Exact at boresight and behind; within 0.1 dB of the turned pattern for tilts up to 10 deg
/// inside the half-power beam of a sector of 65 or 70 deg, up to 10 deg off the horizon; it ignores that the
/// turned pattern also shifts in azimuth.
double effectiveTiltDeg(double azimuthOffBoresightDeg, double mechanicalTiltDeg, double electricalTiltDeg);

/// Angle below the horizon from an antenna to a point `dropM` lower at a ground distance (deg); negative when
/// it lies higher. distanceM > 0.
double depressionDeg(double distanceM, double dropM);
/// Ground distance where a ray tilted down from hM meets the height targetM (m); nothing when it never does.
std::optional<double> rayReachM(double hM, double targetM, double downDeg);

} // namespace fw
