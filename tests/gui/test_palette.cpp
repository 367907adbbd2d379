// SPDX-License-Identifier: GPL-3.0-or-later
// The window's colours against WCAG 2.2 (1.4.3 contrast of text, 1.4.11 of what is not text) and as people
// see them who lack one kind of cone.
#include "catch.h"
#include "color_vision.h"

#include "canvas/ground_tint.h"
#include "theme/window_palette.h"

#include <vector>

using namespace fw;
using namespace fwtest;

namespace {

struct Named {
    const char* name;
    QColor color;
};

std::vector<std::pair<const char*, const WindowPalette*>> palettes() {
    return {{"day", &dayPalette()}, {"night", &nightPalette()}};
}

void checkContrast(const std::vector<Named>& fronts, const std::vector<Named>& grounds, double least) {
    for (const Named& f : fronts)
        for (const Named& g : grounds) {
            INFO(f.name << " " << f.color.name().toStdString() << " on " << g.name << " "
                        << g.color.name().toStdString() << ": " << contrast(f.color, g.color));
            CHECK(contrast(f.color, g.color) >= least);
        }
}

} // namespace

// Pairs 1, 7, 17 and 25 of table 1 of the paper that gives the formula.
TEST_CASE("the colour difference gives the published values", "[palette]") {
    CHECK(difference(Lab{50, 2.6772, -79.7751}, Lab{50, 0, -82.7485}) == Approx(2.0425).margin(5e-5));
    CHECK(difference(Lab{50, 0, 0}, Lab{50, -1, 2}) == Approx(2.3669).margin(5e-5));
    CHECK(difference(Lab{50, 2.5, 0}, Lab{73, 25, -18}) == Approx(27.1492).margin(5e-5));
    CHECK(difference(Lab{60.2574, -34.0099, 36.2677}, Lab{60.4626, -34.1751, 39.4387}) ==
          Approx(1.2644).margin(5e-5));
    CHECK(contrast(Qt::black, Qt::white) == Approx(21));
}

TEST_CASE("text of the window has a contrast of 4.5, its first voice of 7", "[palette]") {
    for (const auto& [name, c] : palettes()) {
        INFO(name);
        const std::vector<Named> sheets{{"base", c->base}, {"raised", c->raised}};
        checkContrast({{"ink", c->ink}}, sheets, 7);
        checkContrast({{"inkSoft", c->inkSoft}, {"accentText", c->accentText}}, sheets, 4.5);
        checkContrast({{"ink", c->ink}},
                      {{"focusWash", c->focusWash},
                       {"accentWash", c->accentWash},
                       {"ground", c->ground},
                       {"building", c->building},
                       {"buildingTall", c->buildingTall},
                       {"street", c->street},
                       {"water", c->water},
                       {"tree", c->tree}},
                      4.5);
        checkContrast({{"accentText", c->accentText}}, {{"accentWash", c->accentWash}}, 4.5);
    }
}

TEST_CASE("lines and signs have a contrast of 3 on what they lie on", "[palette]") {
    for (const auto& [name, c] : palettes()) {
        INFO(name);
        checkContrast({{"inkFaint", c->inkFaint},
                       {"focus", c->focus},
                       {"accent", c->accent},
                       {"less", c->less},
                       {"more", c->more}},
                      {{"base", c->base}, {"raised", c->raised}}, 3);
        const std::vector<Named> map{{"ground", c->ground}, {"street", c->street}, {"water", c->water}};
        checkContrast({{"accent", c->accent},
                       {"mast", c->mast},
                       {"area", c->area},
                       {"ghost", c->ghost},
                       {"measure", c->measure},
                       {"line400", c->line400},
                       {"focus", c->focus}},
                      map, 3);
        // Signs stand on houses too; their halo lies between.
        const QColor halo = over(c->labelHalo, c->building), haloTall = over(c->labelHalo, c->buildingTall);
        checkContrast({{"accent", c->accent}, {"mast", c->mast}, {"area", c->area}, {"ghost", c->ghost}},
                      {{"halo on building", halo}, {"halo on a tall one", haloTall}}, 3);
    }
}

TEST_CASE("signs keep a contrast of 3 through their halo on every tint of the ground", "[palette]") {
    for (const auto& [name, c] : palettes())
        for (const GroundTint tint : {GroundTint::prbCost, GroundTint::bestServer})
            for (int k = 0; k < kTintSteps; ++k) {
                INFO(name << ", step " << k);
                const QColor ground = over(tintColor(tint, k, *c), c->ground);
                checkContrast({{"accent", c->accent}, {"mast", c->mast}},
                              {{"halo", over(c->labelHalo, ground)}}, 3);
                checkContrast({{"ink", c->ink}}, {{"halo", over(c->labelHalo, ground)}}, 4.5);
            }
}

TEST_CASE("the ramp of amounts runs one way in lightness for everybody, and its steps differ", "[palette]") {
    for (const auto& [name, c] : palettes())
        for (const Vision v : kVisions)
            for (int k = 0; k + 1 < kTintSteps; ++k) {
                const auto i = static_cast<std::size_t>(k);
                INFO(name << ", vision " << static_cast<int>(v) << ", steps " << k << " and " << k + 1);
                const Lab a = labOf(seen(c->amount[i], v)), b = labOf(seen(c->amount[i + 1], v));
                CHECK((c->dark ? b.l - a.l : a.l - b.l) > 2);
                // 1 is what a trained eye sees side by side; 3 shows on a legend too.
                CHECK(difference(a, b) > 3);
                // As drawn, over the ground.
                const QColor x = over(tintColor(GroundTint::prbCost, k, *c), c->ground),
                             y = over(tintColor(GroundTint::prbCost, k + 1, *c), c->ground);
                INFO("drawn: " << difference(x, y, v));
                CHECK(difference(x, y, v) > 1.5);
                const double lx = labOf(seen(x, v)).l, ly = labOf(seen(y, v)).l;
                CHECK((c->dark ? ly - lx : lx - ly) > 1);
            }
}

TEST_CASE("serving areas differ in colour for the usual eye; a line parts them for every eye", "[palette]") {
    for (const auto& [name, c] : palettes()) {
        INFO(name);
        std::vector<QColor> drawn;
        for (int k = 0; k < kTintSteps; ++k)
            drawn.push_back(over(tintColor(GroundTint::bestServer, k, *c), c->ground));
        for (std::size_t a = 0; a < drawn.size(); ++a)
            for (std::size_t b = 0; b < a; ++b) {
                INFO("classes " << b << " and " << a << ": "
                                << difference(drawn[a], drawn[b], Vision::usual));
                CHECK(difference(drawn[a], drawn[b], Vision::usual) > 5);
            }
        const QColor border = tintBorder(*c);
        for (std::size_t a = 0; a < drawn.size(); ++a) {
            const QColor line = over(border, c->ground);
            INFO("border at class " << a << ": " << contrast(line, drawn[a]));
            CHECK(contrast(line, drawn[a]) >= 3);
        }
    }
}

TEST_CASE("steps of a change grow from the middle and part less from more, for everybody", "[palette]") {
    constexpr int half = kTintSteps / 2;
    for (const auto& [name, c] : palettes())
        for (const Vision v : kVisions) {
            INFO(name << ", vision " << static_cast<int>(v));
            const auto drawn = [&](int k) {
                return over(tintColor(GroundTint::sinr, k, *c, TintMoment::change), c->ground);
            };
            for (int k = 0; k < half; ++k) {
                INFO("strength " << k);
                const QColor less = drawn(half - 1 - k), more = drawn(half + k);
                CHECK(difference(less, more, v) > 8);
                CHECK(difference(less, k ? drawn(half - k) : c->ground, v) > 3);
                CHECK(difference(more, k ? drawn(half + k - 1) : c->ground, v) > 3);
                // The stronger, the farther from the ground.
                if (k == 0) continue;
                CHECK(difference(less, c->ground, v) > difference(drawn(half - k), c->ground, v));
                CHECK(difference(more, c->ground, v) > difference(drawn(half + k - 1), c->ground, v));
            }
        }
}

TEST_CASE("signs keep a contrast of 3 through their halo on every step of a change", "[palette]") {
    for (const auto& [name, c] : palettes())
        for (int k = 0; k < kTintSteps; ++k) {
            INFO(name << ", step " << k);
            const QColor halo =
                over(c->labelHalo, over(tintColor(GroundTint::sinr, k, *c, TintMoment::change), c->ground));
            checkContrast({{"accent", c->accent}, {"mast", c->mast}}, {{"halo", halo}}, 3);
            checkContrast({{"ink", c->ink}}, {{"halo", halo}}, 4.5);
        }
}

TEST_CASE("less and more load differ for everybody", "[palette]") {
    for (const auto& [name, c] : palettes())
        for (const Vision v : kVisions) {
            INFO(name << ", vision " << static_cast<int>(v));
            CHECK(difference(c->less, c->more, v) > 15);
        }
}
