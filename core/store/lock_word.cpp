// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/lock_word.h"

#include "store/this_process.h"

#include <atomic>
#include <cerrno>
#include <csignal>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <unistd.h>
#include <utility>

namespace fw {

namespace {

using Json = nlohmann::json;

constexpr int kFormat = 1;
constexpr std::size_t kLongestName = 200;

std::string plainText(const Json& map, const char* key) {
    const auto it = map.find(key);
    if (it == map.end() || !it->is_string()) return {};
    std::string text = it->get<std::string>().substr(0, kLongestName);
    for (char& c : text)
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = ' ';
    return text;
}

} // namespace

LockWord ourWord() {
    static std::atomic<int> count{0};
    LockWord word{userName(), hostName(), bootId(), utcText(std::chrono::system_clock::now()),
                  ::getpid(), 0,          {}};
    word.processStart = startOfProcess(word.pid);
    word.nonce = fmt::format("{}-{}", std::chrono::system_clock::now().time_since_epoch().count(), ++count);
    return word;
}

std::string textOfWord(const LockWord& word) {
    const Json map = {{"format", kFormat},
                      {"user", word.user},
                      {"host", word.host},
                      {"pid", word.pid},
                      {"process_start", word.processStart},
                      {"boot_id", word.bootId},
                      {"since", word.since},
                      {"nonce", word.nonce}};
    return map.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::optional<LockWord> wordFrom(const std::string& text) try {
    const Json map = Json::parse(text, nullptr, false);
    if (!map.is_object()) return std::nullopt;
    LockWord word;
    word.user = plainText(map, "user");
    word.host = plainText(map, "host");
    word.bootId = plainText(map, "boot_id");
    word.since = plainText(map, "since");
    word.nonce = plainText(map, "nonce");
    const auto pid = map.find("pid"), start = map.find("process_start");
    if (pid != map.end() && pid->is_number_integer()) word.pid = pid->get<std::int64_t>();
    if (start != map.end() && start->is_number_unsigned()) word.processStart = start->get<std::uint64_t>();
    return word;
} catch (const std::exception&) {
    return std::nullopt;
}

bool isGone(const LockWord& word) {
    if (word.host.empty() || word.host != hostName() || !std::in_range<pid_t>(word.pid) || word.pid <= 0)
        return false;
    if (word.bootId.empty() || word.bootId != bootId()) return !word.bootId.empty();
    if (::kill(static_cast<pid_t>(word.pid), 0) != 0 && errno == ESRCH) return true;
    // The number may have gone to another process since. Where that is not shown to us it counts as the same.
    const std::uint64_t start = startOfProcess(word.pid);
    return start != 0 && word.processStart != 0 && start != word.processStart;
}

LockHolder holderOfWord(const LockWord& word, const std::filesystem::path& lockFile) {
    LockHolder holder{word.user, word.host, word.since, word.pid, false, false, lockFile};
    holder.sameMachine = !word.host.empty() && word.host == hostName();
    return holder;
}

} // namespace fw
