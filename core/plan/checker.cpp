// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/checker.h"

#include <fmt/format.h>

namespace fw {

namespace {

constexpr double kFarM = 2e7; // no projected system reaches further from its origin
constexpr std::size_t kLongestText = 10000;

// Length of the well-formed sequence at s[i], 0 when there is none.
std::size_t sequenceAt(const std::string& s, std::size_t i) {
    const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(s[k]); };
    const unsigned lead = byte(i);
    if (lead < 0x80) return 1;
    std::size_t n = 0;
    if (lead >= 0xc2 && lead < 0xe0) n = 2;
    if (lead >= 0xe0 && lead < 0xf0) n = 3;
    if (lead >= 0xf0 && lead < 0xf5) n = 4;
    if (n == 0 || i + n > s.size()) return 0;
    for (std::size_t k = 1; k < n; ++k)
        if ((byte(i + k) & 0xc0u) != 0x80u) return 0;
    const unsigned second = byte(i + 1);
    const bool overlong = (lead == 0xe0 && second < 0xa0) || (lead == 0xf0 && second < 0x90);
    const bool outside = (lead == 0xed && second >= 0xa0) || (lead == 0xf4 && second >= 0x90);
    return overlong || outside ? 0 : n;
}

// Around its own first corner: far from the origin the plain sum loses a small ring in its digits.
double areaOfRing(const Ring& ring) {
    Ring near = ring;
    for (PlanePoint& p : near) p = p - ring.front();
    return signedArea(near);
}

} // namespace

bool isText(const std::string& s) {
    for (std::size_t i = 0; i < s.size();) {
        const std::size_t n = sequenceAt(s, i);
        if (n == 0 || s[i] == '\0') return false;
        i += n;
    }
    return true;
}

void Checker::range(const char* field, double v, double low, double high, const char* unit) {
    if (v >= low && v <= high) return;
    const char* gap = *unit ? " " : "";
    fail(fmt::format("the {} is {}{}{}; it must lie between {} and {}{}{}", field, v, gap, unit, low, high,
                     gap, unit));
}

void Checker::range(const char* field, const std::optional<double>& v, double low, double high,
                    const char* unit) {
    if (v) range(field, *v, low, high, unit);
}

void Checker::range(const char* field, const std::optional<std::int64_t>& v, std::int64_t low,
                    std::int64_t high) {
    if (v && (*v < low || *v > high))
        fail(fmt::format("the {} is {}; it must lie between {} and {}", field, *v, low, high));
}

void Checker::range(const char* field, const std::vector<double>& values, double low, double high,
                    const char* unit) {
    for (const double v : values) range(field, v, low, high, unit);
}

void Checker::azimuth(const char* field, TrueAzimuth a) {
    if (!(a.deg >= 0 && a.deg < 360))
        fail(fmt::format("the {} is {} deg; it must be at least 0 and below 360 deg", field, a.deg));
}

void Checker::atMost(const char* field, std::size_t n, std::size_t most) {
    if (n > most) fail(fmt::format("the {} has {} entries; at most {} are taken", field, n, most));
}

void Checker::text(const char* field, const std::string& s) {
    if (s.size() > kLongestText) fail(fmt::format("the {} is longer than {} bytes", field, kLongestText));
    if (!isText(s)) fail(fmt::format("the {} is not valid UTF-8 text", field));
}

void Checker::given(const char* field, const std::string& s) {
    if (s.find_first_not_of(" \t\n\r") == std::string::npos)
        fail(fmt::format("the {} is empty; it must be given", field));
}

void Checker::date(const char* field, const std::string& s) {
    if (s.empty() || (s.size() == 10 && Date::parse(s).ok())) return;
    fail(fmt::format("the {} is \"{}\"; it must be a day written YYYY-MM-DD", field, isText(s) ? s : "?"));
}

void Checker::place(const char* field, PlanePoint p) {
    range(field, p.x, -kFarM, kFarM, "m");
    range(field, p.y, -kFarM, kFarM, "m");
}

void Checker::line(const char* field, const Line& path) {
    if (path.size() < 2) fail(fmt::format("the {} has {} points; it needs at least 2", field, path.size()));
    for (const PlanePoint& p : path) place(field, p);
}

void Checker::ring(const char* field, const Ring& ring, bool outer) {
    if (ring.size() < 3)
        return fail(fmt::format("the {} has a ring of {} corners; it needs at least 3", field, ring.size()));
    for (const PlanePoint& p : ring) place(field, p);
    if (!good()) return;
    const double area = areaOfRing(ring);
    if (area == 0) return fail(fmt::format("the {} has a ring without area", field));
    if ((area > 0) == outer) return;
    fail(fmt::format("the {} has {} that runs {}; outer rings run anticlockwise and holes clockwise", field,
                     outer ? "an outer ring" : "a hole", outer ? "clockwise" : "anticlockwise"));
}

void Checker::polygon(const char* field, const Polygon& p) {
    ring(field, p.outer, true);
    for (const Ring& hole : p.holes) ring(field, hole, false);
}

} // namespace fw
