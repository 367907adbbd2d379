// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/integration_sheet.h"

#include <algorithm>
#include <charconv>
#include <clocale>
#include <ctime>
#include <fstream>
#include <memory>
#include <xlsxwriter.h>

namespace fw {

namespace {

// The library prints numbers by the country of the thread; a workbook wants points.
class PlainNumbers {
public:
    PlainNumbers() : m_plain(newlocale(LC_NUMERIC_MASK, "C", nullptr)) {
        if (m_plain) m_before = uselocale(m_plain);
    }
    ~PlainNumbers() {
        if (!m_plain) return;
        uselocale(m_before);
        freelocale(m_plain);
    }
    PlainNumbers(const PlainNumbers&) = delete;
    PlainNumbers& operator=(const PlainNumbers&) = delete;

private:
    locale_t m_plain = nullptr, m_before = nullptr;
};

constexpr std::size_t kWidest = 60, kNarrowest = 8, kLongestText = 32767; // the last: a cell's, by the format

std::string cut(const std::string& text) {
    if (text.size() <= kLongestText) return text;
    std::size_t end = kLongestText;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xc0) == 0x80) --end; // between characters
    return text.substr(0, end);
}

// A number of a table, which this program wrote.
std::optional<double> numberOf(const std::string& text) {
    double v = 0;
    const char* end = text.data() + text.size();
    const auto [stop, failed] = std::from_chars(text.data(), end, v);
    if (failed != std::errc{} || stop != end) return std::nullopt;
    return v;
}

void fill(lxw_worksheet* sheet, lxw_format* bold, const SheetTable& table) {
    for (std::size_t c = 0; c < table.columns.size(); ++c) {
        const auto column = static_cast<lxw_col_t>(c);
        std::size_t widest = table.columns[c].head.size();
        worksheet_write_string(sheet, 0, column, cut(table.columns[c].head).c_str(), bold);
        for (std::size_t r = 0; r < table.rows.size(); ++r) {
            const std::string& text = table.rows[r][c];
            if (text.empty()) continue;
            widest = std::max(widest, text.size());
            const auto row = static_cast<lxw_row_t>(r + 1);
            if (const auto v = table.columns[c].number ? numberOf(text) : std::nullopt)
                worksheet_write_number(sheet, row, column, *v, nullptr);
            else
                worksheet_write_string(sheet, row, column, cut(text).c_str(), nullptr);
        }
        worksheet_set_column(sheet, column, column,
                             static_cast<double>(std::clamp(widest + 2, kNarrowest, kWidest)), nullptr);
    }
    worksheet_freeze_panes(sheet, 1, 1);
}

// Midnight (UTC) of the plan's date; a plan without one has the first day that workbooks know.
std::time_t timeOf(const Date& date) {
    std::tm tm{};
    tm.tm_year = std::max(date.year, 1980) - 1900;
    tm.tm_mon = std::max(date.month, 1) - 1;
    tm.tm_mday = std::max(date.day, 1);
    return timegm(&tm);
}

Error cannotWrite(const std::filesystem::path& file, const char* why) {
    return {ErrorCode::cannotWrite,
            std::string("The workbook cannot be written (") + why +
                "); check the folder, its rights and the space left.",
            file.string()};
}

} // namespace

Status writeIntegrationXlsx(const std::filesystem::path& file, const std::vector<SheetTable>& tables,
                            const Plan& plan) {
    const PlainNumbers plain;
    std::filesystem::path beside = file;
    beside += ".part";
    // The library would say it on the error stream, too.
    if (!std::ofstream(beside, std::ios::binary)) return cannotWrite(file, "it cannot be made");
    lxw_workbook* book = workbook_new(beside.c_str());
    if (!book) return cannotWrite(file, "no memory");
    std::string title = plan.settings->name;
    lxw_doc_properties properties{};
    properties.title = title.data();
    properties.created = timeOf(plan.settings->date);
    workbook_set_properties(book, &properties);
    lxw_format* bold = workbook_add_format(book);
    format_set_bold(bold);
    for (const SheetTable& t : tables)
        if (lxw_worksheet* sheet = workbook_add_worksheet(book, t.name.c_str())) fill(sheet, bold, t);
    const lxw_error failed = workbook_close(book);
    std::error_code ec;
    if (failed != LXW_NO_ERROR) {
        std::filesystem::remove(beside, ec);
        return cannotWrite(file, lxw_strerror(failed));
    }
    std::filesystem::rename(beside, file, ec);
    if (!ec) return Done{};
    const std::string why = ec.message();
    std::filesystem::remove(beside, ec);
    return cannotWrite(file, why.c_str());
}

} // namespace fw
