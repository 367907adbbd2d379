// SPDX-License-Identifier: GPL-3.0-or-later
// What stands in a lock file. Anybody may have written it: it is read within bounds and shown as plain text.
#pragma once

#include "store/session_lock.h"

namespace fw {

inline constexpr std::size_t kLongestWord = 4096; ///< bytes of a lock file that are read

struct LockWord {
    std::string user, host, bootId, since;
    std::int64_t pid = 0;
    std::uint64_t processStart = 0;
    std::string nonce; ///< tells two locks of one process apart
};

LockWord ourWord();
std::string textOfWord(const LockWord& word);
/// Empty when it is not a whole word of a lock.
std::optional<LockWord> wordFrom(const std::string& text);
/// True only when it is sure: the process ran on this machine and does so no longer.
bool isGone(const LockWord& word);
LockHolder holderOfWord(const LockWord& word, const std::filesystem::path& lockFile);

} // namespace fw
