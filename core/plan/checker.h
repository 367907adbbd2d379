// SPDX-License-Identifier: GPL-3.0-or-later
// Checks of single values with their sentences; for validate.cpp and validate_settings.cpp alone.
#pragma once

#include "base/result.h"
#include "plan/items.h"

#include <optional>
#include <string>
#include <vector>

namespace fw {

/// Keeps the first fault found; everything after it is looked at in vain.
class Checker {
public:
    void fail(std::string text) {
        if (m_fault.empty()) m_fault = std::move(text);
    }
    /// Closed range; refuses what is not finite.
    void range(const char* field, double v, double low, double high, const char* unit = "");
    void range(const char* field, const std::optional<double>& v, double low, double high,
               const char* unit = "");
    void range(const char* field, const std::optional<std::int64_t>& v, std::int64_t low, std::int64_t high);
    void range(const char* field, const std::vector<double>& values, double low, double high,
               const char* unit = "");
    void azimuth(const char* field, TrueAzimuth a); ///< [0, 360)
    void atMost(const char* field, std::size_t n, std::size_t most);
    void text(const char* field, const std::string& s);  ///< UTF-8 without zeros, at most 10,000 bytes
    void given(const char* field, const std::string& s); ///< not blank
    void date(const char* field, const std::string& s);  ///< a day, or empty
    void place(const char* field, PlanePoint p);
    void line(const char* field, const Line& path);
    void polygon(const char* field, const Polygon& p);

    [[nodiscard]] bool good() const { return m_fault.empty(); }
    [[nodiscard]] Error error(std::string subject) const {
        return {ErrorCode::badInput, m_fault + ".", std::move(subject)};
    }

private:
    void ring(const char* field, const Ring& ring, bool outer);
    std::string m_fault;
};

/// Well-formed UTF-8 without a zero byte (RFC 3629, 4).
bool isText(const std::string& s);

} // namespace fw
