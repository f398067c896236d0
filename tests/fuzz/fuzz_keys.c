/* The file of keys, any bytes in it. It is taken only if it is, byte for byte, the file that this program would write for what it
 * read: nothing malformed is tolerated, and nothing is lost in reading. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "fuzz.h"
#include "log/keys.h"

enum { FILE_MAX = 1 << 20 };

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t len)
{
    static struct keys keys;
    struct msg why = {""};
    char path[512];
    bool made = false;
    fuzz_write("keys", bytes, len);
    enum err err = keys_open(fuzz_folder(), &keys, &made, &why);
    CHECK(!made);
    if (err != ERR_NONE) {
        CHECK(err == ERR_DATA && why.text[0] != '\0');
        return 0;
    }
    CHECK(keys_save(fuzz_folder(), &keys, &why) == ERR_NONE);
    (void)snprintf(path, sizeof path, "%s/keys", fuzz_folder());
    size_t saved_len;
    char *saved = fuzz_read(path, FILE_MAX, &saved_len);
    CHECK(saved_len == len && memcmp(saved, bytes, len) == 0);
    free(saved);
    return 0;
}
