// SPDX-License-Identifier: GPL-3.0-or-later
// What a check looks at beyond what opening needs: shapes that are odd, geometry marked with another system.
#pragma once

#include "geo/shape.h"
#include "store/plan_fault.h"

#include <string_view>

namespace fw {

class CloserLook {
public:
    explicit CloserLook(FaultSink& sink) : m_sink(sink) {}

    /// The fault names the place; the rest is filled in. Outlines that touch or cross themselves, corners
    /// twice on one place, areas of less than a square decimetre.
    Status polygon(const PlanFault& where, const Polygon& p);
    /// `wanted` is what the plan's geometry is marked with.
    Status system(const PlanFault& where, std::string_view geometry, std::int32_t wanted);

private:
    Status warn(PlanFault where, const char* what, Mend mend = Mend::byHand);
    Status outline(const PlanFault& where, const Ring& ring);

    FaultSink& m_sink;
    double m_pairsLeft = 4e8; ///< of sides that are held against each other; some seconds of work
    bool m_saidSo = false;
};

} // namespace fw
