// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/mapping.h"

#include <algorithm>
#include <cstdlib>
#include <fmt/format.h>
#include <fstream>
#include <nlohmann/json.hpp>

namespace fw {

namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kMostMappings = 200; // mappings kept, the newest
constexpr std::uintmax_t kLargest = 4 << 20;

// The kind and all headers: the same export next month has just these.
std::string keyOf(const IntakeKindInfo& info, const SourceHead& head) {
    std::string key = info.name;
    for (const SourceColumn& c : head.columns) key += '\n' + c.name;
    return key;
}

Json readAll(const std::filesystem::path& file) {
    std::error_code failed;
    if (!std::filesystem::is_regular_file(file, failed) ||
        std::filesystem::file_size(file, failed) > kLargest || failed)
        return Json::array();
    std::ifstream in(file, std::ios::binary);
    Json all = Json::parse(in, nullptr, false);
    return all.is_array() ? all : Json::array();
}

std::string textAt(const Json& map, const char* key) {
    if (!map.is_object()) return {};
    const auto it = map.find(key);
    return it != map.end() && it->is_string() ? it->get<std::string>() : std::string();
}

} // namespace

MapWords MappingMemory::recall(const IntakeKindInfo& info, const SourceHead& head) const try {
    MapWords words;
    const std::string key = keyOf(info, head);
    for (const Json& entry : readAll(m_file)) {
        if (textAt(entry, "headers") != key) continue;
        const auto fields = entry.find("fields");
        if (fields == entry.end() || !fields->is_object()) continue;
        words.clear();
        for (const auto& [field, word] : fields->items())
            words[field] = {textAt(word, "column"), textAt(word, "unit")};
    }
    return words;
} catch (const std::exception&) {
    return {};
}

Status MappingMemory::remember(const IntakeKindInfo& info, const SourceHead& head,
                               const Mapping& mapping) try {
    const std::string key = keyOf(info, head);
    Json fields = Json::object();
    for (const MappedField& m : mapping) {
        if (m.by != MappedField::By::user && m.by != MappedField::By::memory) continue;
        const std::string column =
            m.column < 0 ? std::string() : head.columns[static_cast<std::size_t>(m.column)].name;
        fields[info.fields[static_cast<std::size_t>(m.field)].name] = {
            {"column", column}, {"unit", m.unitSaid && m.column >= 0 ? m.unit : std::string()}};
    }
    if (fields.empty()) return Done{};
    Json all = readAll(m_file);
    all.erase(
        std::remove_if(all.begin(), all.end(), [&](const Json& e) { return textAt(e, "headers") == key; }),
        all.end());
    all.push_back({{"headers", key}, {"fields", std::move(fields)}});
    while (all.size() > kMostMappings) all.erase(all.begin());
    std::error_code failed;
    std::filesystem::create_directories(m_file.parent_path(), failed);
    const std::filesystem::path fresh = m_file.string() + ".new";
    std::ofstream out(fresh, std::ios::binary | std::ios::trunc);
    out << all.dump(1, ' ', false, Json::error_handler_t::replace) << '\n';
    out.close();
    if (!out) return Error{ErrorCode::cannotWrite, "What was mapped cannot be remembered.", m_file.string()};
    std::filesystem::rename(fresh, m_file);
    return Done{};
} catch (const std::exception& e) {
    return Error{ErrorCode::cannotWrite, fmt::format("What was mapped cannot be remembered: {}.", e.what()),
                 m_file.string()};
}

std::filesystem::path mappingMemoryFile() {
    const char* config = std::getenv("XDG_CONFIG_HOME");
    const char* home = std::getenv("HOME");
    std::filesystem::path base = config && *config == '/'
                                     ? std::filesystem::path(config)
                                     : std::filesystem::path(home ? home : ".") / ".config";
    return base / "fringewright" / "mappings.json";
}

} // namespace fw
