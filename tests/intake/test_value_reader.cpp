// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers, lengths, shares, yes and no.
#include "catch.h"
#include "intake/value_reader.h"

using namespace fw;

namespace {

bool refused(const Result<double>& r) { return !r.ok(); }
double number(std::string_view text, NumberStyle style = {}) {
    const auto v = numberFrom(text, style);
    INFO(text << ": " << (v ? "" : v.error().text));
    REQUIRE(v.ok());
    return *v;
}

} // namespace

TEST_CASE("numbers are read as people of several countries write them", "[values]") {
    // Spellings after the Unicode CLDR number patterns of en, de, fr and de-CH; the plain value beside each.
    CHECK(number("1,234.5", {'.', ','}) == 1234.5);
    CHECK(number("1.234,5", {',', '.'}) == 1234.5);
    CHECK(number("1\u202f234,5", {',', ' '}) == 1234.5);
    CHECK(number("1\u00a0234,5", {',', ' '}) == 1234.5);
    CHECK(number("1\u2019234.5", {'.', '\''}) == 1234.5);
    CHECK(number("12,345,678", {'.', ','}) == 12345678);
    CHECK(number("+7") == 7);
    CHECK(number("\u22125,5", {',', '\0'}) == -5.5);
    CHECK(number("-.5") == -0.5);
    CHECK(number("5.") == 5);
    CHECK(number("1.5e-3") == 0.0015);
    CHECK(number("1,5E+3", {',', '\0'}) == 1500);
    CHECK(number(" 12 ") == 12);
    CHECK(number("0.1") == 0.1);
}

TEST_CASE("what is no number is refused by a clause", "[values]") {
    const std::string kSpelt[] = {"",   "-",     ".",   "12,5",  "12.5x", "1 234", "nan",   "inf",
                                  "1e", "1.2.3", "--1", "1e999", "0x10",  "12 m",  "\u0661"};
    for (const std::string& text : kSpelt) {
        CAPTURE(text);
        const auto v = numberFrom(text);
        REQUIRE_FALSE(v.ok());
        CHECK(v.error().text.find("\"" + text + "\"") == 0);
    }
    CHECK(numberFrom("12,5x", {',', '\0'}).error().text == "\"12,5x\" is not a number");
    CHECK(refused(numberFrom("1,23", {'.', ','})));
    CHECK(refused(numberFrom("1234,567", {'.', ','})));
    CHECK(refused(numberFrom("1,234,56", {'.', ','})));
    CHECK(refused(numberFrom("12.5", {',', '\0'})));
}

TEST_CASE("the style of a file's numbers is found from its values", "[values]") {
    const auto style = [](const std::vector<std::string>& samples, char delimiter = ';') {
        const NumberStyle s = numberStyleOf(samples, delimiter);
        return std::pair(s.decimal, s.thousands);
    };
    const char none = '\0';
    CHECK(style({}) == std::pair('.', none));
    CHECK(style({"abc", "12", "2026-03-29 14:00", "29.03.2026"}) == std::pair('.', none));
    CHECK(style({"12.5"}) == std::pair('.', none));
    CHECK(style({"12,5", "PM01"}) == std::pair(',', none));
    CHECK(style({"1,234"}) == std::pair(',', none)); // ambiguous, as the contract settles it
    CHECK(style({"1,234", "0.5"}) == std::pair('.', ','));
    CHECK(style({"1,234.5"}) == std::pair('.', ','));
    CHECK(style({"1.234,5"}) == std::pair(',', '.'));
    CHECK(style({"1.234", "0,5"}) == std::pair(',', '.'));
    CHECK(style({"1.234.567"}) == std::pair(',', '.'));
    CHECK(style({"1,234,567"}) == std::pair('.', ','));
    CHECK(style({"1\u00a0234,5"}) == std::pair(',', ' '));
    CHECK(style({"1'234.5"}) == std::pair('.', '\''));
    CHECK(style({"71,5 %", "12,25 m"}) == std::pair(',', none));
    CHECK(style({"53.3448", "-6.2603"}) == std::pair('.', none));
    CHECK(style({"53.344", "-6.260"}) == std::pair('.', none));
}

TEST_CASE("a column whose signs fit either meaning is known, and the other sign is named", "[values]") {
    CHECK(eitherMeaning({"1,234", "-12,345", "7,512 m", "open"}, ','));
    CHECK_FALSE(eitherMeaning({"1,234", "567"}, ',')); // decimals would have their three places
    CHECK_FALSE(eitherMeaning({"1,234", "1,5"}, ','));
    CHECK_FALSE(eitherMeaning({"1,234,567"}, ','));
    CHECK_FALSE(eitherMeaning({"0,234"}, ','));
    CHECK_FALSE(eitherMeaning({"1.234"}, ','));
    CHECK_FALSE(eitherMeaning({"open", ""}, ','));
    CHECK(numberFrom("12,5", {'.', '\0'}).error().text ==
          "\"12,5\" has a decimal comma, where the file has points");
    CHECK(quantityFrom("-12.5", {',', '\0'}).error().text ==
          "\"-12.5\" has a decimal point, where the file has commas");
}

TEST_CASE("lengths know their unit", "[values]") {
    // 1 ft = 0.3048 m exactly: NIST Special Publication 811 (2008), appendix B.6.
    CHECK(*lengthFrom("40ft", {}) == Approx(12.192).margin(1e-12));
    CHECK(*lengthFrom("40'", {}) == Approx(12.192).margin(1e-12));
    CHECK(*lengthFrom("40", {}, "feet") == Approx(12.192).margin(1e-12));
    CHECK(*lengthFrom("12,5 m", {',', '\0'}, "ft") == 12.5);
    CHECK(*lengthFrom("1.2 km", {}) == 1200);
    CHECK(*lengthFrom("250 cm", {}) == 2.5);
    CHECK(*lengthFrom("7", {}) == 7);
    for (const char* text : {"12 furlongs", "40ft 6in", "tall", "", "12 345"})
        CHECK(refused(lengthFrom(text, {})));
    const auto q = quantityFrom("43 dBm");
    REQUIRE(q.ok());
    CHECK((q->value == 43 && q->unit == "dBm"));
}

TEST_CASE("shares come with or without a sign of percent", "[values]") {
    CHECK(*shareFrom("71 %", {}, false) == 0.71);
    CHECK(*shareFrom("71", {}, true) == 0.71);
    CHECK(*shareFrom("0,71", {',', '\0'}, false) == 0.71);
    CHECK(*shareFrom("100%", {}, true) == 1);
    for (const char* text : {"71", "-0.1", "0.5 m", "", "140 %"}) CHECK(refused(shareFrom(text, {}, false)));
}

TEST_CASE("yes and no in several languages", "[values]") {
    for (const char* text : {"yes", "TRUE", "1", "x", "Ja", "oui", "Y"}) CHECK(*yesFrom(text));
    for (const char* text : {"no", "False", "0", "nein", "non", "N"}) CHECK_FALSE(*yesFrom(text));
    for (const char* text : {"", "maybe", "2"}) CHECK_FALSE(yesFrom(text).ok());
}
