// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/fault_vfs.h"

#include <cstring>
#include <sqlite3.h>
#include <stdexcept>

namespace fw::testing {

namespace {

struct ArmedFault {
    bool armed = false, forGood = false, struck = false;
    FaultAt what = FaultAt::write;
    int left = 0;
};
ArmedFault g_fault;
sqlite3_vfs* g_real = nullptr;
sqlite3_vfs g_vfs;
sqlite3_io_methods g_methods;

bool fails(FaultAt what) {
    if (!g_fault.armed) return false;
    if (g_fault.struck) return g_fault.forGood;
    if (what != g_fault.what || --g_fault.left > 0) return false;
    return g_fault.struck = true;
}

// Our part of a file's memory; the real file lies behind it.
struct File {
    sqlite3_file base;
};
sqlite3_file* real(sqlite3_file* f) {
    return reinterpret_cast<sqlite3_file*>(reinterpret_cast<char*>(f) + sizeof(File));
}

int closeFile(sqlite3_file* f) { return real(f)->pMethods->xClose(real(f)); }
int readFile(sqlite3_file* f, void* to, int n, sqlite3_int64 at) {
    return real(f)->pMethods->xRead(real(f), to, n, at);
}
int writeFile(sqlite3_file* f, const void* from, int n, sqlite3_int64 at) {
    if (!fails(FaultAt::write)) return real(f)->pMethods->xWrite(real(f), from, n, at);
    // A full disk may have taken a part.
    real(f)->pMethods->xWrite(real(f), from, n / 2, at);
    return SQLITE_FULL;
}
int truncateFile(sqlite3_file* f, sqlite3_int64 size) {
    return fails(FaultAt::write) ? SQLITE_IOERR_TRUNCATE : real(f)->pMethods->xTruncate(real(f), size);
}
int syncFile(sqlite3_file* f, int flags) {
    return fails(FaultAt::sync) ? SQLITE_IOERR_FSYNC : real(f)->pMethods->xSync(real(f), flags);
}
int fileSize(sqlite3_file* f, sqlite3_int64* n) { return real(f)->pMethods->xFileSize(real(f), n); }
int lockFile(sqlite3_file* f, int level) { return real(f)->pMethods->xLock(real(f), level); }
int unlockFile(sqlite3_file* f, int level) { return real(f)->pMethods->xUnlock(real(f), level); }
int reserved(sqlite3_file* f, int* held) { return real(f)->pMethods->xCheckReservedLock(real(f), held); }
int control(sqlite3_file* f, int op, void* arg) { return real(f)->pMethods->xFileControl(real(f), op, arg); }
int sector(sqlite3_file* f) { return real(f)->pMethods->xSectorSize(real(f)); }
int traits(sqlite3_file* f) { return real(f)->pMethods->xDeviceCharacteristics(real(f)); }

int openFile(sqlite3_vfs*, const char* name, sqlite3_file* f, int flags, int* given) {
    f->pMethods = nullptr;
    if (fails(FaultAt::open)) return SQLITE_CANTOPEN;
    const int r = g_real->xOpen(g_real, name, real(f), flags, given);
    if (r == SQLITE_OK) f->pMethods = &g_methods;
    return r;
}
int removeFile(sqlite3_vfs*, const char* name, int syncFolder) {
    return fails(FaultAt::remove) ? SQLITE_IOERR_DELETE : g_real->xDelete(g_real, name, syncFolder);
}

} // namespace

const char* nameOf(FaultAt what) {
    constexpr std::array<const char*, 4> kNames{"write", "sync", "open", "remove"};
    return kNames[static_cast<std::size_t>(what)];
}

FaultDisk::FaultDisk() {
    g_real = sqlite3_vfs_find(nullptr);
    g_vfs = *g_real;
    g_vfs.zName = "fault";
    g_vfs.szOsFile = g_real->szOsFile + static_cast<int>(sizeof(File));
    g_vfs.xOpen = openFile;
    g_vfs.xDelete = removeFile;
    // Version 1: no shared memory, so no write-ahead mode through this disk.
    g_methods = {1,        closeFile,  readFile, writeFile, truncateFile, syncFile, fileSize,
                 lockFile, unlockFile, reserved, control,   sector,       traits,   nullptr,
                 nullptr,  nullptr,    nullptr,  nullptr,   nullptr};
    g_fault = {};
    if (sqlite3_vfs_register(&g_vfs, 1) != SQLITE_OK) throw std::runtime_error("no virtual file system");
}

FaultDisk::~FaultDisk() {
    sqlite3_vfs_unregister(&g_vfs);
    sqlite3_vfs_register(g_real, 1);
}

void FaultDisk::arm(FaultAt what, int n, bool forGood) { g_fault = {true, forGood, false, what, n}; }
void FaultDisk::disarm() { g_fault.armed = false; }
bool FaultDisk::struck() { return g_fault.struck; }

} // namespace fw::testing
