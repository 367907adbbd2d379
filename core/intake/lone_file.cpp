// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/lone_file.h"

#include <cpl_vsi.h>
#include <fmt/format.h>

#include <map>
#include <mutex>
#include <utility>

namespace fw {
namespace {

constexpr const char* kRoot = "/vsifringewright_lone/";

/// Real paths by what follows the root.
class Shown {
public:
    std::string add(const std::filesystem::path& file) {
        const std::scoped_lock hold(m_lock);
        std::string name = fmt::format("{}/{}", ++m_last, file.filename().string());
        m_files[name] = file.string();
        return name;
    }
    void remove(const std::string& name) {
        const std::scoped_lock hold(m_lock);
        m_files.erase(name);
    }
    std::string find(const std::string& name) {
        const std::scoped_lock hold(m_lock);
        const auto at = m_files.find(name);
        return at == m_files.end() ? std::string() : at->second;
    }

private:
    std::mutex m_lock;
    std::map<std::string, std::string> m_files;
    long m_last = 0;
};

Shown& shown() {
    static Shown files;
    return files;
}

thread_local const std::stop_token* readsUntil = nullptr;

VSILFILE* handle(void* file) { return static_cast<VSILFILE*>(file); }

bool install() {
    VSIFilesystemPluginCallbacksStruct* calls = VSIAllocFilesystemPluginCallbacksStruct();
    calls->stat = [](void*, const char* name, VSIStatBufL* found, int flags) {
        const std::string real = shown().find(name);
        return real.empty() ? -1 : VSIStatExL(real.c_str(), found, flags);
    };
    calls->open = [](void*, const char* name, const char* access) -> void* {
        const std::string real = shown().find(name);
        if (real.empty() || access[0] != 'r' || std::string(access).find('+') != std::string::npos)
            return nullptr;
        return VSIFOpenL(real.c_str(), "rb");
    };
    calls->tell = [](void* file) { return VSIFTellL(handle(file)); };
    calls->seek = [](void* file, vsi_l_offset to, int whence) { return VSIFSeekL(handle(file), to, whence); };
    calls->read = [](void* file, void* to, size_t size, size_t n) {
        return readsUntil && readsUntil->stop_requested() ? 0 : VSIFReadL(to, size, n, handle(file));
    };
    calls->eof = [](void* file) { return VSIFEofL(handle(file)); };
    calls->close = [](void* file) { return VSIFCloseL(handle(file)); };
    VSIInstallPluginHandler(kRoot, calls);
    VSIFreeFilesystemPluginCallbacksStruct(calls);
    return true;
}

} // namespace

LoneReadsUntil::LoneReadsUntil(std::stop_token stop)
    : m_stop(std::move(stop)), m_before(std::exchange(readsUntil, &m_stop)) {}

LoneReadsUntil::~LoneReadsUntil() { readsUntil = m_before; }

LoneFile::LoneFile(const std::filesystem::path& file) {
    static const bool once = install();
    (void)once;
    m_path = kRoot + shown().add(file);
}

LoneFile::LoneFile(LoneFile&& from) noexcept : m_path(std::exchange(from.m_path, {})) {}

LoneFile::~LoneFile() {
    if (!m_path.empty()) shown().remove(m_path.substr(std::string_view(kRoot).size()));
}

} // namespace fw
