// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/edit_makers.h"

#include "catch.h"
#include "support/random_plan.h"

#include <algorithm>
#include <cmath>
#include <set>

using namespace fw;
using namespace fw::testing;

namespace {

Plan town() {
    Random random(7);
    return randomPlan(random);
}

// Applies an edit, checks that its inverse gives the plan back, and returns the plan after it.
Plan after(const Plan& plan, const Edit& edit) {
    Plan next = plan;
    const auto inverse = apply(next, edit);
    INFO(edit.text << ": " << (inverse ? std::string() : inverse.error().sentence()));
    REQUIRE(inverse);
    Plan back = next;
    REQUIRE(apply(back, *inverse));
    CHECK(back == plan);
    return next;
}

template <class T>
T made(Result<T> result) {
    INFO((result ? std::string() : result.error().sentence()));
    REQUIRE(result);
    return std::move(*result);
}

template <class T>
std::string sentence(const Result<T>& result) {
    REQUIRE_FALSE(result.ok());
    return result.error().sentence();
}

const Mount& someMount(const Plan& plan) { return *plan.mounts.begin(); }
const Radio& someRadio(const Plan& plan) { return *plan.radios.begin(); }

ItemId areaIn(Plan& plan, const Ring& ring) {
    const AreaEdit drawn = made(drawArea(plan, ring));
    plan = after(plan, drawn.edit);
    return drawn.area;
}

const Ring kSquare{{0, 0}, {10, 0}, {10, 10}, {0, 10}};

} // namespace

TEST_CASE("moving takes mounts and areas along and leaves what has no place of its own") {
    Plan plan = town();
    const ItemId area = areaIn(plan, kSquare);
    const Mount before = someMount(plan);
    const ItemId sector = plan.sectors.begin()->id;
    const Edit edit = made(moveItems(plan, {before.id, area, sector}, {3, -4}));
    CHECK(edit.text == "Move 2 items");
    const Plan now = after(plan, edit);
    CHECK(now.mounts.find(before.id)->at == before.at + PlanePoint{3, -4});
    CHECK(now.congestionAreas.find(area)->area.outer.front() == PlanePoint{3, -4});
    CHECK(*now.sectors.find(sector) == *plan.sectors.find(sector));
}

TEST_CASE("a radio or small cell chosen beside its mount moves that mount once") {
    const Plan plan = town();
    const Radio& radio = someRadio(plan);
    const Edit edit = made(moveItems(plan, {radio.id, radio.mount}, {1, 0}));
    REQUIRE(edit.changes.size() == 1);
    CHECK(edit.text == "Move " + plan.mounts.find(radio.mount)->name);
    CHECK(after(plan, edit).mounts.find(radio.mount)->at.x == plan.mounts.find(radio.mount)->at.x + 1);
}

TEST_CASE("steps of one nudge merge, steps of different items do not") {
    Plan plan = town();
    const ItemId a = someMount(plan).id, b = std::next(plan.mounts.begin())->id;
    const Edit first = made(moveItems(plan, {a, b}, {1, 0}));
    CHECK(first.text == "Move 2 mounts");
    plan = after(plan, first);
    CHECK(merged(first, made(moveItems(plan, {b, a}, {0, 1}))));
    CHECK_FALSE(merged(first, made(moveItems(plan, {a}, {0, 1}))));
    const ItemId r = someRadio(plan).id;
    const Edit turn = made(turnRadios(plan, {r}, 1));
    CHECK(merged(turn, made(turnRadios(after(plan, turn), {r}, 10))));
}

TEST_CASE("turning goes on across north and says the new azimuth in the text") {
    Plan plan = town();
    Radio radio = someRadio(plan);
    radio.azimuth = {359};
    radio.name = "R-2";
    plan.radios.put(radio);
    CHECK(after(plan, made(turnRadios(plan, {radio.id}, 1))).radios.find(radio.id)->azimuth.deg == 0);
    CHECK(after(plan, made(turnRadios(plan, {radio.id}, -359.5))).radios.find(radio.id)->azimuth.deg ==
          359.5);
    CHECK(made(turnRadio(plan, radio.id, {214})).text == "Turn R-2 to 214°");
    CHECK(made(turnRadio(plan, radio.id, {213.26})).text == "Turn R-2 to 213.3°");
    CHECK(made(turnRadio(plan, radio.id, {359.99})).text == "Turn R-2 to 0°");
}

TEST_CASE("removal of a mount together with its own radio takes nothing twice") {
    const Plan plan = town();
    const Radio radio = someRadio(plan);
    const Edit edit = made(removeItems(plan, {radio.mount, radio.id}));
    CHECK(edit.text == "Remove 2 items");
    const Plan now = after(plan, edit);
    CHECK_FALSE(now.has(radio.mount));
    CHECK_FALSE(now.has(radio.id));
    for (const SmallCell& s : now.smallCells) CHECK(s.radio != radio.id);
}

TEST_CASE("removal of all variants leaves none in work") {
    Plan plan = town();
    Variant second{plan.nextId(), "Second"};
    plan = after(plan, {"Add", {Put{second}}});
    std::vector<ItemId> all;
    for (const Variant& v : plan.variants) all.push_back(v.id);
    const Plan now = after(plan, made(removeItems(plan, all)));
    CHECK(now.variants.empty());
    CHECK_FALSE(now.settings->activeVariant);
    CHECK(now.smallCells.empty());
}

TEST_CASE("an edit of nothing is refused by a sentence") {
    const Plan plan = town();
    const ItemId site = plan.macroSites.begin()->id;
    CHECK(sentence(moveItems(plan, {site}, {1, 1})).find("can be moved") != std::string::npos);
    CHECK(sentence(turnRadio(plan, site, {1})).find("no radio") != std::string::npos);
    CHECK(sentence(turnRadios(plan, {site}, 1)).find("no radio") != std::string::npos);
    CHECK(sentence(removeItems(plan, {})).find("nothing to remove") != std::string::npos);
    CHECK(sentence(moveCorner(plan, site, 0, {})).find("no longer") != std::string::npos);
    CHECK(sentence(duplicateItems(plan, {site}, {})).find("Nothing of it") != std::string::npos);
}

TEST_CASE("outlines that cross, touch or shrink to a line are refused") {
    CHECK(outlineFault(kSquare).empty());
    CHECK(outlineFault({{0, 0}, {10, 10}, {10, 0}, {0, 10}}) == "The outline would cross itself.");
    CHECK(outlineFault({{0, 0}, {10, 0}, {5, 0}, {5, 5}}) == "The outline would cross itself.");
    CHECK(outlineFault({{0, 0}, {10, 0}, {10, 10}, {5, 0}}) == "The outline would cross itself.");
    CHECK_FALSE(outlineFault({{0, 0}, {10, 0}, {20, 0}}).empty());
    CHECK(outlineFault({{0, 0}, {10, 0}}) == "An area needs at least three corners.");
    CHECK(outlineFault({{0, 0}, {10, 0}, {10, 10}, {0, 0}}) == "Two corners of the area lie on one place.");
}

TEST_CASE("corners of an area move, come and go, and the outline stays sound") {
    Plan plan = town();
    Ring clockwise(kSquare.rbegin(), kSquare.rend());
    const ItemId area = areaIn(plan, clockwise);
    const auto ring = [&](const Plan& p) { return p.congestionAreas.find(area)->area.outer; };
    CHECK(signedArea(ring(plan)) == 100);
    const Plan more = after(plan, made(insertCorner(plan, area, 0, {5, -2})));
    CHECK(ring(more).size() == 5);
    CHECK(after(more, made(deleteCorner(more, area, 1))) == plan);
    CHECK(signedArea(ring(after(plan, made(moveCorner(plan, area, 2, {20, 20}))))) > 100);
    CHECK(sentence(moveCorner(plan, area, 2, {-5, 5})).find("cross") != std::string::npos);
    CHECK(sentence(moveCorner(plan, area, 4, {})).find("no such corner") != std::string::npos);
    const Plan three = after(plan, made(deleteCorner(plan, area, 3)));
    CHECK(sentence(deleteCorner(three, area, 0)).find("three corners") != std::string::npos);
}

TEST_CASE("new areas count their names on") {
    Plan plan = town();
    const std::string first = plan.label(areaIn(plan, kSquare));
    const std::string second = plan.label(areaIn(plan, kSquare));
    CHECK(first != second);
    CHECK(second.rfind("Area ", 0) == 0);
}

TEST_CASE("a placed small cell stands in the active variant with free names and a free PCI") {
    Plan plan = town();
    NewSmallCell wanted;
    wanted.at = {100, 200};
    wanted.kind = MountKind::wall;
    wanted.faces = TrueAzimuth{350};
    wanted.carrier.channel = 1300;
    std::set<std::string> names;
    for (const Mount& m : plan.mounts) names.insert(m.name);
    std::set<std::int32_t> pcis;
    for (const SmallCell& s : plan.smallCells) pcis.insert(s.pci);
    for (const Cell& c : plan.cells) pcis.insert(c.pci);
    for (int k = 0; k < 3; ++k) {
        const Placed placed = made(placeSmallCell(plan, wanted));
        plan = after(plan, placed.edit);
        const Mount* m = plan.mounts.find(placed.mount);
        const SmallCell* s = plan.smallCells.find(placed.smallCell);
        CHECK(names.insert(m->name).second);
        CHECK(pcis.insert(s->pci).second);
        CHECK(placed.edit.text == "Place " + m->name);
        CHECK(m->height.m == 7);
        CHECK(plan.radios.find(placed.radio)->azimuth.deg == 350);
        CHECK(s->variant == plan.settings->activeVariant);
        CHECK(s->name == m->name + "a-L1300");
    }
    wanted.faces.reset();
    CHECK(sentence(placeSmallCell(plan, wanted)).find("needs a wall") != std::string::npos);
    wanted.kind = MountKind::pole;
    wanted.azimuth = TrueAzimuth{90};
    CHECK(made(placeSmallCell(plan, wanted)).edit.changes.size() == 3);
}

TEST_CASE("a plan without a variant gets one with its first small cell") {
    Plan plan;
    const Placed placed = made(placeSmallCell(plan, {}));
    const Plan now = after(plan, placed.edit);
    REQUIRE(now.variants.size() == 1);
    CHECK(now.settings->activeVariant == now.variants.begin()->id);
    CHECK(now.mounts.find(placed.mount)->name == "S-1");
    Plan unchosen = plan;
    unchosen.variants.put({ItemId{1}, "V"});
    unchosen.lastId = {1};
    CHECK(sentence(placeSmallCell(unchosen, {})).find("No variant is in work") != std::string::npos);
}

TEST_CASE("names count on from the highest of their kind") {
    Plan plan;
    for (const char* name : {"L-360", "L-792", "Clock tower"}) {
        Mount m;
        m.id = plan.lastId = plan.nextId();
        m.name = name;
        plan.mounts.put(m);
    }
    CHECK(nextFreeName(plan, "L-360") == "L-793");
    CHECK(nextFreeName(plan, "Clock tower") == "Clock tower 2");
    CHECK(nextFreeName(plan, "K-7") == "K-8");
    CHECK(nextFreeName(plan, "9999999999999999999999").size() > 20); // longer than any number type
}

TEST_CASE("a duplicate brings radios, small cells and works under new names, and nothing else changes") {
    Plan plan = town();
    const Radio radio = someRadio(plan);
    SiteWorks works{plan.nextId(), radio.mount, "cabinet", "", "", "", ""};
    plan = after(plan, {"Add", {Put{works}}});
    const Pasted copy = made(duplicateItems(plan, {radio.mount}, {10, -10}));
    CHECK(copy.edit.text == "Duplicate " + plan.label(radio.mount));
    const Plan now = after(plan, copy.edit);
    REQUIRE(copy.items.size() == 1);
    const Mount* m = now.mounts.find(copy.items.front());
    CHECK(m->at == plan.mounts.find(radio.mount)->at + PlanePoint{10, -10});
    const auto count = [](const auto& table, auto which) {
        int n = 0;
        for (const auto& item : table) n += which(item);
        return n;
    };
    const auto radiosOf = [&](ItemId id) {
        return count(now.radios, [&](const Radio& r) { return r.mount == id; });
    };
    const auto cellsOf = [&](ItemId id) {
        return count(now.smallCells,
                     [&](const SmallCell& s) { return now.radios.find(s.radio)->mount == id; });
    };
    CHECK(radiosOf(m->id) == radiosOf(radio.mount));
    CHECK(cellsOf(m->id) == cellsOf(radio.mount));
    const auto worksOf = [&](ItemId id) {
        return count(now.siteWorks, [&](const SiteWorks& w) { return w.mount == id; });
    };
    CHECK(worksOf(radio.mount) > 0);
    CHECK(worksOf(m->id) == worksOf(radio.mount));
    std::set<std::string> names;
    for (const Radio& r : plan.radios) names.insert(r.name);
    for (const SmallCell& c : plan.smallCells) names.insert(c.name);
    for (const Mount& x : plan.mounts) names.insert(x.name);
    for (const Change& change : copy.edit.changes) {
        const Item& item = std::get<Put>(change).item;
        if (!std::holds_alternative<SiteWorks>(item)) CHECK(names.insert(labelOf(item)).second);
    }
}

TEST_CASE("pasting into another plan finds the variant by name and brings antennas along") {
    Plan from = town();
    Radio radio = someRadio(from);
    AntennaCut cut{from.nextId(), "Panel", 8, {-180, 0, 180}, {20, 0, 20}, {-90, 0, 90}, {20, 0, 20}};
    radio.antenna = cut.id;
    from = after(from, {"Fit antenna", {Put{cut}, Put{radio}}});
    const CopiedItems copied = copyItems(from, {radio.id});
    CHECK(copied.epsg == from.settings->epsg);

    Plan to;
    const Pasted first = made(pasteItems(to, copied, PlanePoint{} - middleOf(copied)));
    to = after(to, first.edit);
    REQUIRE(to.antennaCuts.size() == 1);
    CHECK(to.mounts.find(first.items.front())->at == PlanePoint{0, 0});
    CHECK(first.edit.text == "Paste " + to.label(first.items.front()));
    REQUIRE_FALSE(to.smallCells.empty());
    for (const SmallCell& s : to.smallCells) CHECK(s.variant == to.settings->activeVariant);
    for (const Radio& r : to.radios)
        if (r.antenna) CHECK(r.antenna == to.antennaCuts.begin()->id);
    to = after(to, made(pasteItems(to, copied, {})).edit);
    CHECK(to.antennaCuts.size() == 1); // the same by content
    CHECK(to.variants.size() == 1);
}

TEST_CASE("a field is set by name, in the type it has") {
    const Plan plan = town();
    const ItemId mount = someMount(plan).id, radio = someRadio(plan).id;
    const auto set = [&](ItemId id, const char* field, FieldValue value) {
        return after(plan, made(fieldEdit(plan, id, field, value)));
    };
    CHECK(set(mount, "height_m", 7.5).mounts.find(mount)->height.m == 7.5);
    CHECK(set(mount, "height_m", std::int32_t{8}).mounts.find(mount)->height.m == 8);
    CHECK(set(mount, "kind", std::string("roof")).mounts.find(mount)->kind == MountKind::roof);
    CHECK(set(mount, "faces_deg", -10.0).mounts.find(mount)->faces->deg == 350);
    CHECK_FALSE(set(mount, "faces_deg", {}).mounts.find(mount)->faces);
    CHECK(set(mount, "fibre_m", 12.0).mounts.find(mount)->fibreM == 12.0);
    CHECK(set(mount, "tilts_deg", std::vector<double>{0, 5}).mounts.find(mount)->tiltsDeg.size() == 2);
    CHECK(set(mount, "geom", PlanePoint{5, 6}).mounts.find(mount)->at == PlanePoint{5, 6});
    CHECK(set(radio, "azimuth_deg", 361.0).radios.find(radio)->azimuth.deg == 1);
    CHECK(made(fieldEdit(plan, mount, "height_m", 7.25)).text == "Change height of " + plan.label(mount));
    CHECK(made(fieldEdit(plan, mount, "height_m", someMount(plan).height.m)).changes.empty());
}

TEST_CASE("a field that is not there or a value that does not fit is refused with item and field") {
    const Plan plan = town();
    const ItemId mount = someMount(plan).id;
    const std::string label = plan.label(mount);
    CHECK(sentence(fieldEdit(plan, mount, "weight", 1.0)) ==
          label + ": There is no field \"weight\" to set.");
    CHECK(sentence(fieldEdit(plan, mount, "height_m", std::string("tall"))).find("height") !=
          std::string::npos);
    CHECK(sentence(fieldEdit(plan, mount, "height_m", {})).find(label) == 0);
    CHECK_FALSE(fieldEdit(plan, mount, "kind", std::string("tree")).ok());
    CHECK_FALSE(fieldEdit(plan, plan.smallCells.begin()->id, "pci", 1.5).ok());
    CHECK_FALSE(fieldEdit(plan, {}, "name", std::string("x")).ok());
    // Ranges are apply()'s matter.
    Plan next = plan;
    CHECK_FALSE(apply(next, made(fieldEdit(plan, mount, "height_m", 900.0))).ok());
}

TEST_CASE("what is set is what is read, and every field has words") {
    const Plan plan = town();
    const ItemId mount = someMount(plan).id;
    const Plan now = after(plan, made(fieldEdit(plan, mount, "owner", std::string("Town"))));
    CHECK(fieldValue(now, mount, "owner") == FieldValue{std::string("Town")});
    CHECK(fieldValue(now, mount, "kind").has_value());
    CHECK_FALSE(fieldValue(now, mount, "nothing").has_value());
    for (const char* field :
         {"height_m", "azimuth_deg", "tilt_deg", "channel", "pci", "target_use", "demand_factor"})
        CHECK(std::string(fieldWords(field).words) != field);
    CHECK(std::string(fieldWords("height_m").unit) == "m");
    CHECK(made(settingEdit(plan, "target_use", 0.5)).text == "Change target use of the plan");
    CHECK(after(plan, made(settingEdit(plan, "target_use", 0.5))).settings->model.targetUse == 0.5);
}

TEST_CASE("a consent is set at the mounts chosen, once each, and where it is another already") {
    Random random(31);
    Plan plan = randomPlan(random);
    std::vector<ItemId> chosen;
    for (const Mount& m : plan.mounts) chosen.push_back(m.id);
    for (const Radio& r : plan.radios) chosen.push_back(r.id);
    chosen.push_back(plan.macroSites.begin()->id);
    const auto differ = std::count_if(plan.mounts.begin(), plan.mounts.end(),
                                      [](const Mount& m) { return m.consent != ConsentState::given; });
    REQUIRE(differ > 1);
    const Plan before = plan;
    const Edit edit = consentEdit(plan, chosen, ConsentState::given);
    CHECK(edit.changes.size() == static_cast<std::size_t>(differ));
    CHECK(edit.text == "Consent of " + std::to_string(differ) + " mounts: given");
    const auto back = apply(plan, edit);
    REQUIRE(back);
    for (const Mount& m : plan.mounts) CHECK(m.consent == ConsentState::given);
    CHECK(consentEdit(plan, chosen, ConsentState::given).changes.empty());
    const Edit one = consentEdit(plan, {plan.smallCells.begin()->id}, ConsentState::refused);
    const ItemId mount = plan.radios.find(plan.smallCells.begin()->radio)->mount;
    CHECK(one.text == "Consent of " + plan.label(mount) + ": refused");
    REQUIRE(apply(plan, *back));
    CHECK(plan == before);
}
