// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "include_rules.h"
#include "support/places.h"

#include <fstream>

#include <unistd.h>

using namespace fwtest;
namespace fs = std::filesystem;

namespace {

/// A small tree on disk that is gone at the end of the test.
class PlantedTree {
public:
    PlantedTree() : m_root(fs::temp_directory_path() / ("planted-tree-" + std::to_string(::getpid()))) {
        fs::remove_all(m_root);
        fs::create_directories(m_root);
    }
    ~PlantedTree() { fs::remove_all(m_root); }
    PlantedTree(const PlantedTree&) = delete;
    PlantedTree& operator=(const PlantedTree&) = delete;

    void plant(const std::string& file, const std::string& text) const {
        fs::create_directories((m_root / file).parent_path());
        std::ofstream(m_root / file) << text;
    }
    [[nodiscard]] const fs::path& root() const { return m_root; }

private:
    fs::path m_root;
};

std::string listed(const std::vector<Breach>& breaches) {
    std::string out;
    for (const Breach& b : breaches) out += b.sentence() + "\n";
    return out;
}

const char* const kLicence = "// SPDX-License-Identifier: GPL-3.0-or-later\n";

} // namespace

TEST_CASE("Every include of the program runs in an allowed direction", "[architecture]") {
    CHECK(sourceCount(fw::testing::kSourceDir) > 20);
    CHECK(listed(brokenIncludes(fw::testing::kSourceDir)).empty());
}

TEST_CASE("Every source file carries its licence", "[architecture]") {
    CHECK(listed(missingLicences(fw::testing::kSourceDir)).empty());
}

TEST_CASE("No test uses a check that cannot fail it", "[architecture]") {
    CHECK(listed(silentChecks(fw::testing::kSourceDir)).empty());
}

TEST_CASE("A planted bad include is found with file, line and edge", "[architecture]") {
    struct Case {
        const char *file, *include, *edge;
    };
    const Case cases[] = {
        {"core/geo/a.h", "\"study/study.h\"", "core/geo (level 1) -> core/study (level 5)"},
        {"core/surface/a.cpp", "\"plan/plan.h\"", "core/surface (level 2) -> core/plan (level 2)"},
        {"core/base/a.h", "\"geo/point.h\"", "core/base (level 0) -> core/geo (level 1)"},
        {"core/geo/a.h", "\"canvas/view.h\"", "not of core"},
        {"core/geo/a.h", "\"frame.h\"", "without its folder"},
        {"core/oddments/a.h", "\"base/id.h\"", "core/oddments has no level"},
        {"core/review/rules/a.cpp", "<QString>", "Qt is not at home"},
        {"core/review/rules/a.cpp", "<QtCore/qstring.h>", "Qt is not at home"},
        {"core/geo/frame.cpp", "<proj.h>", "PROJ is not at home"},
        {"core/surface/surface.cpp", "<gdal_priv.h>", "GDAL is not at home"},
        {"core/plan/a.cpp", "\"sqlite3.h\"", "SQLite is not at home"},
        {"widgets/canvas/a.cpp", "<sqlite3.h>", "widgets -> sqlite3.h"},
        {"widgets/canvas/a.cpp", "<ogrsf_frmts.h>", "widgets -> ogrsf_frmts.h"},
        {"widgets/canvas/a.cpp", "<proj.h>", "widgets -> proj.h"},
        {"widgets/canvas/a.cpp", "\"main_window.h\"", "widgets -> app/main_window.h"},
    };
    for (const Case& c : cases) {
        INFO(c.file << " " << c.include);
        const PlantedTree tree;
        tree.plant("app/main_window.h", kLicence);
        tree.plant(c.file,
                   std::string(kLicence) + "#include <vector>\n  #  include " + c.include + " // why\n");
        const auto found = brokenIncludes(tree.root());
        INFO(listed(found));
        REQUIRE(found.size() == 1);
        CHECK(found[0].file == c.file);
        CHECK(found[0].line == 3);
        CHECK(found[0].what.find(c.edge) != std::string::npos);
    }
}

TEST_CASE("Allowed includes are left alone", "[architecture]") {
    const PlantedTree tree;
    auto plant = [&](const char* file, const char* include) {
        tree.plant(file, std::string(kLicence) + "#include " + include + "\n");
    };
    plant("core/geo/crs.cpp", "<proj.h>");
    plant("core/geo/crs.h", "\"base/result.h\"");
    plant("core/surface/raster_io.cpp", "<gdal_priv.h>");
    plant("core/store/plan_file.cpp", "<sqlite3.h>");
    plant("core/review/rules/one.cpp", "\"review/rule.h\"");
    plant("core/review/rule.h", "<queue>");
    plant("widgets/canvas/view.h", "<QWidget>");
    plant("widgets/canvas/view.cpp", "\"canvas/view.h\"");
    plant("widgets/canvas/layer.cpp", "\"study/study.h\"");
    plant("app/main.cpp", "\"canvas/view.h\"");
    CHECK(listed(brokenIncludes(tree.root())).empty());
}

TEST_CASE("A planted file without licence and a planted silent check are found", "[architecture]") {
    const PlantedTree tree;
    tree.plant("core/base/a.h", "#pragma once\n");
    tree.plant("tests/run", "#!/usr/bin/env bash\necho\n");
    tree.plant("tests/gui/test_a.cpp", std::string(kLicence) + "void f() { Q" + "VERIFY(1 > 0); }\n");
    const auto bare = missingLicences(tree.root());
    REQUIRE(bare.size() == 2);
    CHECK(bare[0].file == "core/base/a.h");
    CHECK(bare[1].file == "tests/run");
    const auto silent = silentChecks(tree.root());
    REQUIRE(silent.size() == 1);
    CHECK(silent[0].file == "tests/gui/test_a.cpp");
    CHECK(silent[0].line == 2);
}
