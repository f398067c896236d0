#include "fuzz.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "board/check.h"

enum { PATH_LEN = 512 };

bool fuzz_line(const char **text, size_t *left, const char **line, size_t *len)
{
    if (*left == 0)
        return false;
    const char *end = memchr(*text, '\n', *left);
    *line = *text;
    *len = end ? (size_t)(end - *text) : *left;
    size_t taken = *len + (end != NULL);
    *text += taken;
    *left -= taken;
    return true;
}

static char folder[PATH_LEN / 2];

static void remove_folder(void)
{
    DIR *open = opendir(folder);
    if (!open)
        return;
    for (const struct dirent *item; (item = readdir(open)) != NULL;) {
        char path[PATH_LEN];
        (void)snprintf(path, sizeof path, "%s/%s", folder, item->d_name);
        (void)unlink(path);
    }
    (void)closedir(open);
    (void)rmdir(folder);
}

const char *fuzz_folder(void)
{
    if (folder[0])
        return folder;
    const char *temporary = getenv("TMPDIR");
    const char *above = access("/dev/shm", W_OK) == 0 ? "/dev/shm" : temporary ? temporary : P_tmpdir;
    (void)snprintf(folder, sizeof folder, "%s/sternboard-fuzz-XXXXXX", above);
    CHECK(mkdtemp(folder) != NULL);
    CHECK(atexit(remove_folder) == 0);
    return folder;
}

void fuzz_write(const char *name, const void *bytes, size_t len)
{
    char path[PATH_LEN];
    (void)snprintf(path, sizeof path, "%s/%s", fuzz_folder(), name);
    FILE *file = fopen(path, "wb");
    CHECK(file != NULL);
    size_t written = fwrite(bytes, 1, len, file);
    CHECK(fclose(file) == 0 && written == len);
}

void fuzz_write_log(const char *name, const void *bytes, size_t len)
{
    static const char *const besides[] = {"-wal", "-shm", "-journal"};
    for (size_t i = 0; i < sizeof besides / sizeof besides[0]; i++) {
        char path[PATH_LEN];
        (void)snprintf(path, sizeof path, "%s/%s%s", fuzz_folder(), name, besides[i]);
        (void)unlink(path);
    }
    fuzz_write(name, bytes, len);
}

char *fuzz_read(const char *path, size_t max, size_t *len)
{
    char *text = malloc(max + 1);
    FILE *file = fopen(path, "rb");
    if (text == NULL || file == NULL) {
        perror(path);
        abort();
    }
    *len = fread(text, 1, max, file);
    CHECK(*len < max);
    (void)fclose(file);
    text[*len] = '\0';
    return text;
}
