// SPDX-License-Identifier: GPL-3.0-or-later
// Reads a QR code's modules, for tests: small codes of error correction M in one block and byte mode, without
// correcting anything. Source: ISO/IEC 18004:2015, 7.3 to 7.9 and 7.10, from memory; that a code made by
// another program reads as its text is the check.
#pragma once

#include <cstddef>
#include <stdexcept>
#include <string>
#include <vector>

namespace fwtest {

class QrReader {
public:
    QrReader(int side, std::vector<bool> dark) : m_side(side), m_dark(std::move(dark)) {
        if (side != 21 && side != 25 && side != 29) throw std::runtime_error("versions 1 to 3 only");
    }

    std::string text() {
        const std::vector<int> bytes = codewords();
        std::vector<int> bits;
        for (const int b : bytes)
            for (int k = 7; k >= 0; --k) bits.push_back((b >> k) & 1);
        std::size_t at = 0;
        const auto take = [&](int n) {
            int v = 0;
            for (int k = 0; k < n; ++k) v = v * 2 + bits.at(at++);
            return v;
        };
        if (take(4) != 4) throw std::runtime_error("not byte mode");
        std::string out;
        for (int n = take(8); n > 0; --n) out += static_cast<char>(take(8));
        return out;
    }

private:
    [[nodiscard]] bool at(int row, int col) const {
        return m_dark[static_cast<std::size_t>(row) * static_cast<std::size_t>(m_side) +
                      static_cast<std::size_t>(col)];
    }

    // Finder patterns with format areas, timing lines, the one alignment pattern of versions 2 and 3.
    [[nodiscard]] bool isFunction(int r, int c) const {
        const int n = m_side;
        if ((r < 9 && c < 9) || (r < 9 && c >= n - 8) || (r >= n - 8 && c < 9) || r == 6 || c == 6)
            return true;
        const int middle = n - 7;
        return n > 21 && r >= middle - 2 && r <= middle + 2 && c >= middle - 2 && c <= middle + 2;
    }

    [[nodiscard]] int mask() const {
        // Format bits 14 to 10 lie in row 8, columns 0 to 4: two of correction level, three of mask, all
        // xored with 101010000010010.
        int bits = 0;
        for (int c = 0; c < 5; ++c) bits = bits * 2 + (at(8, c) ? 1 : 0);
        bits ^= 0b10101;
        if (bits >> 3 != 0) throw std::runtime_error("not error correction M");
        return bits & 7;
    }

    static bool masked(int m, int r, int c) {
        switch (m) {
        case 0:
            return (r + c) % 2 == 0;
        case 1:
            return r % 2 == 0;
        case 2:
            return c % 3 == 0;
        case 3:
            return (r + c) % 3 == 0;
        case 4:
            return (r / 2 + c / 3) % 2 == 0;
        case 5:
            return r * c % 2 + r * c % 3 == 0;
        case 6:
            return (r * c % 2 + r * c % 3) % 2 == 0;
        default:
            return ((r + c) % 2 + r * c % 3) % 2 == 0;
        }
    }

    [[nodiscard]] std::vector<int> codewords() const {
        const int m = mask();
        std::vector<int> out;
        int bits = 0, count = 0;
        bool up = true;
        for (int right = m_side - 1; right > 0; right -= 2, up = !up) {
            if (right == 6) --right;
            for (int k = 0; k < m_side; ++k) {
                const int r = up ? m_side - 1 - k : k;
                for (const int c : {right, right - 1}) {
                    if (isFunction(r, c)) continue;
                    bits = bits * 2 + (at(r, c) != masked(m, r, c) ? 1 : 0);
                    if (++count < 8) continue;
                    out.push_back(bits);
                    bits = count = 0;
                }
            }
        }
        return out;
    }

    int m_side;
    std::vector<bool> m_dark;
};

} // namespace fwtest
