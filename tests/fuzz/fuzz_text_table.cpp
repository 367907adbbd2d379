// SPDX-License-Identifier: GPL-3.0-or-later
// Any bytes as a delimited text: refused by a sentence, or rows that are the same when read again. The first
// byte chooses what the user settled. From the seeds a minute on two busy cores reaches 2100 edges.
#include "intake/text_source.h"
#include "store/folder.h"

#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <cstdlib>

using namespace fw;

namespace {

void demand(bool met, const char* what) {
    if (met) return;
    std::fprintf(stderr, "%s\n", what);
    std::abort();
}

SourceOptions optionsOf(unsigned choice) {
    SourceOptions options;
    constexpr const char* kEncodings[] = {"", "", "", "", "utf-8", "utf-16le", "utf-16be", "latin-1"};
    options.encoding = kEncodings[choice % 8];
    if (choice & 8) options.delimiter = ",;\t|"[choice >> 4 & 3];
    if (choice & 64) options.headerLine = choice >> 4 & 3;
    if (choice & 128) options.decimal = ',';
    return options;
}

struct Pass {
    std::string rows;
    std::int64_t last = 0, count = 0;
};
Pass passOver(Source& source) {
    Pass pass;
    const std::size_t columns = source.head().columns.size();
    const auto status = source.forEachRow({}, [&](SourceRow& row) {
        demand(row.values.size() == columns, "values are not as many as columns");
        demand(row.number > pass.last, "the numbers of rows do not ascend");
        pass.last = row.number;
        ++pass.count;
        pass.rows += std::to_string(row.number) + row.fault;
        for (const SourceValue& v : row.values) {
            const auto* text = std::get_if<std::string>(&v);
            demand(text || std::holds_alternative<std::monostate>(v), "a text has a number");
            demand(!text || !text->empty(), "an empty text is a value");
            pass.rows += text ? *text + '\1' : "\2";
        }
        return true;
    });
    demand(status.ok(), "a pass failed");
    return pass;
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const testing::TestFolder folder;
    if (size == 0) return 0;
    const std::string bytes(reinterpret_cast<const char*>(data) + 1, size - 1);
    // Writing over a file makes some file systems wait for the disk.
    std::filesystem::remove(folder / "in.csv");
    testing::writeBytes(folder / "in.csv", bytes);
    const auto source = openTextSource(folder / "in.csv", optionsOf(data[0]));
    if (!source) {
        demand(source.error().text.size() > 10, "no sentence");
        return 0;
    }
    const SourceHead& head = (*source)->head();
    demand(!head.columns.empty() && !head.notes.empty(), "nothing is said of the file");
    std::vector<std::string> names;
    for (const SourceColumn& c : head.columns) {
        demand(!c.name.empty() && c.samples.size() <= 5, "a column without name");
        names.push_back(c.name);
    }
    std::sort(names.begin(), names.end());
    demand(std::adjacent_find(names.begin(), names.end()) == names.end(), "two columns of one name");
    const Pass first = passOver(**source);
    const auto notes = head.notes;
    const Pass again = passOver(**source);
    demand(first.rows == again.rows && notes == head.notes, "a second reading differs");
    const auto ends =
        std::count(bytes.begin(), bytes.end(), '\n') + std::count(bytes.begin(), bytes.end(), '\r');
    demand(first.last <= ends + 1, "a row begins after the last line");
    return 0;
}
