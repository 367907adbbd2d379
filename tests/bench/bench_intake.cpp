// SPDX-License-Identifier: GPL-3.0-or-later
// What it costs to read footprints out of files, against the loop over features of a general library on the
// same file in the same process: bench_intake [BUILDINGS] [FOLDER] [--json]; 50,000, and the system's
// temporary folder, by default. CPU time of one thread; only the ratios count. The peak of memory is that of
// the process. Exit 0 when every goal is met, 1 when one is missed, 4 when two sides did not do the same job.
#include "bench/city.h"
#include "bench/measure.h"
#include "intake/footprint_mend.h"
#include "intake/place_reader.h"
#include "intake/source.h"

#include <charconv>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <memory>
#include <ogrsf_frmts.h>
#include <string_view>

using namespace fw;
using namespace fw::bench;

namespace {

namespace fs = std::filesystem;

struct CloseData {
    void operator()(GDALDataset* d) const { GDALClose(d); }
};
using Data = std::unique_ptr<GDALDataset, CloseData>;

/// Peak of resident memory (MiB), from /proc.
double peakMiB() {
    std::ifstream status("/proc/self/status");
    std::string word;
    long kib = 0;
    while (status >> word)
        if (word == "VmHWM:") status >> kib;
    return static_cast<double>(kib) / 1024;
}
void restartPeak() { std::ofstream("/proc/self/clear_refs") << 5; }

/// The houses of the made-up city again and again, each time one city further east.
bool write(const fs::path& file, const char* driver, const City& city, long buildings, bool degrees) {
    Data data(
        GetGDALDriverManager()->GetDriverByName(driver)->Create(file.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    OGRSpatialReference system;
    system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    system.importFromEPSG(degrees ? 4326 : 32629);
    OGRLayer* layer = data ? data->CreateLayer("buildings", &system, wkbPolygon, nullptr) : nullptr;
    if (!layer) return false;
    OGRFieldDefn name("name", OFTString), height("height", OFTReal), storeys("storeys", OFTInteger);
    for (OGRFieldDefn* f : {&name, &height, &storeys}) layer->CreateField(f);
    data->StartTransaction();
    for (long k = 0; k < buildings; ++k) {
        const Prism& house = city.prisms[static_cast<std::size_t>(k) % city.prisms.size()];
        const double east = 500000 + 1e4 * double(k / static_cast<long>(city.prisms.size()));
        OGRPolygon p;
        auto ring = std::make_unique<OGRLinearRing>();
        for (const PlanePoint& c : house.footprint.outer) {
            const double x = c.x - city.area.x0 + east, y = c.y - city.area.y0 + 5900000;
            degrees ? ring->addPoint(-9 + (x - 500000) / 67000, 53 + (y - 5900000) / 111000)
                    : ring->addPoint(x, y);
        }
        ring->closeRings();
        p.addRingDirectly(ring.release());
        OGRFeature f(layer->GetLayerDefn());
        f.SetField(0, fmt::format("House {}", k).c_str());
        f.SetField(1, 3.5 + double(k % 200) / 10);
        f.SetField(2, static_cast<int>(k % 9));
        f.SetGeometry(&p);
        if (layer->CreateFeature(&f) != OGRERR_NONE) return false;
    }
    data->CommitTransaction(); // not every format has one
    return true;
}

long featuresIn(const fs::path& file, const char* driver) {
    const char* drivers[] = {driver, nullptr};
    const Data data(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers));
    long n = 0;
    if (data)
        for (const auto& feature : *data->GetLayer(0)) n += feature->GetGeometryRef() != nullptr;
    return n;
}

long rowsIn(const fs::path& file) {
    const auto source = openSource(file);
    long n = 0;
    if (!source || !(*source)->forEachRow({}, [&](SourceRow& row) {
            n += row.shape.areas.empty() ? 0 : 1;
            return true;
        }))
        return 0;
    return n;
}

struct Format {
    const char *driver, *file;
    bool degrees;
    Row::Goal goal;
};

bool compare(const fs::path& folder, const City& city, long buildings, std::vector<Row>& rows) {
    constexpr Format kFormats[] = {{"GPKG", "a.gpkg", false, Row::Goal::atMost},
                                   {"GeoJSON", "a.geojson", true, Row::Goal::atMost},
                                   {"FlatGeobuf", "a.fgb", false, Row::Goal::none},
                                   {"ESRI Shapefile", "a.shp", false, Row::Goal::none}};
    const int rounds = buildings > 200000 ? 1 : 5;
    for (const Format& format : kFormats) {
        const fs::path file = folder / format.file;
        if (!write(file, format.driver, city, buildings, format.degrees)) return false;
        long theirs = 0, ours = 0;
        restartPeak();
        const double before = peakMiB();
        const double oursMs = medianMs(rounds, 1, [&](int) { ours = rowsIn(file); });
        const double peak = peakMiB() - before;
        const double peerMs = medianMs(rounds, 1, [&](int) { theirs = featuresIn(file, format.driver); });
        rows.push_back({fmt::format("{}: open, and every row of {}", format.driver, buildings),
                        "OGR feature loop", peerMs, oursMs, format.goal, 1});
        fmt::print(stderr, "{}: peak of memory above what was there before: {:.1f} MiB\n", format.driver,
                   peak);
        if (theirs != buildings || ours != buildings) return false;
        fs::remove(file);
    }
    return true;
}

bool intoPlan(const City& city, std::vector<Row>& rows) {
    const auto plan = Frame::fromEpsg(32629);
    if (!plan) return false;
    const auto reader = PlaceReader::open({4326, {}}, *plan);
    if (!reader) return false;
    MendTally tally;
    std::size_t areas = 0;
    bool good = true;
    std::vector<PlanePoint> ring;
    const double placeMs = medianMs(3, 1, [&](int) {
        for (const Prism& house : city.prisms) {
            ring.clear();
            for (const PlanePoint& c : house.footprint.outer)
                ring.push_back({-9 + (c.x - city.area.x0) / 67000, 53 + (c.y - city.area.y0) / 111000});
            good = reader->toPlan(ring) && good;
        }
    });
    const double mendMs = medianMs(3, 1, [&](int) {
        areas = 0;
        for (const Prism& house : city.prisms) areas += mendedFootprint(house.footprint, tally).size();
    });
    const double geosMs = medianMs(3, 1, [&](int) {
        for (const Prism& house : city.prisms) {
            OGRPolygon p;
            auto r = std::make_unique<OGRLinearRing>();
            for (const PlanePoint& c : house.footprint.outer) r->addPoint(c.x, c.y);
            r->closeRings();
            p.addRingDirectly(r.release());
            areas += p.IsValid() ? 0 : 1;
        }
    });
    rows.push_back({fmt::format("look whether {} footprints cross themselves", city.prisms.size()),
                    "GEOS IsValid", geosMs, mendMs, Row::Goal::atLeast, 1});
    fmt::print(stderr, "degrees of {} footprints into the plan: {:.1f} ms\n", city.prisms.size(), placeMs);
    return good && areas >= city.prisms.size();
}

} // namespace

int main(int argc, char** argv) {
    GDALAllRegister();
    long buildings = 50000;
    bool json = false;
    std::string parent = fs::temp_directory_path();
    for (int k = 1; k < argc; ++k) {
        const std::string_view word = argv[k];
        if (word == "--json")
            json = true;
        else if (std::from_chars(word.data(), word.data() + word.size(), buildings).ec != std::errc())
            parent = word;
    }
    std::string folder = parent + "/fringewright-bench-XXXXXX";
    if (buildings < 1 || !mkdtemp(folder.data())) return 2;
    const City city = makeCity({});
    std::vector<Row> rows;
    const bool same = compare(folder, city, buildings, rows) && intoPlan(city, rows);
    std::error_code ignored;
    fs::remove_all(folder, ignored);
    fmt::print("{}", json ? jsonOf(rows) : tableOf(rows));
    if (!same) {
        fmt::print(stderr, "Two sides did not do the same job.\n");
        return 4;
    }
    for (const Row& row : rows)
        if (!row.met()) return 1;
    return 0;
}
