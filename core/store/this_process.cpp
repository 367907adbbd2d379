// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/this_process.h"

#include <array>
#include <charconv>
#include <ctime>
#include <fmt/format.h>
#include <fstream>
#include <iterator>
#include <pwd.h>
#include <sstream>
#include <string_view>
#include <unistd.h>
#include <vector>

namespace fw {

std::string userName() {
    std::vector<char> room(16384);
    passwd entry{};
    passwd* found = nullptr;
    if (getpwuid_r(geteuid(), &entry, room.data(), room.size(), &found) == 0 && found) return found->pw_name;
    return fmt::format("user {}", geteuid());
}

std::string hostName() {
    std::array<char, 256> name{};
    if (gethostname(name.data(), name.size() - 1) != 0) return {};
    return name.data();
}

std::string bootId() {
    std::ifstream in("/proc/sys/kernel/random/boot_id");
    std::string id;
    std::getline(in, id);
    return id;
}

// proc(5), /proc/pid/stat: field 22 is the start time; the name in field 2 may hold blanks and brackets.
std::uint64_t startOfProcess(std::int64_t pid) {
    std::ifstream in(fmt::format("/proc/{}/stat", pid));
    const std::string all{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    const std::size_t name = all.rfind(')');
    if (name == std::string::npos) return 0;
    std::istringstream rest(all.substr(name + 1));
    std::string field;
    for (int k = 3; k <= 22; ++k)
        if (!(rest >> field)) return 0;
    std::uint64_t ticks = 0;
    std::from_chars(field.data(), field.data() + field.size(), ticks);
    return ticks;
}

std::string utcText(std::chrono::system_clock::time_point when) {
    const std::time_t t = std::chrono::system_clock::to_time_t(when);
    std::tm utc{};
    gmtime_r(&t, &utc);
    return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}Z", utc.tm_year + 1900, utc.tm_mon + 1,
                       utc.tm_mday, utc.tm_hour, utc.tm_min, utc.tm_sec);
}

} // namespace fw
