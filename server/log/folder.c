#include "folder.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#define MAKE_WRITABLE "Give this user the right to write there, or name another folder with --data."

static enum err cannot_write(struct msg *why, const char *dir)
{
    return err_set(why, ERR_CANNOT_MAKE, "The folder %s cannot be written (%s). " MAKE_WRITABLE, dir, strerror(errno));
}

/* Opens path, syncs it to the disk and closes it; a folder is synced so that a new name in it stays. */
static bool synced(const char *path, int flags)
{
    int file = open(path, flags | O_CLOEXEC);
    if (file < 0)
        return false;
    bool good = fsync(file) == 0;
    return close(file) == 0 && good;
}

/* Syncs the folder that holds path. */
static bool folder_synced(const char *path)
{
    char dir[FOLDER_PATH_LEN];
    const char *slash = strrchr(path, '/');
    size_t len = slash ? (size_t)(slash - path) : 0;
    if (len >= sizeof dir)
        return false;
    memcpy(dir, path, len);
    dir[len] = '\0';
    return synced(len ? dir : slash ? "/" : ".", O_RDONLY | O_DIRECTORY);
}

enum err folder_sync_of(const char *path, struct msg *why)
{
    if (!folder_synced(path))
        return err_set(why, ERR_IO, "The folder of %s could not be synced to the disk (%s).", path, strerror(errno));
    return ERR_NONE;
}

void folder_make_parents(const char *dir)
{
    char path[FOLDER_PATH_LEN];
    (void)snprintf(path, sizeof path, "%s", dir);
    for (char *slash = strchr(path + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        (void)mkdir(path, 0700);
        *slash = '/';
    }
}

enum err folder_path(const char *dir, const char *name, char path[FOLDER_PATH_LEN], struct msg *why)
{
    int len = snprintf(path, FOLDER_PATH_LEN, "%s/%s", dir, name);
    if (len < 0 || len >= FOLDER_PATH_LEN - 16) /* room for a suffix such as -wal */
        return err_set(why, ERR_CANNOT_MAKE, "The name of the data folder is too long. Name another with --data.");
    return ERR_NONE;
}

enum err folder_hold(const char *dir, int *held, struct msg *why)
{
    char path[FOLDER_PATH_LEN];
    enum err err = folder_path(dir, "lock", path, why);
    if (err != ERR_NONE)
        return err;
    bool made = mkdir(dir, 0700) == 0;
    if (!made && errno != EEXIST)
        return err_set(why, ERR_CANNOT_MAKE, "The folder %s cannot be made (%s). " MAKE_WRITABLE, dir, strerror(errno));
    if (made && !folder_synced(dir))
        return cannot_write(why, dir);
    int file = open(path, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (file < 0)
        return cannot_write(why, dir);
    if (flock(file, LOCK_EX | LOCK_NB) != 0) {
        err = errno == EWOULDBLOCK
                  ? err_set(why, ERR_BUSY,
                            "Another server is running on the data in %s. Use that one, or end it first, "
                            "or name another folder with --data.",
                            dir)
                  : cannot_write(why, dir);
        (void)close(file);
        return err;
    }
    *held = file;
    return ERR_NONE;
}

void folder_release(int held)
{
    (void)close(held);
}

enum err folder_put(const char *made, const char *path, int replace, struct msg *why)
{
    if (!synced(made, O_RDWR))
        return err_set(why, ERR_IO, "%s could not be saved (%s).", path, strerror(errno));
    if (!replace && access(path, F_OK) == 0)
        return err_set(why, ERR_CANNOT_MAKE, "There is a file %s already. Name another.", path);
    if (rename(made, path) != 0 || !folder_synced(path))
        return err_set(why, ERR_IO, "%s could not be saved (%s).", path, strerror(errno));
    return ERR_NONE;
}

static bool written(int file, const char *bytes, size_t len)
{
    while (len > 0) {
        ssize_t part = write(file, bytes, len);
        if (part < 0 && errno == EINTR)
            continue;
        if (part <= 0)
            return false;
        bytes += part;
        len -= (size_t)part;
    }
    return true;
}

enum err folder_write(const char *path, const char *bytes, size_t len, struct msg *why)
{
    char made[FOLDER_PATH_LEN];
    if (snprintf(made, sizeof made, "%s.new", path) >= (int)sizeof made)
        return err_set(why, ERR_IO, "%s could not be saved (its name is too long).", path);
    int file = open(made, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (file < 0)
        return err_set(why, ERR_IO, "%s could not be saved (%s).", path, strerror(errno));
    bool good = written(file, bytes, len);
    if (close(file) != 0 || !good)
        return err_set(why, ERR_IO, "%s could not be saved (%s).", path, strerror(errno));
    return folder_put(made, path, true, why);
}
