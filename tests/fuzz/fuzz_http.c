/* Any bytes to the door of the program, as the start of a connection: whatever is answered is HTTP, and never something that only a
 * token opens. The first byte says in how long pieces they come (0: at once). */
#include <string.h>

#include "board/check.h"
#include "fuzz.h"
#include "net_support.h"

enum { REPLY_MAX = 4096 };

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t len)
{
    static struct fuzz_net *fuzz;
    static char reply[REPLY_MAX];
    if (fuzz == NULL)
        fuzz = fuzz_net_open();
    if (len < 2)
        return 0;
    int client = fuzz_net_connect(fuzz);
    size_t piece = bytes[0] > 0 ? bytes[0] : len;
    for (size_t at = 1; at < len; at += piece) {
        fuzz_net_send(fuzz, client, bytes + at, piece < len - at ? piece : len - at, reply, sizeof reply);
        CHECK(at > 1 || reply[0] == '\0' || strncmp(reply, "HTTP/1.", 7) == 0);
        CHECK(strstr(reply, "101 Switching Protocols") == NULL || strstr(reply, "h2c") == NULL);
        CHECK(strstr(reply, "\"rows\":") == NULL);
    }
    fuzz_net_hang_up(fuzz, client);
    return 0;
}
