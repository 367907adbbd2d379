// SPDX-License-Identifier: GPL-3.0-or-later
// Where a row lies: from its geometry, or from columns that give a place. For the preview alone.
#pragma once

#include "intake/place_reader.h"
#include "intake/preview.h"

#include <optional>

namespace fw {

class PlaceFinder {
public:
    /// @param rows  tells which fields are mapped
    /// Questions about the reference system go to `remarks`; then rows have no place.
    static Result<PlaceFinder> open(const Plan& plan, const Frame& frame, const RowReader& rows,
                                    const IntakeRequest& request, std::vector<IntakeRemark>& remarks);

    /// The row's shape in plane metres of the plan. The row is refused (shape empty) where it has none, has
    /// one that cannot be used, or lies more than kFarM from the plan. A row without a place is no fault
    /// where the kind's is optional.
    SourceShape placeOf(RowReader& row);
    [[nodiscard]] const std::string& system() const { return m_system; }
    /// What only shows over all rows: swapped axes, everything far off, one row far from the others.
    void finish(std::vector<IntakeRemark>& remarks) const;

    static constexpr double kFarM = 100e3; ///< [own]: no macro site serves a town from there

private:
    enum class From : std::uint8_t { nowhere, shape, degrees, plane, text };
    explicit PlaceFinder(const Frame& frame) : m_frame(frame) {}
    Status chooseSystem(const RowReader& rows, const IntakeRequest& request,
                        std::vector<IntakeRemark>& remarks);
    void askForSystem(std::vector<IntakeRemark>& remarks) const;
    SourceShape rawPlaceOf(RowReader& row);
    bool toPlan(SourceShape& shape) const;
    void lookWhere(RowReader& row, SourceShape& shape, PlanePoint first);

    Frame m_frame;
    From m_from = From::nowhere;
    int m_latitude = -1, m_longitude = -1, m_east = -1, m_north = -1, m_wkt = -1;
    bool m_needed = true, m_swap = false;
    std::optional<PlaceReader> m_reader;
    std::string m_system;
    std::optional<PlanePoint> m_anchor; ///< middle of the plan, once it has one
    std::size_t m_far = 0, m_nearIfSwapped = 0, m_looked = 0;
    double m_nearestFarM = 1e12;
    std::vector<PlanePoint> m_places; ///< of the rows, the first ten thousand
};

/// Middle of the work area, else of macro sites, buildings and mounts; nothing for a plan without places.
std::optional<PlanePoint> middleOf(const Plan& plan);

} // namespace fw
