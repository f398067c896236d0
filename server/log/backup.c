#include "backup.h"

#include <errno.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "log/database.h"
#include "log/folder.h"
#include "log/format.h"

/* A file of its own beside the goal, empty and 0600, for nobody else to use. */
static enum err make_room(const char *to, char made[FOLDER_PATH_LEN], struct msg *why)
{
    if (access(to, F_OK) == 0)
        return err_set(why, ERR_CANNOT_MAKE, "There is a file %s already. Name another.", to);
    if (snprintf(made, FOLDER_PATH_LEN, "%s.XXXXXX", to) >= FOLDER_PATH_LEN - 16)
        return err_set(why, ERR_CANNOT_MAKE, "The name of the backup is too long.");
    int file = mkstemp(made);
    if (file < 0)
        return err_set(why, ERR_CANNOT_MAKE, "%s cannot be made (%s). Name a folder that this user can write.", to,
                       strerror(errno));
    (void)close(file);
    return ERR_NONE;
}

/* The copy takes over the mark "WAL" from the log. Without it the backup is one file that needs no other, even on a
 * disk that cannot be written. */
static enum err settle(struct database *copy, struct msg *why)
{
    char journal[16] = "";
    enum err err = database_text(copy, "PRAGMA journal_mode = DELETE", journal, sizeof journal, why);
    if (err == ERR_NONE && strcmp(journal, "delete") != 0)
        return err_set(why, ERR_IO, "The backup %s could not be finished.", copy->path);
    return err;
}

/* All pages in one step, so in one snapshot: a copy in several steps would begin anew at each commit of the server. */
static enum err copy_pages(struct database *log, struct database *copy, struct msg *why)
{
    sqlite3_backup *backup = sqlite3_backup_init(copy->handle, "main", log->handle, "main");
    if (!backup)
        return database_fail(copy, sqlite3_extended_errcode(copy->handle), why);
    (void)sqlite3_backup_step(backup, -1);
    int code = sqlite3_backup_finish(backup); /* says what the step said */
    return code == SQLITE_OK ? ERR_NONE : database_fail(copy, code, why);
}

static enum err copy_log(struct database *log, const char *made, struct msg *why)
{
    struct database copy;
    enum err err = database_open(&copy, made, DATABASE_WRITE, why);
    if (err != ERR_NONE)
        return err;
    err = copy_pages(log, &copy, why);
    if (err == ERR_NONE)
        err = settle(&copy, why);
    database_close(&copy);
    return err;
}

static void no_finding(void *context, const char *line)
{
    (void)context;
    (void)line;
}

static enum err copy_and_put(struct database *log, const char *to, struct verify_sums *sums, struct msg *why)
{
    char made[FOLDER_PATH_LEN];
    enum err err = make_room(to, made, why);
    if (err != ERR_NONE)
        return err;
    err = copy_log(log, made, why);
    if (err == ERR_NONE)
        err = verify_log(made, no_finding, NULL, sums, why);
    if (err == ERR_NONE)
        err = folder_put(made, to, false, why);
    if (err != ERR_NONE)
        (void)unlink(made);
    return err;
}

enum err backup_log(const char *from, const char *to, struct verify_sums *sums, struct msg *why)
{
    char path[FOLDER_PATH_LEN];
    struct database log;
    enum err err = format_path(from, path, why);
    if (err == ERR_NONE)
        err = database_open(&log, path, DATABASE_READ, why);
    if (err != ERR_NONE)
        return err;
    err = format_check(&log, why);
    if (err == ERR_NONE)
        err = copy_and_put(&log, to, sums, why);
    database_close(&log);
    return err;
}
