// SPDX-License-Identifier: GPL-3.0-or-later
// Random GeoJSON as the standard allows it: members in any order, blanks anywhere, escapes, nulls.
#pragma once

#include "base/random.h"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>
#include <string>
#include <vector>

namespace fw::testing {

class GeoJsonText {
public:
    explicit GeoJsonText(std::uint64_t seed) : m_random(seed) {}

    std::string collection(int features) {
        std::vector<std::string> all;
        for (int k = 0; k < features; ++k) all.push_back(feature());
        std::vector<std::string> members{R"("type":"FeatureCollection")",
                                         R"("name":"town","bbox":[-7,53,-6,54])"};
        if (m_random.chance(0.5)) std::swap(members[0], members[1]);
        const std::string list = R"("features":)" + blank() + "[" + join(all) + "]";
        if (m_random.chance(0.5))
            members.insert(members.begin() + m_random.below(3), list);
        else
            members.push_back(list);
        return blank() + "{" + join(members) + "}" + blank();
    }
    std::string feature() {
        std::vector<std::string> members{R"("type":"Feature")", R"("geometry":)" + blank() + geometry(0),
                                         R"("properties":)" + properties()};
        if (m_random.chance(0.1)) members.push_back(R"("bbox":[1,2,3,4])");
        for (std::size_t k = members.size(); k > 1; --k)
            std::swap(members[k - 1], members[m_random.below(static_cast<std::uint32_t>(k))]);
        return "{" + join(members) + "}";
    }

private:
    std::string blank() {
        return m_random.chance(0.1) ? std::string(m_random.below(4), "\n \t\r"[m_random.below(4)]) : "";
    }
    std::string join(const std::vector<std::string>& parts) {
        std::string s;
        for (const std::string& part : parts) s += (s.empty() ? "" : blank() + "," + blank()) + part;
        return blank() + s + blank();
    }
    std::string number(double a, double b) {
        const double v = m_random.between(a, b);
        switch (m_random.below(4)) {
        case 0:
            return fmt::format("{}", v);
        case 1:
            return fmt::format("{:.3f}", v);
        case 2:
            return fmt::format("{:.9e}", v);
        default:
            return fmt::format("{}", static_cast<int>(v));
        }
    }
    std::string place() {
        return "[" + number(-7, -6) + blank() + "," + number(53, 54) +
               (m_random.chance(0.2) ? "," + number(0, 99) : "") + "]";
    }
    std::string places(int least, bool closed) {
        std::vector<std::string> all;
        const int n = least + static_cast<int>(m_random.below(5));
        for (int k = 0; k < n; ++k) all.push_back(place());
        if (closed) all.push_back(all[0]);
        return "[" + join(all) + "]";
    }
    std::string rings() {
        std::vector<std::string> all{places(3, true)};
        while (m_random.chance(0.3)) all.push_back(places(3, true));
        return "[" + join(all) + "]";
    }
    std::string several(std::string (GeoJsonText::*one)()) {
        std::vector<std::string> all;
        for (std::uint32_t n = 1 + m_random.below(3); n > 0; --n) all.push_back((this->*one)());
        return "[" + join(all) + "]";
    }
    std::string line() { return places(2, false); }
    std::string geometry(int depth) {
        const auto of = [&](const char* type, const std::string& coordinates) {
            std::vector<std::string> members{fmt::format("\"type\":{}\"{}\"", blank(), type),
                                             "\"coordinates\":" + blank() + coordinates};
            if (m_random.chance(0.3)) std::swap(members[0], members[1]);
            return "{" + join(members) + "}";
        };
        switch (m_random.below(depth < 2 ? 9 : 7)) {
        case 0:
            return of("Point", place());
        case 1:
            return of("MultiPoint", places(1, false));
        case 2:
            return of("LineString", line());
        case 3:
            return of("MultiLineString", several(&GeoJsonText::line));
        case 4:
        case 5:
            return of("Polygon", rings());
        case 6:
            return of("MultiPolygon", several(&GeoJsonText::rings));
        case 7:
            if (depth == 0 && m_random.chance(0.5)) return "null";
            return of("Point", place());
        default: {
            std::vector<std::string> all;
            for (std::uint32_t n = 1 + m_random.below(3); n > 0; --n) all.push_back(geometry(depth + 1));
            return R"({"type":"GeometryCollection","geometries":[)" + join(all) + "]}";
        }
        }
    }
    std::string text() {
        constexpr const char* kParts[] = {"a",    "B 7",  "\\n", "\\u00e9", "\xc3\x9f",
                                          "\\\"", "\\\\", "\\/", "{[,:]}",  "\\ud83d\\ude00",
                                          "12",   "x",    "_"};
        std::string s = "\"n";
        for (std::uint32_t n = m_random.below(6); n > 0; --n) s += kParts[m_random.below(std::size(kParts))];
        return s + "\"";
    }
    std::string properties() {
        if (m_random.chance(0.05)) return "{}";
        std::vector<std::string> all;
        const auto add = [&](const char* name, const std::string& value) {
            if (m_random.chance(0.9))
                all.push_back(fmt::format("\"{}\"{}:{}{}", name, blank(), blank(),
                                          m_random.chance(0.1) ? "null" : value));
        };
        add("name", text());
        add("height", number(-10, 90));
        add("h\\u00f6he", number(1e-3, 1e9));
        add("storeys", fmt::format("{}", m_random.below(30)));
        add("flat", m_random.chance(0.5) ? "true" : "false");
        add("list", "[1, 2, {\"a\":[]}]");
        if (m_random.chance(0.2)) std::reverse(all.begin(), all.end());
        return "{" + join(all) + "}";
    }

    Random m_random;
};

} // namespace fw::testing
