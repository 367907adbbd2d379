// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <type_traits>

namespace fw {

/// A 128-bit digest of inputs: the key under which a computed part is kept. Not for secrets.
struct Digest {
    std::uint64_t hi = 0, lo = 0;
    auto operator<=>(const Digest&) const = default;
    [[nodiscard]] std::string hex() const;
};

/// Feeds values one after another; the same values in the same order give the same digest on every machine.
/// Doubles go in by their bits, with -0 as 0.
class Digester {
public:
    Digester& bytes(const void* data, std::size_t n);
    Digester& add(std::uint64_t v);
    Digester& add(double v);
    Digester& add(std::string_view s);
    Digester& add(const Digest& d) { return add(d.hi).add(d.lo); }
    template <class E>
    requires(std::is_enum_v<E> ||
             (std::is_integral_v<E> && !std::is_same_v<E, std::uint64_t>)) Digester& add(E v) {
        return add(static_cast<std::uint64_t>(static_cast<std::int64_t>(v)));
    }
    [[nodiscard]] Digest done() const;

private:
    std::uint64_t m_a = 0x9ae16a3b2f90404full, m_b = 0xc949c7defebe6c6full, m_n = 0;
};

} // namespace fw

template <>
struct std::hash<fw::Digest> {
    std::size_t operator()(const fw::Digest& d) const noexcept {
        return d.hi ^ (d.lo * 0x9e3779b97f4a7c15ull);
    }
};
