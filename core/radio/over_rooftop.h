// SPDX-License-Identifier: GPL-3.0-or-later
// Propagation over rows of roofs down into a street, when no surface is at hand.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

/// The town as rows of equal buildings across the path.
struct RoofRows {
    double roofM = 0;           ///< roofs above the ground (m), above the terminal
    double streetWidthM = 20;   ///< of the terminal's street (m), > 0
    double spacingM = 50;       ///< from row to row (m), > 0
    double lengthM = 80;        ///< of the path that has rows under it (m), > 0
    double orientationDeg = 45; ///< of the street against the path, 0 to 90 deg
    bool metropolitan = true;   ///< else a medium-sized town or suburb; matters up to 2 GHz
};

/// What the loss over the rows is made of.
struct RowTerms {
    bool many = false; ///< enough rows for the settled law, whose terms are the next four; else the field
    Db height;         ///< L_bsh
    double ka = 0;     ///< (dB)
    double kd = 0;     ///< dB a decade of kilometres
    double kf = 0;     ///< dB a decade of megahertz
    double field = 0;  ///< Q_M, of free space
};

struct OverRooftop {
    Db freeSpace;    ///< with the printed constant 32.4
    Db roofToStreet; ///< from the last roof down to the terminal
    Db rows;         ///< over the rows before it
    Db total;        ///< never below free space
    Db orientation;  ///< L_ori, inside roofToStreet
    RowTerms terms;
    double settledM = 0; ///< d_s, length of rows from which their number no longer matters
};

/// Basic transmission loss without sight from a station about or above the roofs to a terminal in a street.
/// Street clutter is inside: add none. The two laws for the rows meet where lengthM equals settledM, and the
/// loss steps there, as it does at a station of roof height +- 1 m, at 2 GHz and, by 0.1 dB, at 35 deg;
/// within each law it rises with distance. Below the roofs and above 2 GHz the constant 73 is from memory.
/// @param distanceM  in space (m), > 0. @param stationM,terminalM  above the ground (m); terminal below roof.
/// Source: Rec. ITU-R P.1411, 4.2.2.1, the two laws without the transition later editions lay between them.
OverRooftop overRooftopLoss(const RoofRows& town, double distanceM, double stationM, double terminalM,
                            Hertz f);

/// Against the range as quoted by others: 0.8 to 26 GHz (suburban from 2 GHz), 20 m to 5 km, station 4 to
/// 55 m, terminal 1 to 3 m.
struct OverRooftopRange {
    Range distance = Range::inside, frequency = Range::inside;
    Range station = Range::inside, terminal = Range::inside;
    [[nodiscard]] bool inside() const {
        return distance == Range::inside && frequency == Range::inside && station == Range::inside &&
               terminal == Range::inside;
    }
};
OverRooftopRange overRooftopRange(double distanceM, double stationM, double terminalM, Hertz f);

} // namespace fw
