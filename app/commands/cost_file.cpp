// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/cost_file.h"

#include "commands/common.h"

#include <fmt/format.h>
#include <fstream>
#include <iterator>

namespace fw::cli {

CostTable costsFrom(const std::string& file) {
    const std::string path = file.empty() ? (dataFolder() / "costs.toml").string() : file;
    std::ifstream in(path, std::ios::binary);
    if (!in && file.empty()) return {};
    if (!in) throw Failure{exitFile, fmt::format("{}: There is no such file, or it cannot be read.", path)};
    const std::string text{std::istreambuf_iterator<char>(in), {}};
    auto costs = costsFromToml(text);
    if (!costs) throw Failure{exitFile, fmt::format("{}: {}", path, costs.error().sentence())};
    return std::move(costs).value();
}

} // namespace fw::cli
