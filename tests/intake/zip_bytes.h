// SPDX-License-Identifier: GPL-3.0-or-later
// Archives written byte by byte, so that they can lie. Source: APPNOTE 6.3.3, 4.3.7, 4.3.12, 4.3.16.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace fw::testing {

struct ZipMember {
    std::string name, bytes;
    std::uint32_t said = 0;  ///< unpacked size that the table states; 0: the true one
    std::uint16_t flags = 0; ///< 1: locked
};

inline std::uint32_t crcOf(const std::string& bytes) {
    std::uint32_t crc = 0xffffffff;
    for (const char c : bytes) {
        crc ^= static_cast<unsigned char>(c);
        for (int k = 0; k < 8; ++k) crc = crc >> 1 ^ (crc & 1 ? 0xedb88320u : 0u);
    }
    return ~crc;
}

/// Members are stored as they are, not packed.
inline std::string zipOf(const std::vector<ZipMember>& members) {
    std::string out, table;
    const auto put = [](std::string& to, std::uint32_t v, int bytes) {
        for (int k = 0; k < bytes; ++k) to += static_cast<char>(v >> 8 * k);
    };
    const auto common = [&](std::string& to, const ZipMember& m) {
        put(to, 20, 2);
        put(to, m.flags, 2);
        put(to, 0, 2);
        put(to, 0, 4);
        put(to, crcOf(m.bytes), 4);
        put(to, static_cast<std::uint32_t>(m.bytes.size()), 4);
        put(to, m.said ? m.said : static_cast<std::uint32_t>(m.bytes.size()), 4);
        put(to, static_cast<std::uint32_t>(m.name.size()), 2);
        put(to, 0, 2);
    };
    for (const ZipMember& m : members) {
        const auto at = static_cast<std::uint32_t>(out.size());
        out += "PK\x03\x04";
        common(out, m);
        out += m.name + m.bytes;
        table += "PK\x01\x02";
        put(table, 20, 2);
        common(table, m);
        put(table, 0, 2);
        put(table, 0, 4);
        put(table, 0, 4);
        put(table, at, 4);
        table += m.name;
    }
    const auto at = static_cast<std::uint32_t>(out.size());
    out += table + "PK\x05\x06";
    put(out, 0, 4);
    put(out, static_cast<std::uint32_t>(members.size()), 2);
    put(out, static_cast<std::uint32_t>(members.size()), 2);
    put(out, static_cast<std::uint32_t>(table.size()), 4);
    put(out, at, 4);
    put(out, 0, 2);
    return out;
}

} // namespace fw::testing
