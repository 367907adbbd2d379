// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>

#include <string>

namespace fw {

/// What lies beneath a plan on this user's map.
struct BasemapChoice {
    enum class Kind : int { none, file, address };
    Kind kind = Kind::none;
    QString file, layer; ///< as BasemapFile
    int epsg = 0;
    QString address; ///< as TileAddress
    int fromZoom = 0, toZoom = 19;
    QString attribution;
    bool on = true;
    int strength = kUsualStrength; ///< percent of the picture's colours, the rest being plain ground

    static constexpr int kUsualStrength = 60, kLeastStrength = 10;
    bool operator==(const BasemapChoice&) const = default;
};

/// Kept in the user's own settings under the plan's uid, never in the plan: a plan from somebody else brings
/// no address along. None for a plan without a uid, or where what is kept makes no sense.
BasemapChoice keptBasemap(const std::string& planUid);
void keepBasemap(const std::string& planUid, const BasemapChoice& choice);

} // namespace fw
