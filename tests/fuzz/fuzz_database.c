/* A log's file with any bytes of it changed, as a failing card or a person would: an old log is damaged, then verified, dumped, shown
 * and loaded into a hub. Each says what is wrong in a sentence, or works.
 *
 * The input is a list of changes, each three bytes of place, one of length (0 to 15, by its lower half), and that many bytes to stand
 * there; what is left over is nothing. So a kept input is some bytes long, not a whole file.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "commands.h"
#include "fuzz.h"
#include "load.h"
#include "log/verify.h"

enum { LOG_MAX = 1 << 20 };

static void damage(char *file, size_t file_len, const uint8_t *bytes, size_t len)
{
    for (size_t at = 0; at + 4 <= len;) {
        size_t place = ((size_t)bytes[at] << 16 | (size_t)bytes[at + 1] << 8 | bytes[at + 2]) % file_len;
        size_t count = bytes[at + 3] & 15;
        at += 4;
        for (size_t i = 0; i < count && at < len && place + i < file_len; i++)
            file[place + i] = (char)bytes[at++];
    }
}

static void check_said(enum err err, const struct msg *why)
{
    CHECK(err == ERR_NONE || (why->text[0] != '\0' && memchr(why->text, '\0', sizeof why->text) != NULL));
}

static void load(const char *path)
{
    static struct keys keys;
    struct log *log = NULL;
    struct log_open_info info;
    struct hub *hub = NULL;
    struct hub_time now = {.boot_ms = 1000};
    struct msg why = {""};
    enum err err = log_open_read(&log, path, &info, &why);
    check_said(err, &why);
    if (err != ERR_NONE)
        return;
    err = load_hub(log, &info, &keys, now, &hub, &why);
    check_said(err, &why);
    if (err == ERR_NONE) {
        hub_check(hub);
        hub_free(hub);
    }
    log_close(log);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t len)
{
    static char *whole;
    static size_t whole_len;
    char path[512];
    struct msg why = {""};
    if (whole == NULL)
        whole = fuzz_read(FUZZ_LOG, LOG_MAX, &whole_len);
    char *file = malloc(whole_len);
    FILE *nowhere = fopen("/dev/null", "w");
    CHECK(file != NULL && nowhere != NULL);
    memcpy(file, whole, whole_len);
    damage(file, whole_len, bytes, len);
    fuzz_write_log("log.db", file, whole_len);
    free(file);
    (void)snprintf(path, sizeof path, "%s/log.db", fuzz_folder());
    enum err err = command_verify(path, nowhere, &why);
    check_said(err, &why);
    check_said(command_dump(path, nowhere, &why), &why);
    check_said(command_show(path, 0, nowhere, &why), &why);
    load(path);
    CHECK(fclose(nowhere) == 0);
    return 0;
}
