// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/tuples.h"

#include "review/geometry.h"

#include <algorithm>

namespace fw {

namespace {

std::vector<Subjects> singles(const std::vector<ItemId>& ids) {
    std::vector<Subjects> out;
    out.reserve(ids.size());
    for (const ItemId id : ids) out.push_back({id});
    return out;
}

std::vector<ItemId> idsOf(std::span<const SmallCellPart> cells) {
    std::vector<ItemId> out;
    out.reserve(cells.size());
    for (const SmallCellPart& s : cells) out.push_back(s.id);
    return out;
}

// What no azimuth changes: whether two cells can be a pair at all.
bool canPair(const SmallCellPart& a, const SmallCellPart& b) {
    return a.chosen && b.chosen && a.mount != b.mount && sameCarrier(a.carrier, b.carrier);
}

} // namespace

std::vector<Subjects> everySmall(const RuleView& view) { return singles(idsOf(view.study().smallCells())); }
std::vector<Subjects> touchedSmalls(const RuleView&, const ReviewChange& change) {
    return singles(change.smalls);
}
std::vector<Subjects> touchedOrRelieved(const RuleView& view, const ReviewChange& change) {
    std::vector<ItemId> ids = change.smalls;
    for (const ItemId id : change.relieved)
        if (view.study().smallCell(id)) ids.push_back(id);
    std::sort(ids.begin(), ids.end());
    ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
    return singles(ids);
}
std::vector<Subjects> everyRadio(const RuleView& view) { return singles(view.near().radios()); }
std::vector<Subjects> touchedRadios(const RuleView&, const ReviewChange& change) {
    return singles(change.radios);
}
std::vector<Subjects> everyMount(const RuleView& view) { return singles(view.near().mounts()); }
std::vector<Subjects> touchedMounts(const RuleView&, const ReviewChange& change) {
    return singles(change.mounts);
}

void forEachPair(const RuleView& view, const std::vector<ItemId>& smalls, double withinM,
                 const std::function<void(const SmallCellPart&, const SmallCellPart&)>& visit) {
    const auto cells = view.study().smallCells();
    std::vector<std::uint32_t> hits;
    for (const ItemId id : smalls) {
        const SmallCellPart* a = view.study().smallCell(id);
        const MountPart* m = a && a->chosen ? view.study().mount(a->mount) : nullptr;
        if (!m) continue;
        view.near().smallsNear(m->at, withinM, hits);
        for (const std::uint32_t h : hits)
            if (canPair(*a, cells[h])) visit(*a, cells[h]);
    }
}

std::vector<Subjects> pairsOf(const RuleView& view, const std::vector<ItemId>& smalls, double withinM) {
    std::vector<Subjects> out;
    forEachPair(view, smalls, withinM, [&](const SmallCellPart& a, const SmallCellPart& b) {
        out.push_back({std::min(a.id, b.id), std::max(a.id, b.id)});
    });
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
}

std::vector<Subjects> everyPair(const RuleView& view, double withinM) {
    return pairsOf(view, idsOf(view.study().smallCells()), withinM);
}

bool sameCarrier(const Carrier& a, const Carrier& b) {
    return a.technology == b.technology && a.channel == b.channel;
}

ItemId speakerOf(const RuleView& view, ItemId radio) {
    ItemId best;
    double lowest = 0;
    for (const ItemId id : view.near().smallsOfRadio(radio)) {
        const SmallCellPart* s = view.study().smallCell(id);
        if (!s || (best && s->frequency.v >= lowest)) continue;
        best = id;
        lowest = s->frequency.v;
    }
    return best;
}

std::optional<FacingPair> facingPair(const RuleView& view, const Subjects& pair, double marginDeg) {
    FacingPair f{view.cell(pair[0]), view.cell(pair[1]), {}, {}, 0, false, false};
    const MountPart* a = view.study().mount(f.a.mount);
    const MountPart* b = view.study().mount(f.b.mount);
    if (!a || !b || planeDistance(a->at, b->at) < kSamePlaceM) return std::nullopt;
    f.atA = a->at;
    f.atB = b->at;
    f.aSeesB = inBeam(f.a.azimuth, gridAzimuth(a->at, b->at), f.a.hBeamDeg / 2 + marginDeg);
    f.bSeesA = inBeam(f.b.azimuth, gridAzimuth(b->at, a->at), f.b.hBeamDeg / 2 + marginDeg);
    if (f.aSeesB || f.bSeesA) f.distanceM = view.study().frame().groundDistance(a->at, b->at);
    return f;
}

std::optional<Severity> gradeLower(Severity s) {
    if (s == Severity::block) return Severity::warn;
    if (s == Severity::warn) return Severity::note;
    return std::nullopt;
}

} // namespace fw
