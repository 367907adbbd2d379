// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/copied_text.h"

#include "catch.h"
#include "support/random_plan.h"

#include <algorithm>
#include <nlohmann/json.hpp>

using namespace fw;
using namespace fw::testing;

namespace {

Plan townWithOneCut() {
    Random random(5);
    Plan plan = randomPlan(random);
    Radio radio = *plan.radios.begin();
    AntennaCut cut{plan.nextId(), "Panel", 8, {-180, 0, 180}, {20, 0, 20}, {-90, 0, 90}, {20, 0, 20}};
    plan.lastId = cut.id;
    plan.antennaCuts.put(cut);
    radio.antenna = cut.id;
    plan.radios.put(radio);
    return plan;
}

std::vector<ItemId> allMounts(const Plan& plan) {
    std::vector<ItemId> ids;
    for (const Mount& m : plan.mounts) ids.push_back(m.id);
    for (const CongestionArea& a : plan.congestionAreas) ids.push_back(a.id);
    return ids;
}

std::string replaced(std::string text, const std::string& what, const std::string& by) {
    const auto at = text.find(what);
    REQUIRE(at != std::string::npos);
    return text.replace(at, what.size(), by);
}

std::string refusal(const std::string& text) {
    const auto read = copiedFromJson(text);
    REQUIRE_FALSE(read.ok());
    return read.error().sentence();
}
bool names(const std::string& sentence, const char* part) { return sentence.find(part) != std::string::npos; }

} // namespace

TEST_CASE("what is copied as JSON comes back to the last bit") {
    const Plan plan = townWithOneCut();
    const CopiedItems copied = copyItems(plan, allMounts(plan));
    const auto back = copiedFromJson(copiedJson(copied));
    INFO((back ? std::string() : back.error().sentence()));
    REQUIRE(back);
    CHECK(back->epsg == copied.epsg);
    CHECK(back->items == copied.items);
    CHECK(back->named == copied.named);
    CHECK(copiedJson(*back) == copiedJson(copied));
}

TEST_CASE("foreign text is refused by a sentence that says what to copy instead") {
    for (const char* text : {"", "hello", "{}", "[1,2]", "{\"type\":\"FeatureCollection\",\"features\":[]}",
                             "{\"schema\":7}", "{\"schema\":\"another\",\"version\":1}", "\xff\xfe"})
        CHECK(names(refusal(text), "holds nothing that a plan can take"));
    CHECK(names(refusal(std::string(3000000, '[')), "holds nothing"));
}

TEST_CASE("broken copies are refused, newer ones by both versions") {
    const Plan plan = townWithOneCut();
    const std::string good = copiedJson(copyItems(plan, {plan.radios.begin()->id}));
    CHECK(names(refusal(replaced(good, "\"version\": 1", "\"version\": 9")), "version 9"));
    CHECK(names(refusal(replaced(good, "\"version\": 1", "\"version\": 9")), "up to 1"));
    CHECK(names(refusal(replaced(good, "\"version\": 1", "\"version\": -1")), "no version"));
    CHECK(names(refusal(replaced(good, "\"epsg\"", "\"epgs\"")), "missing"));
    CHECK(names(refusal(replaced(good, "\"height_m\"", "\"hight_m\"")), "cannot be read"));
    CHECK(names(refusal(replaced(good, "\"tilt_deg\": ", "\"tilt_deg\": 99")), "tilt"));
    CHECK(names(refusal(good.substr(0, good.size() / 2)), "holds nothing"));
    const auto doubled = [&] {
        nlohmann::ordered_json all = nlohmann::ordered_json::parse(good);
        all["items"].push_back(all["items"][0]);
        return all.dump();
    };
    CHECK(names(refusal(doubled()), "twice"));
    const auto orphan = [&] {
        nlohmann::ordered_json all = nlohmann::ordered_json::parse(good);
        all["items"].erase(0);
        return all.dump();
    };
    CHECK(names(refusal(orphan()), "not complete"));
    const std::string deep = replaced(
        good, "\"named\": [", "\"named\": [" + std::string(100000, '[') + std::string(100000, ']') + ",");
    CHECK_FALSE(copiedFromJson(deep).ok());
}

TEST_CASE("cut anywhere or with one byte changed, a copy is read or refused and never pastes nonsense") {
    const Plan plan = townWithOneCut();
    const std::string good = copiedJson(copyItems(plan, {plan.radios.begin()->id}));
    Random random(77);
    int refusedCount = 0;
    for (int n = 0; n < 3000; ++n) {
        std::string text = good;
        text[random.below(static_cast<std::uint32_t>(text.size()))] = static_cast<char>(random.below(256));
        const auto read = copiedFromJson(text);
        if (!read) {
            ++refusedCount;
            continue;
        }
        Plan next = plan;
        const auto pasted = pasteItems(plan, *read, {5, 5});
        if (pasted) CHECK(apply(next, pasted->edit).ok());
    }
    CHECK(refusedCount > 500);
}

TEST_CASE("CSV has a line for each thing and a place for each line") {
    const Plan plan = townWithOneCut();
    const auto frame = Frame::fromEpsg(plan.settings->epsg);
    REQUIRE(frame);
    const CopiedItems copied = copyItems(plan, allMounts(plan));
    const std::string csv = copiedCsv(copied, *frame);
    const auto lines = std::count(csv.begin(), csv.end(), '\n');
    const auto works = std::count_if(copied.items.begin(), copied.items.end(),
                                     [](const Item& i) { return std::holds_alternative<SiteWorks>(i); });
    CHECK(lines == static_cast<std::ptrdiff_t>(copied.items.size()) - works + 1);
    CHECK(csv.rfind("Item,Name,On,Latitude (deg)", 0) == 0);
    const auto& columns = csv.substr(0, csv.find("\r\n"));
    const auto commas = std::count(columns.begin(), columns.end(), ',');
    const std::string radioLine = csv.substr(csv.find("\r\nradio,") + 2);
    CHECK(std::count(radioLine.begin(), radioLine.begin() + radioLine.find('\r'), ',') == commas);
    CHECK(copiedCsv({}, *frame).empty());
}

TEST_CASE("GeoJSON puts longitude first and closes the rings of areas") {
    Plan plan = townWithOneCut();
    const auto frame = Frame::fromEpsg(plan.settings->epsg);
    const Mount mount = *plan.mounts.begin();
    auto drawn = drawArea(plan, {mount.at, mount.at + PlanePoint{50, 0}, mount.at + PlanePoint{0, 50}});
    REQUIRE(drawn);
    REQUIRE(apply(plan, drawn->edit));
    const std::string text = copiedGeoJson(copyItems(plan, {mount.id, drawn->area}), *frame);
    const auto all = nlohmann::json::parse(text);
    CHECK(all["type"] == "FeatureCollection");
    bool point = false, area = false;
    for (const auto& f : all["features"]) {
        if (f["properties"]["item"] == "mount") {
            const auto geo = frame->toGeo(mount.at);
            CHECK(f["geometry"]["coordinates"][0].get<double>() == Approx(geo->lonDeg).margin(1e-7));
            CHECK(f["geometry"]["coordinates"][1].get<double>() == Approx(geo->latDeg).margin(1e-7));
            CHECK(f["properties"]["height_m"].is_number());
            point = true;
        }
        if (f["properties"]["item"] == "congestion area") {
            const auto& ring = f["geometry"]["coordinates"][0];
            CHECK(ring.size() == 4);
            CHECK(ring.front() == ring.back());
            area = true;
        }
    }
    CHECK(point);
    CHECK(area);
}
