// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/digest.h"

#include <cstring>

namespace fw {
namespace {

std::uint64_t mix(std::uint64_t z) {
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ull;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebull;
    return z ^ (z >> 31);
}

} // namespace

Digester& Digester::add(std::uint64_t v) {
    ++m_n;
    m_a = mix(m_a ^ v) + 0x9e3779b97f4a7c15ull * m_n;
    m_b = mix(m_b + (v * 0xd6e8feb86659fd93ull)) ^ (m_a >> 7);
    return *this;
}

Digester& Digester::add(double v) {
    if (v == 0) v = 0; // -0 and 0 are one value
    std::uint64_t u = 0;
    std::memcpy(&u, &v, sizeof u);
    return add(u);
}

Digester& Digester::bytes(const void* data, std::size_t n) {
    const auto* p = static_cast<const unsigned char*>(data);
    add(static_cast<std::uint64_t>(n));
    for (; n >= 8; n -= 8, p += 8) {
        std::uint64_t u = 0;
        std::memcpy(&u, p, 8);
        add(u);
    }
    if (n) {
        std::uint64_t u = 0;
        std::memcpy(&u, p, n);
        add(u);
    }
    return *this;
}

Digester& Digester::add(std::string_view s) { return bytes(s.data(), s.size()); }

Digest Digester::done() const { return {mix(m_a ^ m_n), mix(m_b + m_a)}; }

std::string Digest::hex() const {
    static constexpr char digits[] = "0123456789abcdef";
    std::string s;
    for (std::uint64_t part : {hi, lo})
        for (int shift = 60; shift >= 0; shift -= 4) s += digits[(part >> shift) & 15];
    return s;
}

} // namespace fw
