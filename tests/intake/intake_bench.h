// SPDX-License-Identifier: GPL-3.0-or-later
// A plan round invented Port Merrow and files to take into it.
#pragma once

#include "catch.h"
#include "intake/preview.h"
#include "plan/new_plan.h"
#include "store/folder.h"

#include <algorithm>

namespace fw::testing {

inline constexpr double kLat = 36.9312, kLon = -20.4187; ///< the fish market
inline constexpr int kEpsg = 32627;                      ///< WGS 84 / UTM zone 27N

inline Plan portMerrow() {
    const auto frame = Frame::fromEpsg(kEpsg);
    REQUIRE(frame);
    const auto area = squareRound(*frame, {kLat, kLon}, 4000);
    REQUIRE(area);
    auto plan = newPlan({"Port Merrow", kEpsg, {2026, 10, 5}, *area});
    REQUIRE(plan);
    return std::move(*plan);
}

/// Files of one test.
class IntakeBench {
public:
    std::filesystem::path write(const std::string& name, std::string_view bytes) const {
        const auto file = m_folder / name;
        writeBytes(file, std::string(bytes));
        return file;
    }
    [[nodiscard]] std::filesystem::path path(const std::string& name) const { return m_folder / name; }

    /// Of a file that can be read.
    [[nodiscard]] IntakePreview preview(const std::filesystem::path& file, IntakeRequest request) const {
        auto got = previewIntake(plan, file, request);
        INFO((got ? std::string() : got.error().sentence()));
        REQUIRE(got);
        const IntakePreview& p = *got;
        INFO(file.filename().string());
        CHECK(p.rows == p.good + p.refused);
        CHECK(p.refusals.size() == std::min(p.refused, IntakePreview::kMostListed));
        return std::move(*got);
    }
    [[nodiscard]] IntakePreview preview(const std::filesystem::path& file, IntakeKind kind) const {
        IntakeRequest request;
        request.kind = kind;
        return preview(file, request);
    }
    /// The same for bytes that are written first.
    [[nodiscard]] IntakePreview preview(const std::string& name, std::string_view bytes,
                                        IntakeKind kind) const {
        return preview(write(name, bytes), kind);
    }

    Plan plan = portMerrow();

private:
    TestFolder m_folder;
};

inline bool says(const IntakePreview& p, IntakeRemark::Weight weight, std::string_view words) {
    return std::any_of(p.remarks.begin(), p.remarks.end(), [&](const IntakeRemark& r) {
        return r.weight == weight && r.text.find(words) != std::string::npos;
    });
}
inline std::string remarksOf(const IntakePreview& p) {
    std::string all;
    for (const IntakeRemark& r : p.remarks) all += r.text + "\n";
    for (const RefusedRow& r : p.refusals) all += sentenceOf(r, p.head) + "\n";
    return all;
}

/// Items of one type that an edit puts, in its order.
template <class T>
std::vector<T> putsOf(const Edit& edit) {
    std::vector<T> out;
    for (const Change& c : edit.changes) {
        if (const auto* put = std::get_if<Put>(&c))
            if (const auto* item = std::get_if<T>(&put->item)) out.push_back(*item);
        if constexpr (std::is_same_v<T, Building>)
            if (const auto* many = std::get_if<PutBuildings>(&c))
                out.insert(out.end(), many->buildings->begin(), many->buildings->end());
    }
    return out;
}

} // namespace fw::testing
