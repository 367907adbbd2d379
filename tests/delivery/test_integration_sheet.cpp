// SPDX-License-Identifier: GPL-3.0-or-later
// The integration sheet, read back by a general library.
#include "catch.h"
#include "delivery/integration_sheet.h"
#include "store/folder.h"
#include "study/settled.h"
#include "support/random_plan.h"

#include <clocale>
#include <fstream>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>
#include <sstream>

using namespace fw;
using namespace fw::testing;

namespace {

struct Made {
    std::shared_ptr<const Study> study;
    IdentityPlan identities;
    std::vector<SheetTable> tables;
    Made() {
        Random random(12);
        RandomPlanSpec spec;
        spec.areaM = 600;
        spec.sites = 1;
        spec.buildings = 40;
        spec.mounts = 5;
        Plan plan = randomPlan(random, spec);
        PlanSettings settings = *plan.settings;
        settings.name = "Town, north";
        settings.identities.enb = "1000-1020";
        plan.settings = std::make_shared<const PlanSettings>(settings);
        std::vector<SmallCell> smalls(plan.smallCells.begin(), plan.smallCells.end());
        for (SmallCell& s : smalls) {
            s.chosen = true;
            if (s.id == smalls.front().id) s.name = "=1+1, \"quoted\"";
            plan.smallCells.put(s);
        }
        auto s = Study::advance(nullptr, plan, std::make_shared<const Terrain>(), StudyOptions{1});
        REQUIRE(s);
        study = *s;
        auto made = identify(*study, *settle(*study), identityOptionsOf(study->plan()));
        REQUIRE(made);
        identities = *made;
        tables = integrationTables(*study, identities);
    }
};

std::string bytesIn(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::stringstream out;
    out << in.rdbuf();
    return out.str();
}

std::size_t columnCalled(const SheetTable& table, const std::string& head) {
    for (std::size_t k = 0; k < table.columns.size(); ++k)
        if (table.columns[k].head == head) return k;
    FAIL("no column " << head);
    return 0;
}

void checkWorkbook(const std::filesystem::path& file, const std::vector<SheetTable>& tables) {
    GDALAllRegister();
    CPLSetThreadLocalConfigOption("OGR_XLSX_HEADERS", "FORCE");
    const char* const drivers[] = {"XLSX", nullptr};
    const std::unique_ptr<GDALDataset> book(
        GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers));
    REQUIRE(book);
    REQUIRE(book->GetLayerCount() == static_cast<int>(tables.size()));
    for (const SheetTable& table : tables) {
        OGRLayer* layer = book->GetLayerByName(table.name.c_str());
        REQUIRE(layer);
        INFO(table.name);
        CHECK(layer->GetFeatureCount() == static_cast<GIntBig>(table.rows.size()));
        REQUIRE(layer->GetLayerDefn()->GetFieldCount() == static_cast<int>(table.columns.size()));
        std::size_t r = 0;
        while (const auto row = std::unique_ptr<OGRFeature>(layer->GetNextFeature())) {
            for (std::size_t c = 0; c < table.columns.size(); ++c) {
                const int field = static_cast<int>(c);
                INFO("row " << r << ", " << table.columns[c].head);
                CHECK(layer->GetLayerDefn()->GetFieldDefn(field)->GetNameRef() == table.columns[c].head);
                const std::string& want = table.rows[r][c];
                if (want.empty()) {
                    CHECK_FALSE(row->IsFieldSetAndNotNull(field));
                } else if (table.columns[c].number) {
                    std::istringstream number(want);
                    number.imbue(std::locale::classic());
                    double v = 0;
                    number >> v;
                    CHECK(row->GetFieldAsDouble(field) == v);
                } else {
                    CHECK(row->GetFieldAsString(field) == want);
                }
            }
            ++r;
        }
    }
    CPLSetThreadLocalConfigOption("OGR_XLSX_HEADERS", nullptr);
}

} // namespace

TEST_CASE("the integration sheet as a workbook is what the tables say", "[delivery][identity]") {
    const Made made;
    const TestFolder folder;
    const auto file = folder / "sheet.xlsx";
    REQUIRE(writeIntegrationXlsx(file, made.tables, made.study->plan()).ok());
    checkWorkbook(file, made.tables);
    const std::string once = bytesIn(file);
    REQUIRE(writeIntegrationXlsx(file, made.tables, made.study->plan()).ok());
    CHECK(bytesIn(file) == once);
    CHECK_FALSE(std::filesystem::exists(folder / "sheet.xlsx.part"));
    const Status s =
        writeIntegrationXlsx(folder / "no folder" / "sheet.xlsx", made.tables, made.study->plan());
    REQUIRE_FALSE(s.ok());
    CHECK(s.error().code == ErrorCode::cannotWrite);
}

TEST_CASE("rows of the integration sheet are the identity plan", "[delivery][identity]") {
    const Made made;
    REQUIRE(made.tables.size() == 3);
    const SheetTable& cells = made.tables[0];
    REQUIRE(cells.rows.size() == made.identities.cells.size());
    for (const SheetTable& t : made.tables)
        for (const auto& row : t.rows) CHECK(row.size() == t.columns.size());
    const auto at = [&](std::size_t r, const char* head) { return cells.rows[r][columnCalled(cells, head)]; };
    for (std::size_t r = 0; r < cells.rows.size(); ++r) {
        const CellPlan& c = made.identities.cells[r];
        CHECK(at(r, "Small cell") == made.study->plan().label(c.small));
        CHECK(at(r, "PCI") == std::to_string(c.pci));
        // N = 3 N1 + N2, TS 36.211 6.11.
        CHECK(3 * std::stoi(at(r, "PCI group N1")) + std::stoi(at(r, "PCI sector N2")) == c.pci);
        REQUIRE(c.cellIdentity);
        CHECK(at(r, "Cell identity (ECI or NCI)") == std::to_string(*c.cellIdentity));
        CHECK(std::stoll(at(r, "Cell identity (hex)"), nullptr, 16) == *c.cellIdentity);
        CHECK(at(r, "N_CS (samples)") == "13");
    }
    CHECK(made.tables[1].rows.size() == made.identities.neighbours.size());
}

TEST_CASE("the integration sheet as text keeps to RFC 4180 and runs nothing", "[delivery][identity]") {
    const Made made;
    const TestFolder folder;
    REQUIRE(writeIntegrationCsv(folder / "sheet.csv", made.tables).ok());
    CHECK(bytesIn(folder / "sheet.csv") == tableCsv(made.tables[0]));
    CHECK(bytesIn(folder / "sheet-neighbours.csv") == tableCsv(made.tables[1]));
    CHECK(bytesIn(folder / "sheet-notes.csv") == tableCsv(made.tables[2]));
    const std::string text = tableCsv(made.tables[0]);
    CHECK(text.find("\"'=1+1, \"\"quoted\"\"\"") != std::string::npos);
    CHECK(text.ends_with("\r\n"));
}
