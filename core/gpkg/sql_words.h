// SPDX-License-Identifier: GPL-3.0-or-later
// The text of a schema taken apart into words: enough to see what a table, an index or a trigger would do.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace fw {

struct SqlWord {
    enum class Kind {
        bare,   ///< keyword, plain name or number; in capitals
        quoted, ///< name in quotes or brackets, without them; as written
        text,   ///< 'text', without the quotes
        sign    ///< one character of anything else
    };
    Kind kind = Kind::sign;
    std::string text;

    [[nodiscard]] bool is(std::string_view keyword) const { return kind == Kind::bare && text == keyword; }
    [[nodiscard]] bool isSign(char c) const { return kind == Kind::sign && text[0] == c; }
    [[nodiscard]] bool isName() const { return kind == Kind::bare || kind == Kind::quoted; }
};

/// Words of an SQL text in order, the first `most` of them, comments left out. Never fails: what does not end
/// ends with the text.
std::vector<SqlWord> sqlWords(std::string_view sql, std::size_t most = static_cast<std::size_t>(-1));

} // namespace fw
