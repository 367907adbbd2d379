// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/place_of.h"

#include "document/selection.h"
#include "geo/shape.h"

namespace fw {

namespace {

PlanePoint middle(const Box& b) { return {(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2}; }

} // namespace

std::optional<PlanePoint> placeOf(const Plan& plan, ItemId item) {
    const Chain chain = chainOf(plan, item);
    if (const Mount* m = plan.mounts.find(chain.mount)) return m->at;
    if (const MacroSite* m = plan.macroSites.find(chain.site)) return m->at;
    if (const CongestionArea* a = plan.congestionAreas.find(item)) return middle(boundsOf(a->area));
    if (const OverheadLine* l = plan.overheadLines.find(item)) return middle(boundsOf(l->path));
    if (const Street* s = plan.streets.find(item)) return middle(boundsOf(s->path));
    if (const FibrePoint* f = plan.fibrePoints.find(item)) return f->at;
    if (const PowerTap* t = plan.powerTaps.find(item)) return t->at;
    if (const Tree* t = plan.scenery.trees.find(item)) return t->at;
    if (const SiteWorks* w = plan.siteWorks.find(item)) return placeOf(plan, w->mount);
    if (const auto b = plan.scenery.building(item)) return middle(boundsOf(b->footprint));
    return std::nullopt;
}

} // namespace fw
