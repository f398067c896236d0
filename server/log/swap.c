#include "swap.h"

#include <errno.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "log/format.h"

#define NEW_NAME  "board.new.db"
#define NEXT_NAME "board.next.db"
#define KEPT_MAX  999

static bool is_there(const char *path)
{
    return access(path, F_OK) == 0;
}

static enum err cannot_move(struct msg *why, const char *path)
{
    return err_set(why, ERR_IO, "%s could not be given another name (%s). Check the disk, then try again.", path,
                   strerror(errno));
}

/* Renames path + suffix, if there is one, and makes the new name stay. */
static enum err move(const char *path, const char *to, const char *suffix, struct msg *why)
{
    char from_path[FOLDER_PATH_LEN];
    char to_path[FOLDER_PATH_LEN];
    (void)snprintf(from_path, sizeof from_path, "%s%s", path, suffix);
    (void)snprintf(to_path, sizeof to_path, "%s%s", to, suffix);
    if (!is_there(from_path))
        return ERR_NONE;
    if (rename(from_path, to_path) != 0)
        return cannot_move(why, from_path);
    return folder_sync_of(to_path, why);
}

/* Would the move of path + suffix write over a kept file? */
static bool collides(const char *path, const char *kept, const char *suffix)
{
    char from_path[FOLDER_PATH_LEN];
    char to_path[FOLDER_PATH_LEN];
    (void)snprintf(from_path, sizeof from_path, "%s%s", path, suffix);
    (void)snprintf(to_path, sizeof to_path, "%s%s", kept, suffix);
    return is_there(to_path) && (suffix[0] == '\0' || is_there(from_path));
}

/* The first number that no kept log has. After a cut between the two moves the -wal alone bears it: its database then
 * comes under the same. */
static enum err free_name(const char *dir, const char *path, char kept[FOLDER_PATH_LEN], struct msg *why)
{
    for (int i = 1; i <= KEPT_MAX; i++) {
        char name[32];
        (void)snprintf(name, sizeof name, "board.kept-%d.db", i);
        enum err err = folder_path(dir, name, kept, why);
        if (err != ERR_NONE ||
            !(collides(path, kept, "") || collides(path, kept, "-wal") || collides(path, kept, "-journal")))
            return err;
    }
    return err_set(why, ERR_CANNOT_MAKE, "%s holds %d kept logs. Move some of them away, then try again.", dir,
                   KEPT_MAX);
}

/* The -wal first: a board.db that lacks its -wal is never taken for the log, because board.next.db stands beside it. The
 * -shm is no data, only an index of the -wal that SQLite makes anew. */
enum err swap_keep(const char *dir, char kept[FOLDER_PATH_LEN], struct msg *why)
{
    char path[FOLDER_PATH_LEN];
    char index[FOLDER_PATH_LEN + 8];
    enum err err = folder_path(dir, FORMAT_FILE_NAME, path, why);
    if (err == ERR_NONE)
        err = free_name(dir, path, kept, why);
    if (err != ERR_NONE)
        return err;
    (void)snprintf(index, sizeof index, "%s-shm", path);
    (void)unlink(index);
    err = move(path, kept, "-wal", why);
    if (err == ERR_NONE)
        err = move(path, kept, "-journal", why);
    if (err == ERR_NONE)
        err = move(path, kept, "", why);
    if (!is_there(kept))
        kept[0] = '\0';
    return err;
}

enum err swap_finish(const char *dir, char kept[FOLDER_PATH_LEN], struct msg *why)
{
    char next[FOLDER_PATH_LEN];
    char path[FOLDER_PATH_LEN];
    kept[0] = '\0';
    enum err err = folder_path(dir, NEXT_NAME, next, why);
    if (err != ERR_NONE || !is_there(next))
        return err;
    err = swap_keep(dir, kept, why);
    if (err == ERR_NONE)
        err = folder_path(dir, FORMAT_FILE_NAME, path, why);
    return err == ERR_NONE ? move(next, path, "", why) : err;
}

enum err swap_begin(const char *dir, char path[FOLDER_PATH_LEN], struct msg *why)
{
    static const char *const suffixes[] = {"", "-wal", "-shm", "-journal"};
    enum err err = folder_path(dir, NEW_NAME, path, why);
    for (size_t i = 0; i < sizeof suffixes / sizeof suffixes[0] && err == ERR_NONE; i++) {
        char old[FOLDER_PATH_LEN + 16];
        (void)snprintf(old, sizeof old, "%s%s", path, suffixes[i]);
        if (unlink(old) != 0 && errno != ENOENT)
            err = cannot_move(why, old);
    }
    return err;
}

enum err swap_commit(const char *dir, char kept[FOLDER_PATH_LEN], struct msg *why)
{
    char made[FOLDER_PATH_LEN];
    char next[FOLDER_PATH_LEN];
    enum err err = folder_path(dir, NEW_NAME, made, why);
    if (err == ERR_NONE)
        err = folder_path(dir, NEXT_NAME, next, why);
    if (err == ERR_NONE)
        err = folder_put(made, next, false, why);
    return err == ERR_NONE ? swap_finish(dir, kept, why) : err;
}
