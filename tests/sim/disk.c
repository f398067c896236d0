#include "disk.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "disk_file.h"

#define SECTOR    4096 /* as SQLite's unix VFS says of every disk */
#define NAMES_MAX 16
#define NAME_LEN  512
#define SHM_PAGES 64
#define NOON_2026 ((sqlite3_int64)212648414400000) /* Julian milliseconds; nothing here depends on it */

/* The folder: which file a name stands for, as programs see it and as it is found after the power was cut. */
struct name {
    char text[NAME_LEN]; /* "": free */
    struct disk_file *live, *stable;
};

/* The -shm of one database. */
struct shm {
    const struct disk_file *of; /* NULL: free */
    int32_t refs, page_count;
    void *page[SHM_PAGES];
};

struct handle {
    sqlite3_file base;
    struct handle *next;
    struct disk_file *file;
    struct shm *shm;
    uint32_t shm_shared, shm_exclusive; /* one bit a lock */
    int lock;
    bool read_only, syncs_folder;
};

/* The test's own world: one disk. */
static struct {
    sqlite3_vfs vfs;
    sqlite3_io_methods methods;
    struct name names[NAMES_MAX];
    struct shm shms[NAMES_MAX];
    struct handle *handles;
    uint64_t chance;
    enum disk_fault fault;
    int32_t fault_in;
    bool fault_for_ever, dead;
    int64_t operations;
} disk;

/* ---- what is due ------------------------------------------------------------------------------------------------------- */

/* Counts one operation of a sort towards the fault that is armed for it. */
static bool due(enum disk_fault sort)
{
    if (disk.fault != sort)
        return false;
    if (disk.fault_in > 0)
        disk.fault_in--;
    if (disk.fault_in > 0)
        return false;
    if (!disk.fault_for_ever)
        disk.fault = DISK_WELL;
    return true;
}

/* May something change? A program that was killed changes nothing. */
static bool may_change(void)
{
    if (due(DISK_STOPS))
        disk.dead = true;
    if (!disk.dead)
        disk.operations++;
    return !disk.dead;
}

/* ---- names --------------------------------------------------------------------------------------------------------------- */

static struct name *find_name(const char *text)
{
    for (size_t i = 0; i < NAMES_MAX; i++)
        if (strcmp(disk.names[i].text, text) == 0)
            return &disk.names[i];
    return NULL;
}

static struct name *get_name(const char *text)
{
    struct name *name = find_name(text);
    if (name == NULL) {
        name = find_name("");
        CHECK(name != NULL && strlen(text) < NAME_LEN);
        memcpy(name->text, text, strlen(text) + 1);
    }
    return name;
}

static void point(struct disk_file **at, struct disk_file *file)
{
    struct disk_file *old = *at;
    *at = file != NULL ? disk_file_keep(file) : NULL;
    disk_file_drop(old);
}

static void sync_folder(void)
{
    for (size_t i = 0; i < NAMES_MAX; i++)
        point(&disk.names[i].stable, disk.names[i].live);
}

/* ---- files ----------------------------------------------------------------------------------------------------------------- */

static struct handle *handle_of(sqlite3_file *base)
{
    return (struct handle *)base;
}

static void shm_leave(struct handle *handle)
{
    struct shm *shm = handle->shm;
    handle->shm = NULL;
    handle->shm_shared = handle->shm_exclusive = 0;
    if (shm == NULL || --shm->refs > 0)
        return;
    for (int32_t i = 0; i < shm->page_count; i++)
        free(shm->page[i]);
    *shm = (struct shm){0};
}

static int file_close(sqlite3_file *base)
{
    struct handle *handle = handle_of(base);
    struct handle **at = &disk.handles;
    while (*at != handle)
        at = &(*at)->next;
    *at = handle->next;
    shm_leave(handle);
    disk_file_drop(handle->file);
    return SQLITE_OK;
}

static int file_read(sqlite3_file *base, void *to, int len, sqlite3_int64 at)
{
    if (due(DISK_READ_FAILS))
        return SQLITE_IOERR_READ;
    return disk_file_read(handle_of(base)->file, to, len, at) ? SQLITE_OK : SQLITE_IOERR_SHORT_READ;
}

static int file_write(sqlite3_file *base, const void *from, int len, sqlite3_int64 at)
{
    struct disk_file *file = handle_of(base)->file;
    if (!may_change() || due(DISK_WRITE_FAILS))
        return SQLITE_IOERR_WRITE;
    if (at + len > file->live.size && due(DISK_FULL))
        return SQLITE_FULL;
    disk_file_write(file, from, len, at);
    return SQLITE_OK;
}

static int file_truncate(sqlite3_file *base, sqlite3_int64 size)
{
    if (!may_change() || due(DISK_WRITE_FAILS))
        return SQLITE_IOERR_TRUNCATE;
    disk_file_truncate(handle_of(base)->file, size);
    return SQLITE_OK;
}

static int file_sync(sqlite3_file *base, int flags)
{
    struct handle *handle = handle_of(base);
    (void)flags;
    if (!may_change())
        return SQLITE_IOERR_FSYNC;
    if (due(DISK_SYNC_FAILS)) {
        disk_file_sync_failed(handle->file, SECTOR, &disk.chance);
        return SQLITE_IOERR_FSYNC;
    }
    disk_file_sync(handle->file);
    if (handle->syncs_folder)
        sync_folder();
    handle->syncs_folder = false;
    return SQLITE_OK;
}

static int file_size(sqlite3_file *base, sqlite3_int64 *size)
{
    *size = handle_of(base)->file->live.size;
    return SQLITE_OK;
}

static int file_control(sqlite3_file *base, int what, void *argument)
{
    (void)base;
    (void)what;
    (void)argument;
    return SQLITE_NOTFOUND;
}

static int file_sector_size(sqlite3_file *base)
{
    (void)base;
    return SECTOR;
}

static int file_traits(sqlite3_file *base)
{
    (void)base;
    return SQLITE_IOCAP_POWERSAFE_OVERWRITE;
}

/* ---- locks ----------------------------------------------------------------------------------------------------------------- */

/* The highest lock that another connection holds on the same file. */
static int lock_of_others(const struct handle *handle)
{
    int highest = SQLITE_LOCK_NONE;
    for (const struct handle *other = disk.handles; other != NULL; other = other->next)
        if (other != handle && other->file == handle->file && other->lock > highest)
            highest = other->lock;
    return highest;
}

static int file_lock(sqlite3_file *base, int level)
{
    struct handle *handle = handle_of(base);
    int others = lock_of_others(handle);
    if (handle->lock >= level)
        return SQLITE_OK;
    if (level > SQLITE_LOCK_SHARED && handle->read_only)
        return SQLITE_IOERR_LOCK;
    if (others >= SQLITE_LOCK_PENDING || (level >= SQLITE_LOCK_RESERVED && others >= SQLITE_LOCK_RESERVED))
        return SQLITE_BUSY;
    if (level == SQLITE_LOCK_EXCLUSIVE && others > SQLITE_LOCK_NONE) {
        handle->lock = SQLITE_LOCK_PENDING;
        return SQLITE_BUSY;
    }
    handle->lock = level;
    return SQLITE_OK;
}

static int file_unlock(sqlite3_file *base, int level)
{
    if (handle_of(base)->lock > level)
        handle_of(base)->lock = level;
    return SQLITE_OK;
}

static int file_check_lock(sqlite3_file *base, int *out)
{
    const struct handle *handle = handle_of(base);
    *out = handle->lock >= SQLITE_LOCK_RESERVED || lock_of_others(handle) >= SQLITE_LOCK_RESERVED;
    return SQLITE_OK;
}

static struct shm *shm_of(struct handle *handle)
{
    struct shm *found = NULL;
    for (size_t i = 0; i < NAMES_MAX && handle->shm == NULL; i++) {
        if (disk.shms[i].of == handle->file)
            handle->shm = &disk.shms[i];
        else if (disk.shms[i].of == NULL)
            found = &disk.shms[i];
    }
    if (handle->shm == NULL) {
        CHECK(found != NULL);
        found->of = handle->file;
        handle->shm = found;
    }
    return handle->shm;
}

static int shm_map(sqlite3_file *base, int page, int size, int extend, void volatile **out)
{
    struct handle *handle = handle_of(base);
    if (handle->shm == NULL)
        shm_of(handle)->refs++;
    struct shm *shm = handle->shm;
    CHECK(page < SHM_PAGES);
    while (extend && shm->page_count <= page) {
        shm->page[shm->page_count] = calloc(1, (size_t)size);
        CHECK(shm->page[shm->page_count]);
        shm->page_count++;
    }
    *out = page < shm->page_count ? shm->page[page] : NULL;
    return SQLITE_OK;
}

static int shm_lock(sqlite3_file *base, int first, int count, int flags)
{
    struct handle *handle = handle_of(base);
    uint32_t bits = ((1U << count) - 1) << first;
    bool exclusive = (flags & SQLITE_SHM_EXCLUSIVE) != 0;
    if (flags & SQLITE_SHM_UNLOCK) {
        handle->shm_shared &= ~bits;
        handle->shm_exclusive &= ~bits;
        return SQLITE_OK;
    }
    for (const struct handle *other = disk.handles; other != NULL; other = other->next) {
        bool same = other != handle && other->file == handle->file;
        if (same && (bits & (other->shm_exclusive | (exclusive ? other->shm_shared : 0))))
            return SQLITE_BUSY;
    }
    *(exclusive ? &handle->shm_exclusive : &handle->shm_shared) |= bits;
    return SQLITE_OK;
}

static void shm_barrier(sqlite3_file *base)
{
    (void)base;
}

static int shm_unmap(sqlite3_file *base, int remove)
{
    (void)remove;
    shm_leave(handle_of(base));
    return SQLITE_OK;
}

/* ---- the folder, for SQLite -------------------------------------------------------------------------------------------------- */

/* The log makes board.db before it is opened; so what is asked for without SQLITE_OPEN_CREATE and is not here is empty. */
static int vfs_open(sqlite3_vfs *vfs, sqlite3_filename path, sqlite3_file *base, int flags, int *out_flags)
{
    struct handle *handle = handle_of(base);
    int journals = SQLITE_OPEN_WAL | SQLITE_OPEN_MAIN_JOURNAL | SQLITE_OPEN_SUPER_JOURNAL;
    (void)vfs;
    *handle = (struct handle){.read_only = (flags & SQLITE_OPEN_READONLY) != 0};
    struct name *name = path != NULL ? get_name(path) : NULL;
    if (disk.dead)
        return SQLITE_CANTOPEN;
    if (name != NULL && name->live == NULL)
        name->live = disk_file_new();
    handle->file = name != NULL ? disk_file_keep(name->live) : disk_file_new();
    handle->syncs_folder = (flags & SQLITE_OPEN_CREATE) != 0 && (flags & journals) != 0;
    handle->next = disk.handles;
    disk.handles = handle;
    base->pMethods = &disk.methods;
    if (out_flags != NULL)
        *out_flags = flags;
    return SQLITE_OK;
}

static int vfs_delete(sqlite3_vfs *vfs, const char *path, int sync)
{
    struct name *name = find_name(path);
    (void)vfs;
    if (!may_change())
        return SQLITE_IOERR_DELETE;
    if (name == NULL || name->live == NULL)
        return SQLITE_IOERR_DELETE_NOENT;
    point(&name->live, NULL);
    if (sync)
        sync_folder();
    return SQLITE_OK;
}

/* As the unix VFS has it: an empty file does not count as one that exists. */
static int vfs_access(sqlite3_vfs *vfs, const char *path, int flags, int *out)
{
    const struct name *name = find_name(path);
    (void)vfs;
    bool there = name != NULL && name->live != NULL;
    *out = there && (flags != SQLITE_ACCESS_EXISTS || name->live->live.size > 0);
    return SQLITE_OK;
}

static int vfs_full_path(sqlite3_vfs *vfs, const char *path, int size, char *out)
{
    (void)vfs;
    return snprintf(out, (size_t)size, "%s", path) < size ? SQLITE_OK : SQLITE_CANTOPEN;
}

static int vfs_randomness(sqlite3_vfs *vfs, int len, char *out)
{
    (void)vfs;
    for (int i = 0; i < len; i++)
        out[i] = (char)disk_chance(&disk.chance);
    return len;
}

static int vfs_sleep(sqlite3_vfs *vfs, int us)
{
    (void)vfs;
    return us;
}

static int vfs_time(sqlite3_vfs *vfs, sqlite3_int64 *out)
{
    (void)vfs;
    *out = NOON_2026;
    return SQLITE_OK;
}

static int vfs_last_error(sqlite3_vfs *vfs, int len, char *out)
{
    (void)vfs;
    if (len > 0)
        out[0] = '\0';
    return 0;
}

/* ---- for whoever drives it --------------------------------------------------------------------------------------------------- */

void disk_install(void)
{
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
    disk.vfs = (sqlite3_vfs){
        .iVersion = 2,
        .szOsFile = (int)sizeof(struct handle),
        .mxPathname = NAME_LEN,
        .zName = "disk",
        .xOpen = vfs_open,
        .xDelete = vfs_delete,
        .xAccess = vfs_access,
        .xFullPathname = vfs_full_path,
        .xRandomness = vfs_randomness,
        .xSleep = vfs_sleep,
        .xGetLastError = vfs_last_error,
        .xCurrentTimeInt64 = vfs_time,
    };
    CHECK(sqlite3_vfs_register(&disk.vfs, 1) == SQLITE_OK);
}

/* SQLite draws its own chances (a -wal's salts) from the VFS once: here once for each story, so that a story is the same alone. */
void disk_wipe(uint64_t chances)
{
    CHECK(disk.handles == NULL);
    for (size_t i = 0; i < NAMES_MAX; i++) {
        point(&disk.names[i].live, NULL);
        point(&disk.names[i].stable, NULL);
        disk.names[i].text[0] = '\0';
    }
    disk_arm(DISK_WELL, 0, false);
    disk.dead = false;
    disk.chance = chances;
    sqlite3_randomness(0, NULL);
}

void disk_arm(enum disk_fault fault, int32_t at, bool for_ever)
{
    disk.fault = fault;
    disk.fault_in = at;
    disk.fault_for_ever = for_ever;
}

bool disk_is_well(void)
{
    return disk.fault == DISK_WELL;
}

bool disk_stopped(void)
{
    return disk.dead;
}

void disk_kill(void)
{
    disk.dead = true;
}

static void start_again(void)
{
    CHECK(disk.dead && disk.handles == NULL);
    disk.dead = false;
    if (disk.fault == DISK_STOPS)
        disk.fault = DISK_WELL;
}

void disk_restart(bool evict)
{
    start_again();
    for (size_t i = 0; i < NAMES_MAX && evict; i++)
        if (disk.names[i].live != NULL)
            disk_file_evict(disk.names[i].live);
}

/* Each name by itself is as it was before or after what the folder had not been synced with. */
void disk_power_cut(int64_t sector)
{
    start_again();
    for (size_t i = 0; i < NAMES_MAX; i++) {
        struct name *name = &disk.names[i];
        if (name->live != name->stable && disk_chance(&disk.chance) % 2 == 0)
            point(&name->stable, name->live);
        point(&name->live, name->stable);
        if (name->live != NULL)
            disk_file_cut(name->live, sector, &disk.chance);
    }
}

bool disk_rot(void)
{
    struct disk_file *files[NAMES_MAX];
    size_t count = 0;
    CHECK(disk.handles == NULL);
    for (size_t i = 0; i < NAMES_MAX; i++)
        if (disk.names[i].live != NULL && disk.names[i].live->live.size > 0)
            files[count++] = disk.names[i].live;
    if (count == 0)
        return false;
    struct disk_file *file = files[disk_chance(&disk.chance) % count];
    uint8_t byte = 0;
    int64_t at = (int64_t)(disk_chance(&disk.chance) % (uint64_t)file->live.size);
    (void)disk_file_read(file, &byte, 1, at);
    byte ^= (uint8_t)(1U << disk_chance(&disk.chance) % 8);
    disk_file_write(file, &byte, 1, at);
    disk_file_sync(file);
    return true;
}

int64_t disk_operations(void)
{
    return disk.operations;
}
