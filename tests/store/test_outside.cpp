// SPDX-License-Identifier: GPL-3.0-or-later
// The saved plan as another program sees it: GDAL's GeoPackage driver is the judge.
#include "catch.h"
#include "gpkg/geometry.h"
#include "gpkg/sqlite.h"
#include "store/folder.h"
#include "store/plan_file.h"
#include "support/random_plan.h"

#include <gdal_priv.h>
#include <map>
#include <ogrsf_frmts.h>

using namespace fw;
using namespace fw::testing;

namespace {

struct Opened {
    explicit Opened(const std::filesystem::path& file, unsigned flags = 0) {
        GDALAllRegister();
        static const char* const drivers[] = {"GPKG", nullptr};
        data.reset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_VERBOSE_ERROR | flags, drivers));
    }
    std::unique_ptr<GDALDataset> data;
};

// Feature by uid.
std::unique_ptr<OGRFeature> featureOf(OGRLayer& layer, ItemId id) {
    layer.SetAttributeFilter(("uid = " + std::to_string(id.v)).c_str());
    layer.ResetReading();
    std::unique_ptr<OGRFeature> f(layer.GetNextFeature());
    layer.SetAttributeFilter(nullptr);
    return f;
}

PlanePoint pointOf(const OGRFeature& f) {
    const OGRGeometry* g = f.GetGeometryRef();
    REQUIRE(g);
    REQUIRE(wkbFlatten(g->getGeometryType()) == wkbPoint);
    return {g->toPoint()->getX(), g->toPoint()->getY()};
}

} // namespace

TEST_CASE("GDAL finds every layer with its count, system and geometry type") {
    const TestFolder folder;
    Random random(17);
    const Plan plan = randomPlan(random);
    REQUIRE(savePlan(plan, folder / "plan.gpkg").ok());
    const Opened opened(folder / "plan.gpkg");
    REQUIRE(opened.data);
    struct Expected {
        std::size_t count;
        OGRwkbGeometryType type;
    };
    const std::map<std::string, Expected> layers{
        {"macro_sites", {plan.macroSites.size(), wkbPoint}},
        {"sectors", {plan.sectors.size(), wkbPoint}},
        {"cells", {plan.cells.size(), wkbPoint}},
        {"congestion_areas", {plan.congestionAreas.size(), wkbPolygon}},
        {"mounts", {plan.mounts.size(), wkbPoint}},
        {"radios", {plan.radios.size(), wkbPoint}},
        {"small_cells", {plan.smallCells.size(), wkbPoint}},
        {"variants", {plan.variants.size(), wkbNone}},
        {"overhead_lines", {plan.overheadLines.size(), wkbLineString}},
        {"streets", {plan.streets.size(), wkbLineString}},
        {"fibre_points", {plan.fibrePoints.size(), wkbPoint}},
        {"power_taps", {plan.powerTaps.size(), wkbPoint}},
        {"site_works", {plan.siteWorks.size(), wkbPoint}},
        {"standing", {plan.waivers.size(), wkbNone}},
        {"antenna_cuts", {plan.antennaCuts.size(), wkbNone}},
        {"buildings", {plan.scenery.buildingCount(), wkbPolygon}},
        {"trees", {plan.scenery.trees.size(), wkbPoint}},
    };
    for (const auto& [name, expected] : layers) {
        INFO(name);
        OGRLayer* layer = opened.data->GetLayerByName(name.c_str());
        REQUIRE(layer);
        CHECK(static_cast<std::size_t>(layer->GetFeatureCount()) == expected.count);
        CHECK(layer->GetGeomType() == expected.type);
        if (expected.type == wkbNone) continue;
        const OGRSpatialReference* srs = layer->GetSpatialRef();
        REQUIRE(srs);
        OGRSpatialReference utm27;
        utm27.importFromEPSG(32627); // WGS 84 / UTM zone 27N in the EPSG registry
        CHECK(srs->IsSame(&utm27));
        CHECK(std::string(srs->GetAuthorityCode(nullptr)) == "32627");
    }
    OGRLayer* settings = opened.data->GetLayerByName("settings");
    REQUIRE(settings);
    CHECK(settings->GetFeatureCount() > 40);
}

TEST_CASE("GDAL reads places, shapes and values as the plan has them") {
    const TestFolder folder;
    Random random(18);
    Plan plan = randomPlan(random);
    const auto file = folder / "plan.gpkg";
    REQUIRE(savePlan(plan, file).ok());
    // Saved over once, with sites and mounts moved, so that places taken from others are seen to follow.
    for (int k = 0; k < 60; ++k)
        REQUIRE(apply(plan, randomEdit(plan, random, k % 2 ? EditKind::macro : EditKind::mount)));
    REQUIRE(savePlan(plan, file).ok());
    const Opened opened(file);
    REQUIRE(opened.data);
    const auto layer = [&](const char* name) -> OGRLayer& { return *opened.data->GetLayerByName(name); };
    for (const Sector& s : plan.sectors) {
        const auto f = featureOf(layer("sectors"), s.id);
        REQUIRE(f);
        CHECK(pointOf(*f) == plan.macroSites.find(s.site)->at);
        CHECK(f->GetFieldAsDouble("azimuth_deg") == s.azimuth.deg);
        CHECK(f->GetFieldAsDouble("height_m") == s.height.m);
        CHECK(std::string(f->GetFieldAsString("name")) == s.name);
    }
    for (const SmallCell& c : plan.smallCells) {
        const auto f = featureOf(layer("small_cells"), c.id);
        REQUIRE(f);
        CHECK(pointOf(*f) == plan.mounts.find(plan.radios.find(c.radio)->mount)->at);
        CHECK(f->GetFieldAsInteger("channel") == c.carrier.channel);
        CHECK((f->GetFieldAsInteger("chosen") == 1) == c.chosen);
    }
    OGRLayer& buildings = layer("buildings");
    int seen = 0;
    for (const auto& f : buildings) {
        const OGRGeometry* g = f->GetGeometryRef();
        REQUIRE(g);
        const auto b = plan.scenery.building({static_cast<std::uint32_t>(f->GetFieldAsInteger64("uid"))});
        REQUIRE(b);
        CHECK(g->IsValid()); // GEOS
        CHECK(f->GetFieldAsDouble("height_m") == b->heightM);
        // The area by GDAL's own sum over coordinates of 4e6 m: some 1e-3 m2 are its rounding.
        CHECK(g->toPolygon()->get_Area() == Approx(areaOf(b->footprint)).margin(0.01));
        CHECK(static_cast<std::size_t>(g->toPolygon()->getNumInteriorRings()) == b->footprint.holes.size());
        ++seen;
    }
    CHECK(seen == static_cast<int>(plan.scenery.buildingCount()));
    OGREnvelope box;
    REQUIRE(buildings.GetExtent(&box, 0) == OGRERR_NONE);
    Box bounds;
    plan.scenery.forEachBuilding([&](const Building& b) { bounds.add(boundsOf(b.footprint)); });
    CHECK(box.MinX == Approx(bounds.x0).margin(1e-9));
    CHECK(box.MaxY == Approx(bounds.y1).margin(1e-9));
}

TEST_CASE("the file keeps the standard's own rules") {
    const TestFolder folder;
    Random random(20);
    REQUIRE(savePlan(randomPlan(random), folder / "plan.gpkg").ok());
    auto db = Database::open(folder / "plan.gpkg", Database::Mode::read);
    REQUIRE(db);
    // OGC 12-128r18 (GeoPackage 1.3), requirements 2 (application_id and user_version), 6 (integrity_check),
    // 7 (foreign_key_check) and 11 (the three systems); one geometry column a layer; times in ISO 8601.
    CHECK(*db->number("PRAGMA application_id") == 0x47504B47);
    CHECK(*db->number("PRAGMA user_version") == 10300);
    auto integrity = db->prepare("PRAGMA integrity_check");
    REQUIRE((integrity && *integrity->step()));
    CHECK(integrity->text(0) == "ok");
    auto foreign = db->prepare("PRAGMA foreign_key_check");
    REQUIRE(foreign);
    CHECK_FALSE(*foreign->step());
    CHECK(*db->number("SELECT count(*) FROM gpkg_spatial_ref_sys WHERE srs_id IN (-1, 0, 4326, 32627)") == 4);
    CHECK(*db->number("SELECT count(*) FROM gpkg_contents WHERE data_type='features'") ==
          *db->number("SELECT count(*) FROM gpkg_geometry_columns WHERE column_name='geom'"));
    CHECK(*db->number(
              "SELECT count(*) FROM gpkg_contents WHERE last_change NOT LIKE '____-__-__T__:__:__.___Z'") ==
          0);
}

TEST_CASE("a plan brought into another system says so in every layer") {
    const TestFolder folder;
    Random random(22);
    Plan plan = randomPlan(random);
    const auto file = folder / "plan.gpkg";
    REQUIRE(savePlan(plan, file).ok());
    PlanSettings s = *plan.settings;
    s.epsg = 32626; // the zone to the west; the numbers stay, which is enough for what is asked here
    REQUIRE(apply(plan, {"Zone", {PutSettings{s}}}));
    REQUIRE(savePlan(plan, file).ok());
    CHECK(openPlan(file)->plan == plan);
    const Opened opened(file);
    REQUIRE(opened.data);
    for (int k = 0; k < opened.data->GetLayerCount(); ++k) {
        OGRLayer& layer = *opened.data->GetLayer(k);
        if (layer.GetGeomType() == wkbNone) continue;
        INFO(layer.GetName());
        REQUIRE(layer.GetSpatialRef());
        CHECK(std::string(layer.GetSpatialRef()->GetAuthorityCode(nullptr)) == "32626");
        auto db = Database::open(file, Database::Mode::read);
        auto rows = db->prepare("SELECT geom FROM " + sqlName(layer.GetName()));
        REQUIRE(rows);
        while (*rows->step()) CHECK(srsIdFrom(rows->blob(0)) == 32626);
    }
}

TEST_CASE("what GDAL changes in a layer is in the plan when it opens again") {
    const TestFolder folder;
    Random random(19);
    const Plan plan = randomPlan(random);
    const auto file = folder / "plan.gpkg";
    REQUIRE(savePlan(plan, file).ok());
    const Mount mount = *plan.mounts.begin();
    {
        const Opened opened(file, GDAL_OF_UPDATE);
        REQUIRE(opened.data);
        OGRLayer& mounts = *opened.data->GetLayerByName("mounts");
        auto f = featureOf(mounts, mount.id);
        REQUIRE(f);
        f->SetField("height_m", 7.75);
        const OGRPoint moved(mount.at.x + 3, mount.at.y);
        f->SetGeometry(&moved);
        REQUIRE(mounts.SetFeature(f.get()) == OGRERR_NONE);
    }
    const auto open = openPlan(file);
    INFO((open ? std::string() : open.error().sentence()));
    REQUIRE(open);
    const Mount* back = open->plan.mounts.find(mount.id);
    REQUIRE(back);
    CHECK(back->height.m == 7.75);
    CHECK(back->at == PlanePoint{mount.at.x + 3, mount.at.y});
    CHECK(open->plan.smallCells == plan.smallCells);
}

TEST_CASE("a layer edited by GDAL between two of our saves loses nothing") {
    const TestFolder folder;
    Random random(23);
    const auto file = folder / "plan.gpkg";
    REQUIRE(savePlan(randomPlan(random), file).ok());
    const Plan before = openPlan(file)->plan;
    const Mount mount = *before.mounts.begin();
    {
        const Opened opened(file, GDAL_OF_UPDATE);
        REQUIRE(opened.data);
        OGRLayer& mounts = *opened.data->GetLayerByName("mounts");
        OGRFieldDefn photo("photo", OFTString);
        REQUIRE(mounts.CreateField(&photo) == OGRERR_NONE);
        auto f = featureOf(mounts, mount.id);
        f->SetField("owner", "Harbour Trust");
        REQUIRE(mounts.SetFeature(f.get()) == OGRERR_NONE);
        for (const auto& each : mounts) {
            each->SetField("photo", ("p" + std::to_string(each->GetFieldAsInteger64("uid"))).c_str());
            REQUIRE(mounts.SetFeature(each.get()) == OGRERR_NONE);
        }
        OGRFeature tree(opened.data->GetLayerByName("trees")->GetLayerDefn());
        const OGRPoint at(mount.at.x, mount.at.y);
        tree.SetGeometry(&at);
        REQUIRE(opened.data->GetLayerByName("trees")->CreateFeature(&tree) == OGRERR_NONE);
        OGRLayer* walks = opened.data->CreateLayer("walks", nullptr, wkbPoint);
        REQUIRE(walks);
        OGRFeature walk(walks->GetLayerDefn());
        walk.SetGeometry(&at);
        REQUIRE(walks->CreateFeature(&walk) == OGRERR_NONE);
    }
    OpenPlan there;
    auto session = PlanFile::open(file, there);
    INFO((session ? std::string() : session.error().sentence()));
    REQUIRE(session);
    Plan plan = there.plan;
    CHECK(plan.mounts.find(mount.id)->owner == "Harbour Trust");
    for (int k = 0; k < 60; ++k)
        REQUIRE(apply(plan, randomEdit(plan, random, static_cast<EditKind>(k % kEditKinds))));
    Mount raised = *plan.mounts.find(mount.id);
    raised.height = {8.5};
    REQUIRE(apply(plan, {"Raise", {Put{raised}}}));
    REQUIRE((*session)->save(plan).ok());
    CHECK(openPlan(file)->plan == plan);
    const Opened opened(file);
    OGRLayer& mounts = *opened.data->GetLayerByName("mounts");
    for (const Mount& m : plan.mounts) {
        const auto f = featureOf(mounts, m.id);
        REQUIRE(f);
        const std::string kept = before.mounts.find(m.id) ? "p" + std::to_string(m.id.v) : "";
        CHECK(f->GetFieldAsString("photo") == kept);
    }
    CHECK(featureOf(mounts, mount.id)->GetFieldAsDouble("height_m") == 8.5);
    CHECK(static_cast<std::size_t>(opened.data->GetLayerByName("trees")->GetFeatureCount()) ==
          plan.scenery.trees.size() + 1);
    REQUIRE(opened.data->GetLayerByName("walks"));
    CHECK(opened.data->GetLayerByName("walks")->GetFeatureCount() == 1);
}
