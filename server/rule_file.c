#include "rule_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "board/check.h"
#include "log/folder.h"

/* The whole file, ended by NUL; a few bytes over the bound are enough to know that it is too long. */
static enum err read_all(int fd, const char *path, char *text, size_t room, size_t *len, struct msg *why)
{
    struct stat about;
    if (fstat(fd, &about) != 0 || !S_ISREG(about.st_mode))
        return err_set(why, ERR_NO_INPUT, "%.300s is no file of rule sets.", path);
    if (about.st_size > RULES_BYTES_MAX)
        return err_set(why, ERR_DATA, "%.300s has %lld bytes: a file of rule sets has at most %d.", path,
                       (long long)about.st_size, RULES_BYTES_MAX);
    *len = 0;
    for (ssize_t got = 1; got > 0 && *len < room - 1; *len += (size_t)got) {
        got = read(fd, text + *len, room - 1 - *len);
        if (got < 0)
            return err_set(why, ERR_IO, "%.300s cannot be read: %s.", path, strerror(errno));
    }
    text[*len] = '\0';
    return ERR_NONE;
}

static enum err read_path(const char *path, int fd, struct rules *rules, struct msg *why)
{
    enum { ROOM = RULES_BYTES_MAX + 2 };
    char *text = malloc(ROOM);
    size_t len = 0;
    CHECK(text);
    enum err err = read_all(fd, path, text, ROOM, &len, why);
    if (!err && strlen(text) != len)
        err = err_set(why, ERR_DATA, "%.300s holds a zero byte: it is no text.", path);
    if (!err)
        err = rules_read(text, len, path, rules, why);
    free(text);
    return err;
}

enum err rule_file_read(const struct options *options, struct rules *rules, bool *own, struct msg *why)
{
    char in_data[FOLDER_PATH_LEN];
    const char *path = options->rules;
    enum err err = path ? ERR_NONE : folder_path(options->data, "rules.json", in_data, why);
    if (err)
        return err;
    *own = true;
    path = path ? path : in_data;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (fd < 0 && errno == ENOENT && !options->rules) {
        *own = false;
        return rules_read(rules_shipped, strlen(rules_shipped), "the shipped rule set", rules, why);
    }
    if (fd < 0)
        return err_set(why, ERR_NO_INPUT, "%.300s cannot be opened: %s.", path, strerror(errno));
    err = read_path(path, fd, rules, why);
    (void)close(fd);
    return err;
}
