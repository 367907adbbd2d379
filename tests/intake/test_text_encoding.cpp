// SPDX-License-Identifier: GPL-3.0-or-later
// Encodings of text files. Letters and their bytes are from the standards named at each case.
#include "intake/table_text.h"
#include "intake/text_encoding.h"

using namespace fw;
using namespace fwtest;
using namespace std::string_literals;

namespace {

EncodingFound found(const std::string& bytes, bool whole = true) {
    const auto f = encodingOf(bytes, whole);
    INFO((f ? "" : f.error().text));
    REQUIRE(f.ok());
    return *f;
}

struct Decoded {
    std::string text;
    std::int64_t faults = 0;
};
Decoded decoded(EncodingFound encoding, const std::string& bytes, std::size_t piece = 1u << 20) {
    TextDecoder decoder(encoding);
    Decoded out;
    for (std::size_t at = 0; at < bytes.size(); at += piece)
        decoder.decode(std::string_view(bytes).substr(at, piece), at + piece >= bytes.size(), out.text);
    out.faults = decoder.faults();
    return out;
}

std::string utf16(const std::u16string& text, bool little) {
    std::string bytes;
    for (const char16_t unit : text) {
        const char low = static_cast<char>(unit & 0xFF), high = static_cast<char>(unit >> 8);
        bytes += little ? low : high;
        bytes += little ? high : low;
    }
    return bytes;
}

constexpr EncodingFound kUtf8{TextEncoding::utf8, 0, false};

} // namespace

TEST_CASE("a byte order mark names the encoding", "[encoding]") {
    // Unicode 15, 2.13, table 2-4; 23.8.
    CHECK(found("\xEF\xBB\xBF"s + "cell").encoding == TextEncoding::utf8);
    CHECK(found("\xEF\xBB\xBF"s + "cell").markBytes == 3);
    CHECK(found("\xFF\xFE"s + utf16(u"cell", true)).encoding == TextEncoding::utf16le);
    CHECK(found("\xFE\xFF"s + utf16(u"cell", false)).encoding == TextEncoding::utf16be);
    CHECK_FALSE(encodingOf("\xFF\xFE\0\0c\0\0\0"s, true).ok());
    CHECK_FALSE(encodingOf("\0\0\xFE\xFF\0\0\0c"s, true).ok());
}

TEST_CASE("without a mark the bytes tell", "[encoding]") {
    const std::u16string table = u"cell;name\nPM01-1;Quai d\u2019H\u00e9bert\n\u041f\u043e\u0440\u0442;1\n";
    CHECK(found(utf16(table, true)).encoding == TextEncoding::utf16le);
    CHECK(found(utf16(table, false)).encoding == TextEncoding::utf16be);
    CHECK(found("cell;Stra\xC3\x9F"
                "e")
              .encoding == TextEncoding::utf8);
    CHECK(found("cell;Stra\xDF"
                "e")
              .encoding == TextEncoding::latin1);
    CHECK(found("cell;street").encoding == TextEncoding::utf8);
    CHECK(found("cell;Stra\xC3", false).encoding == TextEncoding::utf8); // the next block may go on
    CHECK_FALSE(encodingOf("PK\x03\x04\x14\0\0\0\x08\0"s, true).ok());
    CHECK_FALSE(encodingOf(std::string(1000, '\0'), true).ok());
    CHECK(encodingOf("abc", true, "latin-1")->encoding == TextEncoding::latin1);
    CHECK(encodingOf("abc", true, "utf-16be")->encoding == TextEncoding::utf16be);
    CHECK(encodingOf("abc", true, "ebcdic").error().text.find("\"ebcdic\"") == 0);
}

TEST_CASE("letters of windows-1252 are those of the WHATWG table", "[encoding]") {
    // encoding.spec.whatwg.org, index-windows-1252: pointer 0 (0x80) is U+20AC, and so on.
    const EncodingFound latin{TextEncoding::latin1, 0, false};
    CHECK(decoded(latin, "\x80").text == "\u20AC");
    CHECK(decoded(latin, "\x8A\x8E\x9A\x9E\x9F").text == "\u0160\u017D\u0161\u017E\u0178");
    CHECK(decoded(latin, "\x91\x92\x93\x94").text == "\u2018\u2019\u201C\u201D");
    CHECK(decoded(latin, "\x96\x97\x85\x99").text == "\u2013\u2014\u2026\u2122");
    CHECK(decoded(latin, "\x81\x9D").text == "\xC2\x81\xC2\x9D");
    CHECK(decoded(latin, "\xA0\xB0\xE9\xFF").text == "\u00A0\u00B0\u00E9\u00FF");
}

TEST_CASE("UTF-16 has pairs", "[encoding]") {
    // Unicode 15, table 3-4: U+10302 is D800 DF02.
    const EncodingFound little{TextEncoding::utf16le, 0, false};
    CHECK(decoded(little, "\x00\xD8\x02\xDF"s).text == "\xF0\x90\x8C\x82");
    const auto lone = decoded(little, "a\0\x00\xD8"s + "b\0"s);
    CHECK(lone.text == "a\uFFFDb");
    CHECK(lone.faults == 1);
    CHECK(decoded(little, "a\0b"s).text == "a\uFFFD");
}

TEST_CASE("what is not UTF-8 is replaced and counted as Unicode recommends", "[encoding]") {
    // Unicode 15, tables 3-8 to 3-11: U+FFFD for non-shortest forms, surrogates, other ill-formed sequences
    // and truncated ones.
    const std::string f = "\uFFFD";
    const auto check = [&](const std::string& bytes, const std::string& text, int faults) {
        CAPTURE(bytes);
        for (const std::size_t piece : {1u, 2u, 3u, 100u}) {
            const auto d = decoded(kUtf8, bytes, piece);
            CHECK(d.text == text);
            CHECK(d.faults == faults);
        }
    };
    check("\xC0\xAF\xE0\x80\xBF\xF0\x81\x82\x41", f + f + f + f + f + f + f + f + "A", 8);
    check("\xED\xA0\x80\xED\xBF\xBF\xED\xAF\x41", f + f + f + f + f + f + f + f + "A", 8);
    check("\xF4\x91\x92\x93\xFF\x41\x80\xBF\x42", f + f + f + f + f + "A" + f + f + "B", 7);
    check("\xE1\x80\xE2\xF0\x91\x92\xF1\xBF\x41", f + f + f + f + "A", 4);
    check("a\0b"s, "a" + f + "b", 1);
    check("gr\xC3\xBC\xC3\x9F \xF0\x90\x8C\x82", "gr\u00FC\u00DF \xF0\x90\x8C\x82", 0);
}

TEST_CASE("every encoding gives the same table", "[encoding]") {
    const Fields expected{{"PM01-1", "Quai d\u2019H\u00e9bert", "53,3448"},
                          {"PM02-1", "Stra\u00dfe", "53,3501"}};
    const std::u16string wide =
        u"cell;stra\u00dfe;lat\r\nPM01-1;Quai d\u2019H\u00e9bert;53,3448\r\nPM02-1;Stra\u00dfe;53,3501\r\n";
    const std::string utf8 =
        "cell;stra\u00dfe;lat\r\nPM01-1;Quai d\u2019H\u00e9bert;53,3448\r\nPM02-1;Stra\u00dfe;53,3501\r\n";
    const std::string latin = "cell;stra\xDF"
                              "e;lat\r\nPM01-1;Quai d\x92H\xE9"
                              "bert;53,3448\r\nPM02-1;Stra\xDF"
                              "e;53,3501\r\n";
    for (const std::string& bytes :
         {utf8, "\xEF\xBB\xBF" + utf8, latin, utf16(wide, true), utf16(wide, false),
          "\xFF\xFE" + utf16(wide, true), "\xFE\xFF" + utf16(wide, false)}) {
        const auto t = readTable(bytes);
        CAPTURE(t.notes(), t.error);
        CHECK(t.names() == Names{"cell", "stra\u00dfe", "lat"});
        CHECK(t.fields() == expected);
    }
    CHECK(readTable(latin).says("Read as Latin-1"));
    CHECK(readTable(utf16(wide, true)).says("Read as UTF-16"));
}

TEST_CASE("bad bytes in UTF-8 are counted, and the first one's line is said", "[encoding]") {
    std::string text = "cell;name\nA;gr\u00fc\u00df\n";
    for (int k = 0; k < 9000; ++k) text += "B;\u00fcber den Fluss hinweg\n";
    text += "C;Stra\xDF"
            "e\nD;\xC3;\n";
    const auto t = readTable(text);
    CHECK(t.says("Byte sequences that are not UTF-8: 2; they stand as U+FFFD, the first in line 9003."));
    CHECK(t.rows.size() == 9003);
    CHECK(t.rows[9001].fields == Names{"C", "Stra\uFFFDe"});
}

TEST_CASE("a first letter far down settles Latin-1", "[encoding]") {
    std::string text = "cell;name\n";
    while (text.size() < kTextLook + 1000) text += "A;plain\n";
    text += "B;Stra\xDF"
            "e\n";
    const auto t = readTable(text);
    CHECK(t.rows.back().fields == Names{"B", "Stra\u00dfe"});
    CHECK(t.says("read as Latin-1"));
}
