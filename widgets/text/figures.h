// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers as people read them: in their own locale, with the unit, rounded to what is known.
#pragma once

#include <QString>

#include <optional>
#include <string>

namespace fw {

/// Text of core as Qt takes it: translated where a translation is there, as it is where not.
QString coreText(const std::string& sentence);

/// "7.2 m"; `decimals` after the point in the user's locale. A unit of "" leaves it out.
QString figure(double value, const QString& unit, int decimals = 1);
/// "61 %" from a share 0..1.
QString percent(double share, int decimals = 0);
/// "214°" from whole or rounded degrees; -0 and 360 come out as 0.
QString bearing(double deg, int decimals = 0);
/// "+3.2 points" with its sign, always; a minus is U+2212.
QString signedFigure(double value, const QString& unit, int decimals = 1);
/// "412 m" below a kilometre, "1.24 km" above.
QString distance(double metres);

/// The least of 1, 2 or 5 times a power of ten that is not below `least` > 0: a step of an axis.
double roundStep(double least);

/// A dash for what is not known.
QString unknownFigure();

} // namespace fw
