// SPDX-License-Identifier: GPL-3.0-or-later
// Rows of delimited text. What a text means is taken from RFC 4180, section 2, where it says so; else from
// what spreadsheets and exports are known to write.
#include "intake/table_text.h"

using namespace fw;
using namespace fwtest;

namespace {

SourceOptions withDelimiter(char d) {
    SourceOptions options;
    options.delimiter = d;
    return options;
}
SourceOptions withHeader(std::int64_t line) {
    SourceOptions options;
    options.headerLine = line;
    return options;
}

} // namespace

TEST_CASE("rows, header and quotes are read as RFC 4180 says", "[text]") {
    SECTION("2.1, 2.2: lines end in CRLF, the last one may lack it") {
        for (const std::string end : {"\r\n", ""}) {
            const auto t = readTable("cell,site\r\nPM01-1,PM01\r\nPM02-1,PM02" + end);
            CHECK(t.names() == Names{"cell", "site"});
            CHECK(t.fields() == Fields{{"PM01-1", "PM01"}, {"PM02-1", "PM02"}});
            CHECK(t.rows[1].number == 3);
        }
    }
    SECTION("2.5: fields may be quoted, all or some") {
        const auto t = readTable("\"cell\",\"site\"\r\n\"PM01-1\",PM01\r\n");
        CHECK(t.names() == Names{"cell", "site"});
        CHECK(t.fields() == Fields{{"PM01-1", "PM01"}});
    }
    SECTION("2.6: line breaks and commas in quotes belong to the field") {
        const auto t =
            readTable("cell,address\r\nPM01-1,\"Quay Road 4, rear\r\nPort Merrow\"\r\nPM02-1,Mill Lane\r\n");
        CHECK(t.fields() == Fields{{"PM01-1", "Quay Road 4, rear\r\nPort Merrow"}, {"PM02-1", "Mill Lane"}});
        CHECK(t.rows[0].number == 2);
        CHECK(t.rows[1].number == 4);
    }
    SECTION("2.7: a quote in a quoted field is doubled") {
        const auto t = readTable("mount,remark\r\nP1,\"the \"\"old\"\" pole\"\r\nP2,\"\"\"\"\r\n");
        CHECK(t.fields() == Fields{{"P1", "the \"old\" pole"}, {"P2", "\""}});
    }
}

TEST_CASE("delimiters are found, and so is the decimal sign", "[text]") {
    const Fields expected{{"PM01-1", "53,3448", "12,5"}, {"PM01-2", "53,3501", "9"}};
    for (const char d : {';', '\t', '|'}) {
        const std::string s(1, d);
        const auto t = readTable("cell" + s + "lat" + s + "height\nPM01-1" + s + "53,3448" + s +
                                 "12,5\nPM01-2" + s + "53,3501" + s + "9\n");
        CAPTURE(s);
        CHECK(t.names() == Names{"cell", "lat", "height"});
        CHECK(t.fields() == expected);
        CHECK(t.head.delimiter == d);
        CHECK(t.head.decimal == ',');
    }
    const auto commas = readTable("cell,lat,height\nPM01-1,53.3448,12.5\n");
    CHECK(commas.head.delimiter == ',');
    CHECK(commas.head.decimal == '.');
    const auto list =
        readTable("cell,lat,neighbours\nPM01-1,53.3448,a;b\nPM01-2,53.35,a;c\nPM01-3,53.36,b;c\n");
    CHECK(list.head.delimiter == ',');
    CHECK(list.names().size() == 3);
    const auto told = readTable("a,b;c\n1,2;3\n", withDelimiter(','));
    CHECK(told.fields() == Fields{{"1", "2;3"}});
    const auto single = readTable("cell\nPM01-1\nPM01-2\n");
    CHECK(single.fields() == Fields{{"PM01-1"}, {"PM01-2"}});
}

TEST_CASE("a sep= line names the delimiter and is no row", "[text]") {
    const auto t = readTable("sep=;\r\ncell;name\r\nPM01-1;a,b\r\n");
    CHECK(t.names() == Names{"cell", "name"});
    CHECK(t.fields() == Fields{{"PM01-1", "a,b"}});
    CHECK(t.rows[0].number == 3);
    CHECK(t.head.preamble.empty());
}

TEST_CASE("lines before the header are kept as preamble", "[text]") {
    const auto t =
        readTable("Merrow Mobile, hourly counters\nExported 2026-04-13 06:12\n\n"
                  "cell;hour;prb use\nPM01-1;2026-04-06 00:00;12,5\nPM01-1;2026-04-06 01:00;11,5\n");
    CHECK(t.names() == Names{"cell", "hour", "prb use"});
    CHECK(t.head.preamble == Names{"Merrow Mobile, hourly counters", "Exported 2026-04-13 06:12"});
    CHECK(t.rows.size() == 2);
    CHECK(t.rows[0].number == 5);
    CHECK(t.says("header in line 4"));
    SECTION("padded to the table's width by a spreadsheet") {
        const auto padded = readTable("Counters;;\n;;\ncell;hour;use\nPM01-1;7;0,5\n");
        CHECK(padded.names() == Names{"cell", "hour", "use"});
        CHECK(padded.head.preamble.size() == 1);
    }
    SECTION("pairs as wide as the table") {
        const auto pairs = readTable("Exported,2026-04-13\nDays,7\ncell,use\nPM01-1,0.5\nPM01-2,0.25\n");
        CHECK(pairs.names() == Names{"cell", "use"});
        CHECK(pairs.rows.size() == 2);
        CHECK(pairs.head.preamble.size() == 2);
    }
    SECTION("with quotes that nobody closes") {
        const auto inch = readTable("\"Poles of 5 inch\ncell,use\nPM01-1,0.5\nPM01-2,0.25\n");
        CHECK(inch.names() == Names{"cell", "use"});
        CHECK(inch.rows.size() == 2);
    }
    SECTION("the user names the line") {
        const auto told = readTable("a,b\nc,d\n1,2\n", withHeader(2));
        CHECK(told.names() == Names{"c", "d"});
        CHECK(told.fields() == Fields{{"1", "2"}});
        const auto none = readTable("a,b\nc,d\n1,2\n", withHeader(0));
        CHECK(none.names() == Names{"column 1", "column 2"});
        CHECK(none.rows.size() == 3);
        CHECK(readTable("a,b\n", withHeader(9)).error.find("line 9") != std::string::npos);
    }
}

TEST_CASE("a file without header gets numbered columns, and says so", "[text]") {
    const auto t = readTable("PM01-1;53,3448;-6,26\nPM01-2;53,3501;-6,25\n");
    CHECK(t.names() == Names{"column 1", "column 2", "column 3"});
    CHECK(t.rows.size() == 2);
    CHECK(t.rows[0].number == 1);
    CHECK(t.says("no line with column names"));
}

TEST_CASE("steps of a histogram are names", "[text]") {
    const auto t = readTable("cell,0,1,2,3\nPM01-1,120,300,44,2\nPM01-2,80,20,4,1\n");
    CHECK(t.names() == Names{"cell", "0", "1", "2", "3"});
    CHECK(t.rows.size() == 2);
}

TEST_CASE("what is above and what is below tells the header", "[text]") {
    CHECK(readTable("operator;x;y;2G;3G;4G\nMerrow;342007;6791708;1;1;0\n").names() ==
          Names{"operator", "x", "y", "2G", "3G", "4G"});
    CHECK(readTable("cell;2026-04-06;2026-04-07\nA;0,5;0,6\nB;0,5;0,7\n").names() ==
          Names{"cell", "2026-04-06", "2026-04-07"});
    CHECK(readTable("cell,hour,height\nA,2026-04-06 00:00,12.5 m\nB,2026-04-06 01:00,13 m\n").names() ==
          Names{"cell", "hour", "height"});
    for (const char* none :
         {"A,2026-04-06 00:00,0.5\nA,2026-04-06 01:00,0.6\n", "53.1,6.1\n53.2,6.2\n", "A,12.5 m\nB,13 m\n",
          "A,n/a,3\nB,2,5\nC,4,7\n", "A;1.234,5;29.03.2026\nB;0,5;30.03.2026\n"}) {
        CAPTURE(none);
        CHECK(readTable(none).says("no line with column names"));
    }
    CHECK(readTable("cell,street\nA,Quay\nB,Mill\n").names() == Names{"cell", "street"});
}

TEST_CASE("names that stand twice, or nowhere, are told apart", "[text]") {
    const auto t = readTable("cell,use,use,,use (2)\nPM01-1,1,2,3,4\n");
    CHECK(t.names() == Names{"cell", "use", "use (3)", "column 4", "use (2)"});
    CHECK(t.says("\"use\" again"));
    CHECK(t.says("Column 4 has no name"));
}

TEST_CASE("trailing delimiters make no column", "[text]") {
    CHECK(readTable("cell;use;\nPM01-1;0,5;\n").fields() == Fields{{"PM01-1", "0,5"}});
    const auto rowsOnly = readTable("cell;use\nPM01-1;0,5;\nPM01-2;0,4;\n");
    CHECK(rowsOnly.names() == Names{"cell", "use"});
    CHECK(rowsOnly.fields() == Fields{{"PM01-1", "0,5"}, {"PM01-2", "0,4"}});
    CHECK(rowsOnly.rows[0].fault.empty());
}

TEST_CASE("short rows lack their last fields, long rows have a fault", "[text]") {
    const auto t = readTable("cell,lat,lon\nA,53.1,6.1\nB,53.2\nC,53,3,6,3\nD,53.4,6.4\n");
    REQUIRE(t.rows.size() == 4);
    CHECK(t.rows[1].fields == Names{"B", "53.2", ""});
    CHECK(t.rows[1].fault.empty());
    CHECK(t.says("shorter than the header: 1;"));
    CHECK(t.rows[2].fault == "it has 5 fields, the header 3");
    CHECK(t.rows[3].fault.empty());
}

TEST_CASE("a quote that is never closed costs its own row and says where", "[text]") {
    std::string text = "cell,remark,use\nA,\"fine\",1\nB,\"open,2\n";
    SECTION("until the end of the file") {
        for (int k = 0; k < 50; ++k) text += "C,plain,3\n";
        const auto t = readTable(text);
        REQUIRE(t.rows.size() == 52);
        CHECK(t.rows[1].fault == "a quote opens in line 3 and is not closed");
        CHECK(t.rows[1].fields == Names{"B", "\"open", "2"});
        CHECK(t.rows[51].number == 53);
        CHECK(t.rows[51].fields == Names{"C", "plain", "3"});
    }
    SECTION("until a later field's quote") {
        const auto t = readTable(text + "C,\"fine, too\",3\nD,x,4\n");
        REQUIRE(t.rows.size() == 4);
        CHECK(t.rows[1].fault == "a quote opens in line 3 and is not closed");
        CHECK(t.rows[2].fault.empty());
        CHECK(t.rows[2].fields == Names{"C", "fine, too", "3"});
    }
    SECTION("in a file larger than any block") {
        for (int k = 0; k < 60000; ++k) text += "C,plain text of a row,3\n";
        const auto t = readTable(text);
        CHECK(t.rows.size() == 60002);
        CHECK(t.rows.back().number == 60003);
    }
}

TEST_CASE("quotes that are not doubled make a fault of their row alone", "[text]") {
    const auto t = readTable("mount,remark\nP1,\"5\" pole\"\nP2,5\" pole\nP3, \"a,b\" \n");
    REQUIRE(t.rows.size() == 3);
    CHECK(t.rows[0].fields[1] == "\"5\" pole\"");
    CHECK(t.rows[0].fault.find("doubled") != std::string::npos);
    CHECK(t.rows[1].fields[1] == "5\" pole");
    CHECK(t.rows[1].fault.empty());
    CHECK(t.rows[2].fields[1] == "a,b");
}

TEST_CASE("lines end in CR, LF, CRLF, and in a mixture", "[text]") {
    for (const std::string end : {"\r", "\n", "\r\n"}) {
        const auto t = readTable("cell,use" + end + "A,1" + end + end + "B,2" + end);
        CHECK(t.fields() == Fields{{"A", "1"}, {"B", "2"}});
        CHECK(t.rows[1].number == 4);
    }
    const auto mixed = readTable("cell,use\r\nA,1\nB,2\rC,3\n\rD,4");
    CHECK(mixed.fields() == Fields{{"A", "1"}, {"B", "2"}, {"C", "3"}, {"D", "4"}});
    CHECK(mixed.rows[3].number == 6);
}

TEST_CASE("rows without values and repeated headers are left out and counted", "[text]") {
    const auto t = readTable("cell;use\nA;1\n;\n;\ncell;use\nB;2\n");
    CHECK(t.fields() == Fields{{"A", "1"}, {"B", "2"}});
    CHECK(t.says("Rows without any value, left out: 2."));
    CHECK(t.says("repeat the header, left out: 1."));
}

TEST_CASE("files of no rows and of no text are refused by a sentence", "[text]") {
    using namespace std::string_literals;
    CHECK(readTable("").error == "table.csv: The file is empty.");
    CHECK(readTable("\n\n \n").error.find("no rows") != std::string::npos);
    CHECK(readTable("\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\1\0\0\0\1\0"s).error.find("no text file") !=
          std::string::npos);
    const auto gone = openTextSource("/nowhere/at/all.csv");
    REQUIRE_FALSE(gone.ok());
    CHECK(gone.error().code == ErrorCode::cannotRead);
}

TEST_CASE("a field of more than 4 MiB is cut and its row has a fault", "[text]") {
    const auto t = readTable("cell,remark\nA," + std::string(5u << 20, 'x') + "\nB,2\nC,\"" +
                             std::string(5u << 20, 'y') + "\"\nD,4\n");
    REQUIRE(t.rows.size() == 4);
    CHECK(t.rows[0].fault.find("4 MiB") != std::string::npos);
    CHECK(t.rows[1].fields == Names{"B", "2"});
    CHECK_FALSE(t.rows[2].fault.empty());
    CHECK(t.rows[3].fields == Names{"D", "4"});
}

TEST_CASE("a reading that is stopped says so, one that has enough ends", "[text]") {
    const testing::TestFolder folder;
    std::string text = "cell,use\n";
    for (int k = 0; k < 20000; ++k) text += "A,1\n";
    testing::writeBytes(folder / "t.csv", text);
    auto source = openTextSource(folder / "t.csv");
    REQUIRE(source.ok());
    std::stop_source stop;
    int rows = 0;
    double share = 0;
    bool falls = false;
    const Job job{stop.get_token(), [&](double s, std::string_view) {
                      falls = falls || s < share;
                      share = s;
                  }};
    const auto stopped = (*source)->forEachRow(job, [&](SourceRow&) {
        if (++rows == 1000) stop.request_stop();
        return true;
    });
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().code == ErrorCode::cancelled);
    CHECK(rows < 1100);
    CHECK_FALSE(falls);
    rows = 0;
    CHECK((*source)->forEachRow({}, [&](SourceRow&) { return ++rows < 10; }).ok());
    CHECK(rows == 10);
    std::string error;
    CHECK(rowsOf(**source, error).size() == 20000);
}
