// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/edit_makers.h"

#include "base/text.h"
#include "plan/edit_words.h"
#include "plan/enum_names.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>

namespace fw {

namespace {

// The mount that a radio or small cell stands on; other ids as they are.
ItemId standsFor(const Plan& plan, ItemId id) {
    if (const SmallCell* s = plan.smallCells.find(id)) id = s->radio;
    if (const Radio* r = plan.radios.find(id)) id = r->mount;
    return id;
}

std::vector<ItemId> eachOnce(const Plan& plan, const std::vector<ItemId>& items) {
    std::set<ItemId> ids;
    for (const ItemId id : items) ids.insert(standsFor(plan, id));
    return {ids.begin(), ids.end()};
}

void shift(Ring& ring, PlanePoint by) {
    for (PlanePoint& p : ring) p = p + by;
}

std::optional<Item> moved(const Plan& plan, ItemId id, PlanePoint by) {
    const auto point = [&](auto item) {
        item.at = item.at + by;
        return Item{std::move(item)};
    };
    if (const Mount* m = plan.mounts.find(id)) return point(*m);
    if (const FibrePoint* p = plan.fibrePoints.find(id)) return point(*p);
    if (const PowerTap* p = plan.powerTaps.find(id)) return point(*p);
    if (const CongestionArea* found = plan.congestionAreas.find(id)) {
        CongestionArea a = *found;
        shift(a.area.outer, by);
        for (Ring& hole : a.area.holes) shift(hole, by);
        return Item{std::move(a)};
    }
    return std::nullopt;
}

} // namespace

std::string nameAll(const Plan& plan, const std::vector<ItemId>& ids) {
    if (ids.size() == 1) return plan.label(ids.front());
    std::optional<Kind> kind = plan.kindOf(ids.front());
    for (const ItemId id : ids)
        if (plan.kindOf(id) != kind) kind.reset();
    if (!kind) return fmt::format("{} items", ids.size());
    if (*kind == Kind::siteWorks) return fmt::format("works of {} sites", ids.size());
    return fmt::format("{} {}s", ids.size(), nameOf(*kind));
}

Result<Edit> moveItems(const Plan& plan, const std::vector<ItemId>& items, PlanePoint by) {
    Edit edit;
    std::vector<ItemId> taken;
    for (const ItemId id : eachOnce(plan, items))
        if (auto item = moved(plan, id, by)) {
            taken.push_back(id);
            edit.changes.emplace_back(Put{std::move(*item)});
        }
    if (taken.empty())
        return badInput(CORE_TEXT("Nothing of the selection can be moved here. Mounts, congestion areas, "
                                  "fibre points and power taps move; give others new coordinates."));
    edit.text = fmt::format("Move {}", nameAll(plan, taken));
    return edit;
}

Result<Edit> turnRadio(const Plan& plan, ItemId radio, TrueAzimuth to) {
    const Radio* found = plan.radios.find(radio);
    if (!found) return badInput(CORE_TEXT("There is no radio to turn; choose one first."));
    Radio r = *found;
    r.azimuth = TrueAzimuth::of(to.deg);
    const double whole = std::round(r.azimuth.deg * 10) / 10;
    return Edit{fmt::format("Turn {} to {}°", plan.label(radio), whole >= 360 ? 0 : whole), {Put{r}}};
}

Result<Edit> turnRadios(const Plan& plan, const std::vector<ItemId>& radios, double byDeg) {
    Edit edit;
    std::vector<ItemId> taken;
    for (const ItemId id : std::set<ItemId>(radios.begin(), radios.end()))
        if (const Radio* found = plan.radios.find(id)) {
            Radio r = *found;
            r.azimuth = TrueAzimuth::of(r.azimuth.deg + byDeg);
            taken.push_back(id);
            edit.changes.emplace_back(Put{std::move(r)});
        }
    if (taken.empty()) return badInput(CORE_TEXT("There is no radio to turn; choose one first."));
    edit.text = fmt::format("Turn {}", nameAll(plan, taken));
    return edit;
}

Result<Edit> removeItems(const Plan& plan, const std::vector<ItemId>& items) {
    std::vector<ItemId> there;
    for (const ItemId id : std::set<ItemId>(items.begin(), items.end()))
        if (plan.has(id)) there.push_back(id);
    if (there.empty()) return badInput(CORE_TEXT("There is nothing to remove; choose something first."));
    Edit edit = removalOf(plan, there);
    if (there.size() > 1) edit.text = fmt::format("Remove {}", nameAll(plan, there));
    return edit;
}

// ---- congestion areas

namespace {

// Neighbouring sides share a corner; they must not fold back on one another either.
bool foldsBack(PlanePoint a, PlanePoint b, PlanePoint c) {
    return cross(b - a, c - b) == 0 && dot(b - a, c - b) < 0;
}

bool crossesItself(const Ring& ring) {
    const std::size_t n = ring.size();
    const auto corner = [&](std::size_t i) { return ring[i % n]; };
    for (std::size_t i = 0; i < n; ++i) {
        if (foldsBack(corner(i), corner(i + 1), corner(i + 2))) return true;
        for (std::size_t k = i + 2; k < n; ++k) {
            if (i == 0 && k + 1 == n) continue; // neighbours round the end
            if (segmentsMeet(corner(i), corner(i + 1), corner(k), corner(k + 1))) return true;
        }
    }
    return false;
}

} // namespace

std::string outlineFault(const Ring& ring) {
    std::set<PlanePoint> distinct(ring.begin(), ring.end());
    if (distinct.size() < 3) return CORE_TEXT("An area needs at least three corners.");
    if (distinct.size() < ring.size()) return CORE_TEXT("Two corners of the area lie on one place.");
    if (crossesItself(ring)) return CORE_TEXT("The outline would cross itself.");
    if (signedArea(ring) == 0) return CORE_TEXT("All corners lie on one line.");
    return {};
}

Result<AreaEdit> drawArea(const Plan& plan, Ring ring) {
    if (const std::string fault = outlineFault(ring); !fault.empty())
        return Error{ErrorCode::badInput, fault};
    if (signedArea(ring) < 0) std::reverse(ring.begin(), ring.end());
    CongestionArea area;
    area.id = plan.nextId();
    area.name = nextFreeName(plan, "Area 0");
    area.area.outer = std::move(ring);
    return AreaEdit{{fmt::format("Draw {}", area.name), {Put{area}}}, area.id};
}

namespace {

Result<Edit> reshaped(const Plan& plan, ItemId id, bool (*change)(Ring&, std::size_t, PlanePoint),
                      std::size_t at, PlanePoint place) {
    const CongestionArea* found = plan.congestionAreas.find(id);
    if (!found) return badInput(CORE_TEXT("The congestion area is no longer in the plan."));
    CongestionArea area = *found;
    if (!change(area.area.outer, at, place))
        return badInput(CORE_TEXT("The congestion area has no such corner."));
    if (const std::string fault = outlineFault(area.area.outer); !fault.empty())
        return Error{ErrorCode::badInput, fault, plan.label(id)};
    if (signedArea(area.area.outer) < 0) std::reverse(area.area.outer.begin(), area.area.outer.end());
    return Edit{fmt::format("Reshape {}", plan.label(id)), {Put{area}}};
}

std::ptrdiff_t offsetOf(std::size_t k) { return static_cast<std::ptrdiff_t>(k); }

} // namespace

Result<Edit> moveCorner(const Plan& plan, ItemId area, std::size_t corner, PlanePoint to) {
    return reshaped(
        plan, area,
        [](Ring& ring, std::size_t k, PlanePoint p) {
            if (k >= ring.size()) return false;
            ring[k] = p;
            return true;
        },
        corner, to);
}

Result<Edit> insertCorner(const Plan& plan, ItemId area, std::size_t side, PlanePoint at) {
    return reshaped(
        plan, area,
        [](Ring& ring, std::size_t k, PlanePoint p) {
            if (k >= ring.size()) return false;
            ring.insert(ring.begin() + offsetOf(k + 1), p);
            return true;
        },
        side, at);
}

Result<Edit> deleteCorner(const Plan& plan, ItemId area, std::size_t corner) {
    return reshaped(plan, area,
                    [](Ring& ring, std::size_t k, PlanePoint) {
                        if (k >= ring.size()) return false;
                        ring.erase(ring.begin() + offsetOf(k));
                        return true;
                    },
                    corner, {});
}

Edit consentEdit(const Plan& plan, const std::vector<ItemId>& mounts, ConsentState said) {
    std::set<ItemId> asked;
    for (const ItemId id : mounts) asked.insert(standsFor(plan, id));
    Edit edit;
    std::string of;
    for (const ItemId id : asked) {
        const Mount* m = plan.mounts.find(id);
        if (!m || m->consent == said) continue;
        Mount changed = *m;
        changed.consent = said;
        edit.changes.emplace_back(Put{std::move(changed)});
        of = plan.label(id);
    }
    if (edit.changes.size() > 1) of = fmt::format("{} mounts", edit.changes.size());
    edit.text = fmt::format("Consent of {}: {}", of, enumName(said));
    return edit;
}

} // namespace fw
