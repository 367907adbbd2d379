// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "review/rule.h"

namespace fw {

Rule facesMacro();
Rule macroFacesCell();
Rule macroTooNear();
Rule mutualFacing();
Rule oneWayFacing();
Rule sameMountSpread();
Rule intoObstruction();
Rule roofEdge();
Rule heightWindow();
Rule tiltOutlook();
Rule sparseOutlook();
Rule outsideFringe();
Rule lineClearance();
Rule skyView();
Rule pciCollision();
Rule pciConfusion();
Rule pciModulo();
Rule rootSequenceOverlap();

} // namespace fw
