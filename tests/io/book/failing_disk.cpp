// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/book/failing_disk.h"

#include <gtest/gtest.h>

#include <atomic>
#include <new>
#include <sqlite3.h>
#include <vector>

namespace potwatch::book {
namespace {

struct Plan {
    std::atomic<std::size_t> count = 0;
    std::atomic<std::size_t> fail_at = 0; // 0 = never
    std::atomic<bool> for_good = false;
    std::atomic<bool> failed = false;
    std::atomic<int> code = SQLITE_IOERR;
};

Plan plan;

// The code of an operation that is to fail, else SQLITE_OK.
int next(int code_of_operation) {
    const std::size_t number = ++plan.count;
    const std::size_t fail_at = plan.fail_at;
    const bool fails = fail_at != 0 && (number == fail_at || (plan.for_good && number > fail_at));
    if (!fails) {
        return SQLITE_OK;
    }
    plan.failed = true;
    return plan.code == SQLITE_FULL ? SQLITE_FULL : code_of_operation;
}

// A file of the shim: its own head, and behind it the file of the system's VFS.
struct File {
    sqlite3_file head;
    sqlite3_file* real;
};

sqlite3_file* realOf(sqlite3_file* file) {
    return reinterpret_cast<File*>(file)->real;
}

sqlite3_vfs* systemVfs(sqlite3_vfs* vfs) {
    return static_cast<sqlite3_vfs*>(vfs->pAppData);
}

int closeFile(sqlite3_file* file) {
    return realOf(file)->pMethods != nullptr ? realOf(file)->pMethods->xClose(realOf(file)) : SQLITE_OK;
}
int readFile(sqlite3_file* file, void* into, int count, sqlite3_int64 at) {
    return realOf(file)->pMethods->xRead(realOf(file), into, count, at);
}
int writeFile(sqlite3_file* file, const void* from, int count, sqlite3_int64 at) {
    const int code = next(SQLITE_IOERR_WRITE);
    return code != SQLITE_OK ? code : realOf(file)->pMethods->xWrite(realOf(file), from, count, at);
}
int cutFile(sqlite3_file* file, sqlite3_int64 size) {
    const int code = next(SQLITE_IOERR_TRUNCATE);
    return code != SQLITE_OK ? code : realOf(file)->pMethods->xTruncate(realOf(file), size);
}
// Only counted: what is not synced outlives everything but a power cut, and the test is many times as quick.
int syncFile(sqlite3_file*, int) {
    return next(SQLITE_IOERR_FSYNC);
}
int sizeOfFile(sqlite3_file* file, sqlite3_int64* size) {
    return realOf(file)->pMethods->xFileSize(realOf(file), size);
}
int lockFile(sqlite3_file* file, int level) {
    return realOf(file)->pMethods->xLock(realOf(file), level);
}
int unlockFile(sqlite3_file* file, int level) {
    return realOf(file)->pMethods->xUnlock(realOf(file), level);
}
int checkReserved(sqlite3_file* file, int* result) {
    return realOf(file)->pMethods->xCheckReservedLock(realOf(file), result);
}
int control(sqlite3_file* file, int operation, void* argument) {
    return realOf(file)->pMethods->xFileControl(realOf(file), operation, argument);
}
int sectorSize(sqlite3_file* file) {
    return realOf(file)->pMethods->xSectorSize(realOf(file));
}
int characteristics(sqlite3_file* file) {
    return realOf(file)->pMethods->xDeviceCharacteristics(realOf(file));
}
int mapShared(sqlite3_file* file, int page, int size, int extend, volatile void** memory) {
    const int code = extend != 0 ? next(SQLITE_IOERR_SHMSIZE) : SQLITE_OK;
    return code != SQLITE_OK ? code : realOf(file)->pMethods->xShmMap(realOf(file), page, size, extend, memory);
}
int lockShared(sqlite3_file* file, int first, int count, int flags) {
    return realOf(file)->pMethods->xShmLock(realOf(file), first, count, flags);
}
void barrier(sqlite3_file* file) {
    realOf(file)->pMethods->xShmBarrier(realOf(file));
}
int unmapShared(sqlite3_file* file, int remove) {
    return realOf(file)->pMethods->xShmUnmap(realOf(file), remove);
}

const sqlite3_io_methods methods{.iVersion = 2,
                                 .xClose = closeFile,
                                 .xRead = readFile,
                                 .xWrite = writeFile,
                                 .xTruncate = cutFile,
                                 .xSync = syncFile,
                                 .xFileSize = sizeOfFile,
                                 .xLock = lockFile,
                                 .xUnlock = unlockFile,
                                 .xCheckReservedLock = checkReserved,
                                 .xFileControl = control,
                                 .xSectorSize = sectorSize,
                                 .xDeviceCharacteristics = characteristics,
                                 .xShmMap = mapShared,
                                 .xShmLock = lockShared,
                                 .xShmBarrier = barrier,
                                 .xShmUnmap = unmapShared,
                                 .xFetch = nullptr,
                                 .xUnfetch = nullptr};

int openFile(sqlite3_vfs* vfs, const char* name, sqlite3_file* file, int flags, int* out_flags) {
    auto* const shim = reinterpret_cast<File*>(file);
    shim->head.pMethods = nullptr;
    shim->real = reinterpret_cast<sqlite3_file*>(shim + 1);
    if ((flags & SQLITE_OPEN_CREATE) != 0) {
        if (const int code = next(SQLITE_CANTOPEN); code != SQLITE_OK) {
            return code;
        }
    }
    const int code = systemVfs(vfs)->xOpen(systemVfs(vfs), name, shim->real, flags, out_flags);
    if (code == SQLITE_OK) {
        shim->head.pMethods = &methods;
    }
    return code;
}

sqlite3_vfs shim_vfs;

} // namespace

FailingDisk::FailingDisk() {
    sqlite3_vfs* const system = sqlite3_vfs_find(nullptr);
    shim_vfs = *system;
    shim_vfs.pNext = nullptr;
    shim_vfs.zName = "failing-disk";
    shim_vfs.szOsFile = static_cast<int>(sizeof(File)) + system->szOsFile;
    shim_vfs.pAppData = system;
    // The other functions of the system's VFS look at nothing but their arguments, and at their pAppData: that of the
    // system's VFS says how it locks, so the opening alone goes through it.
    shim_vfs.xOpen = openFile;
    shim_vfs.xDelete = [](sqlite3_vfs* vfs, const char* name, int sync) {
        const int code = next(SQLITE_IOERR_DELETE);
        return code != SQLITE_OK ? code : systemVfs(vfs)->xDelete(systemVfs(vfs), name, sync);
    };
    shim_vfs.xAccess = [](sqlite3_vfs* vfs, const char* name, int flags, int* result) {
        return systemVfs(vfs)->xAccess(systemVfs(vfs), name, flags, result);
    };
    shim_vfs.xFullPathname = [](sqlite3_vfs* vfs, const char* name, int size, char* out) {
        return systemVfs(vfs)->xFullPathname(systemVfs(vfs), name, size, out);
    };
    EXPECT_EQ(sqlite3_vfs_register(&shim_vfs, 1), SQLITE_OK);
    failNothing();
}

FailingDisk::~FailingDisk() {
    failNothing();
    sqlite3_vfs_unregister(&shim_vfs);
    sqlite3_vfs_register(systemVfs(&shim_vfs), 1);
}

void FailingDisk::failAt(std::size_t operation, Failure failure, bool for_good) {
    plan.fail_at = 0; // while the rest is set
    plan.code = failure == Failure::full ? SQLITE_FULL : SQLITE_IOERR;
    plan.for_good = for_good;
    plan.failed = false;
    plan.count = 0;
    plan.fail_at = operation;
}

void FailingDisk::failNothing() {
    plan.fail_at = 0;
    plan.failed = false;
    plan.count = 0;
}

std::size_t FailingDisk::operations() const {
    return plan.count;
}

bool FailingDisk::hasFailed() const {
    return plan.failed;
}

} // namespace potwatch::book
