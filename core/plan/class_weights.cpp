// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/class_weights.h"

#include "base/ascii.h"
#include "base/text.h"

#include <charconv>
#include <fmt/format.h>

namespace fw {
namespace {

constexpr std::size_t kMostClasses = 256;
constexpr double kMostWeight = 100;

template <class N>
bool wholeFrom(std::string_view text, N& v) {
    const auto [end, failed] = std::from_chars(text.data(), text.data() + text.size(), v);
    return failed == std::errc{} && end == text.data() + text.size();
}

} // namespace

Result<std::map<std::int32_t, double>> classWeights(std::string_view text) {
    std::map<std::int32_t, double> out;
    while (!trimmed(text).empty()) {
        const auto end = text.find(';');
        const std::string_view pair = trimmed(text.substr(0, end));
        text = end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
        if (pair.empty()) continue;
        const auto equals = pair.find('=');
        std::int32_t cls = 0;
        double weight = 0;
        if (equals == std::string_view::npos || !wholeFrom(trimmed(pair.substr(0, equals)), cls) ||
            !wholeFrom(trimmed(pair.substr(equals + 1)), weight) || !(weight >= 0) || weight > kMostWeight)
            return Error{
                ErrorCode::badInput,
                fmt::format(CORE_TEXT("\"{}\" is no weight of a land-cover class; write class=weight, "
                                      "weights from 0 to 100, as in \"80=0; 50=1\""),
                            pair.substr(0, 60)),
                {}};
        if (!out.emplace(cls, weight).second)
            return Error{ErrorCode::badInput,
                         fmt::format(CORE_TEXT("the land-cover class {} has two weights"), cls),
                         {}};
        if (out.size() > kMostClasses)
            return Error{
                ErrorCode::badInput, CORE_TEXT("more than 256 land-cover classes have a weight"), {}};
    }
    return out;
}

std::string classWeightsText(const std::map<std::int32_t, double>& weights) {
    std::string out;
    for (const auto& [cls, weight] : weights)
        out += fmt::format("{}{}={}", out.empty() ? "" : "; ", cls, weight);
    return out;
}

} // namespace fw
