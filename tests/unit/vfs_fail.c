#include "vfs_fail.h"

#include <sqlite3.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"

/* Our file, followed in the same memory by the system's. */
struct fail_file {
    sqlite3_file base;
    int64_t good;   /* this one never fails */
    int64_t real[]; /* aligned as SQLite aligns what it allocates */
};

/* The test's own world: one disk. */
static struct {
    sqlite3_vfs vfs;
    sqlite3_io_methods methods;
    sqlite3_vfs *system;
    int count, at, code;
    int reads, read_at;
    bool for_ever, failed;
    const char *only;
} disk;

static sqlite3_file *real(sqlite3_file *file)
{
    return (sqlite3_file *)((struct fail_file *)file)->real;
}

/* SQLITE_OK, or the failure that is due. */
static int due(const sqlite3_file *file)
{
    if (((const struct fail_file *)file)->good)
        return SQLITE_OK;
    disk.count++;
    if (disk.at == 0 || disk.count < disk.at || (disk.count > disk.at && !disk.for_ever))
        return SQLITE_OK;
    disk.failed = true;
    return disk.code;
}

static int file_close(sqlite3_file *file)
{
    return real(file)->pMethods->xClose(real(file));
}

static int file_read(sqlite3_file *file, void *to, int len, sqlite3_int64 at)
{
    if (!((const struct fail_file *)file)->good && ++disk.reads == disk.read_at)
        return SQLITE_IOERR_READ;
    return real(file)->pMethods->xRead(real(file), to, len, at);
}

static int file_write(sqlite3_file *file, const void *from, int len, sqlite3_int64 at)
{
    int code = due(file);
    return code != SQLITE_OK ? code : real(file)->pMethods->xWrite(real(file), from, len, at);
}

static int file_truncate(sqlite3_file *file, sqlite3_int64 size)
{
    int code = due(file);
    return code != SQLITE_OK ? code : real(file)->pMethods->xTruncate(real(file), size);
}

static int file_sync(sqlite3_file *file, int flags)
{
    int code = due(file);
    return code != SQLITE_OK ? code : real(file)->pMethods->xSync(real(file), flags);
}

static int file_size(sqlite3_file *file, sqlite3_int64 *size)
{
    return real(file)->pMethods->xFileSize(real(file), size);
}

static int file_lock(sqlite3_file *file, int level)
{
    return real(file)->pMethods->xLock(real(file), level);
}

static int file_unlock(sqlite3_file *file, int level)
{
    return real(file)->pMethods->xUnlock(real(file), level);
}

static int file_check_lock(sqlite3_file *file, int *out)
{
    return real(file)->pMethods->xCheckReservedLock(real(file), out);
}

static int file_control(sqlite3_file *file, int what, void *argument)
{
    return real(file)->pMethods->xFileControl(real(file), what, argument);
}

static int file_sector_size(sqlite3_file *file)
{
    return real(file)->pMethods->xSectorSize(real(file));
}

static int file_traits(sqlite3_file *file)
{
    return real(file)->pMethods->xDeviceCharacteristics(real(file));
}

static int shm_map(sqlite3_file *file, int page, int size, int extend, void volatile **out)
{
    return real(file)->pMethods->xShmMap(real(file), page, size, extend, out);
}

static int shm_lock(sqlite3_file *file, int offset, int count, int flags)
{
    return real(file)->pMethods->xShmLock(real(file), offset, count, flags);
}

static void shm_barrier(sqlite3_file *file)
{
    real(file)->pMethods->xShmBarrier(real(file));
}

static int shm_unmap(sqlite3_file *file, int remove)
{
    return real(file)->pMethods->xShmUnmap(real(file), remove);
}

static int vfs_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *out_flags)
{
    (void)vfs;
    int code = disk.system->xOpen(disk.system, name, real(file), flags, out_flags);
    ((struct fail_file *)file)->good = disk.only && (!name || !strstr(name, disk.only));
    file->pMethods = real(file)->pMethods ? &disk.methods : NULL;
    return code;
}

void vfs_fail_install(void)
{
    disk.system = sqlite3_vfs_find(NULL);
    CHECK(disk.system);
    disk.methods = (sqlite3_io_methods){
        .iVersion = 2,
        .xClose = file_close,
        .xRead = file_read,
        .xWrite = file_write,
        .xTruncate = file_truncate,
        .xSync = file_sync,
        .xFileSize = file_size,
        .xLock = file_lock,
        .xUnlock = file_unlock,
        .xCheckReservedLock = file_check_lock,
        .xFileControl = file_control,
        .xSectorSize = file_sector_size,
        .xDeviceCharacteristics = file_traits,
        .xShmMap = shm_map,
        .xShmLock = shm_lock,
        .xShmBarrier = shm_barrier,
        .xShmUnmap = shm_unmap,
    };
    disk.vfs = *disk.system;
    disk.vfs.zName = "fail";
    disk.vfs.pNext = NULL;
    disk.vfs.szOsFile = (int)sizeof(struct fail_file) + disk.system->szOsFile;
    disk.vfs.xOpen = vfs_open;
    CHECK(sqlite3_vfs_register(&disk.vfs, 1) == SQLITE_OK);
    vfs_fail_arm(0, SQLITE_OK, false);
}

void vfs_fail_remove(void)
{
    CHECK(sqlite3_vfs_unregister(&disk.vfs) == SQLITE_OK);
    CHECK(sqlite3_vfs_register(disk.system, 1) == SQLITE_OK);
}

void vfs_fail_arm(int at, int code, bool for_ever)
{
    disk.count = 0;
    disk.at = at;
    disk.code = code;
    disk.for_ever = for_ever;
    disk.failed = false;
}

int vfs_fail_read(int at)
{
    int reads = disk.reads;
    disk.reads = 0;
    disk.read_at = at;
    return reads;
}

void vfs_fail_only(const char *part)
{
    disk.only = part;
}

bool vfs_fail_disarm(void)
{
    disk.at = 0;
    return disk.failed;
}
