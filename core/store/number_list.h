// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fw {

/// A number as text, the shortest that reads back to the same bits; -0 as 0. C locale always.
std::string numberText(double v);
/// The whole text must be one number; surrounding blanks are allowed.
std::optional<double> numberFrom(std::string_view text);

/// A list of numbers as a JSON array: [0,3,6.5].
std::string listText(const std::vector<double>& values);
/// Empty too for a text longer than a mebibyte: no list of a plan comes near, and its numbers would take
/// eight times the room.
std::optional<std::vector<double>> listFrom(std::string_view text);

} // namespace fw
