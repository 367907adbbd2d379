// SPDX-License-Identifier: GPL-3.0-or-later
// The reference pattern of sectoral antennas for studies of interference between systems.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

/// What its side lobes stand for: peaks bound nearly all directions, averages suit sums of many stations.
enum class SideLobes { peak, average };

struct SectorPattern {
    double gainDbi = 18;    ///< greatest gain
    double phi3Deg = 65;    ///< half-power width in azimuth, 0 < phi3 <= 360
    double theta3Deg = 7.6; ///< half-power width in elevation, > 0; sectorBeamwidthDeg() when unknown
    SideLobes lobes = SideLobes::peak;
    double k = 0.7;  ///< kp or ka: level of the side lobes, >= 0; 0.7 is the source's own
    double kh = 0.7; ///< azimuth; 0.8 typical antennas, 0.7 improved ones
    double kv = 0.3; ///< elevation; 0.7 typical antennas, 0.3 improved ones
};

/// Gain (dBi) towards an azimuth off boresight, any angle, and an elevation of -90 to 90 deg; the same for
/// either sign of both. At the edge of its main lobe in elevation the printed form steps, by 0.13 dB (peak)
/// or 0.4 dB (average); elsewhere it is continuous. Stated, see sectorPatternRange(): 0.4 to 6 GHz. Source:
/// Rec. ITU-R F.1336-5, recommends 3.1.1 and 3.1.2, as quoted by others; the factor 10 in its constant C,
/// which some print without, follows from continuity.
Db sectorGain(const SectorPattern& pattern, double azimuthDeg, double elevationDeg);

/// The same for an antenna tilted down (deg): mechanical tilt turns the pattern, electrical tilt bends the
/// elevation so that straight up and down stay where they are. Mechanical tilt is applied first.
/// Source: Rec. ITU-R F.1336-5, recommends 3.4 and 3.5.
Db sectorGainTilted(const SectorPattern& pattern, double azimuthDeg, double elevationDeg,
                    double mechanicalTiltDeg, double electricalTiltDeg);

/// The same with what it is made of.
struct SectorGain {
    /// Of the cut in elevation, by |theta| / theta3.
    enum class Branch { mainLobe, nearLobes, farLobes, behind };
    Branch branch = Branch::mainLobe;
    Db floor;                                ///< G180
    double azimuthDeg = 0, elevationDeg = 0; ///< of the direction after both tilts
    Db horizontal;                           ///< G_hr(phi / phi3)
    Db behind;                               ///< G_hr(180 / phi3)
    double share = 0;                        ///< R, 1 ahead to 0 behind
    Db vertical;                             ///< G_vr(theta / theta3)
    Db gain;                                 ///< (dBi)
};
SectorGain sectorGainSteps(const SectorPattern& pattern, double azimuthDeg, double elevationDeg,
                           double mechanicalTiltDeg, double electricalTiltDeg);

/// Half-power width in elevation (deg) that belongs to a gain and a width in azimuth.
/// Source: Rec. ITU-R F.1336-5, recommends 3.3.
double sectorBeamwidthDeg(double gainDbi, double phi3Deg);

Range sectorPatternRange(Hertz f);

} // namespace fw
