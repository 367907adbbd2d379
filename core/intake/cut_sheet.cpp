// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/cut_sheet.h"

#include "base/text.h"
#include "radio/antenna.h"

#include <fmt/format.h>

#include <fstream>
#include <iterator>

namespace fw {
namespace {

constexpr std::size_t kLook = 4096;

std::string lowerWord(std::string_view line) {
    std::string out;
    for (const char c : line)
        if (c != ' ' && c != '\t' && c != '\r' && c != '"')
            out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    // Empty fields behind a section's name, as a table program writes them.
    while (!out.empty() && (out.back() == ',' || out.back() == ';')) out.pop_back();
    return out;
}

class CutSheet final : public Source {
public:
    CutSheet(const std::filesystem::path& file, AntennaCut cut) : m_cut(std::move(cut)) {
        m_head.file = file;
        m_head.format = "text";
        for (const char* name : {"antenna", "plane", "angle_deg", "loss_db", "gain_dbi"})
            m_head.columns.push_back({name, false, {}});
        m_head.rowCount = static_cast<std::int64_t>(m_cut.horizontalDeg.size() + m_cut.verticalDeg.size());
        for (std::size_t n = 0; n < 5; ++n) // what people see of it
            if (n < m_cut.horizontalDeg.size()) {
                const SourceRow row = rowOf("horizontal", m_cut.horizontalDeg, m_cut.horizontalLossDb, n);
                for (std::size_t k = 0; k < row.values.size(); ++k)
                    m_head.columns[k].samples.push_back(std::get<std::string>(row.values[k]));
            }
        m_head.notes.push_back(
            fmt::format("Read as the cuts of one antenna in sections, {} and {} angles; its "
                        "name is the file's.",
                        m_cut.horizontalDeg.size(), m_cut.verticalDeg.size()));
    }

    [[nodiscard]] const SourceHead& head() const override { return m_head; }

    Status forEachRow(const Job& job, const std::function<bool(SourceRow&)>& f) override {
        std::int64_t number = 0;
        const auto give = [&](const char* plane, const std::vector<double>& deg,
                              const std::vector<double>& loss) {
            for (std::size_t n = 0; n < deg.size(); ++n) {
                if (job.stopped()) return false;
                SourceRow row = rowOf(plane, deg, loss, n);
                row.number = ++number;
                if (!f(row)) return false;
            }
            return true;
        };
        if (give("horizontal", m_cut.horizontalDeg, m_cut.horizontalLossDb))
            give("vertical", m_cut.verticalDeg, m_cut.verticalLossDb);
        if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("The reading was stopped."), {}};
        return Done{};
    }

private:
    [[nodiscard]] SourceRow rowOf(const char* plane, const std::vector<double>& deg,
                                  const std::vector<double>& loss, std::size_t n) const {
        SourceRow row;
        row.values = {m_cut.name, std::string(plane), fmt::format("{}", deg[n]), fmt::format("{}", loss[n]),
                      fmt::format("{}", m_cut.gainDbi)};
        return row;
    }

    SourceHead m_head;
    AntennaCut m_cut;
};

} // namespace

bool looksLikeCuts(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::string text(kLook, '\0');
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    text.resize(static_cast<std::size_t>(in.gcount()));
    if (text.starts_with("\xEF\xBB\xBF")) text.erase(0, 3);
    for (std::string_view left = text; !left.empty();) {
        const auto end = left.find('\n');
        const std::string line = lowerWord(left.substr(0, end));
        left.remove_prefix(end == left.npos ? left.size() : end + 1);
        if (line.empty() || line.front() == '#') continue;
        const bool gain = line.starts_with("gain_dbi") && line.size() > 9 &&
                          (line[8] == ',' || line[8] == ';') &&
                          (line[9] == '-' || (line[9] >= '0' && line[9] <= '9'));
        return line == "horizontal" || line == "vertical" || gain;
    }
    return false;
}

Result<std::unique_ptr<Source>> openCutSheet(const std::filesystem::path& file) {
    const auto refused = [&](const std::string& text) {
        return Error{ErrorCode::badInput, text, file.filename().string()};
    };
    std::error_code failed;
    const auto size = std::filesystem::file_size(file, failed);
    std::ifstream in(file, std::ios::binary);
    if (failed || !in)
        return Error{ErrorCode::cannotRead,
                     CORE_TEXT("The file cannot be read; look whether it is there and may be read."),
                     file.filename().string()};
    if (size > kMostCutBytes)
        return refused(CORE_TEXT("Cuts of one antenna in more than 4 MB; look at the file."));
    const std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    const auto cuts = readCutCsv(text);
    if (!cuts) return refused(cuts.error().sentence());
    return std::unique_ptr<Source>(
        std::make_unique<CutSheet>(file, antennaCutOf(*cuts, {}, file.stem().string())));
}

} // namespace fw
