/* Any bytes where a websocket's frames should be, after a right upgrade: cut, joined, with any opcode, length and mask. The first byte
 * says in how long pieces they come (0: at once). Its kept inputs do without masks, which libwebsockets does not ask for, so that
 * their words can be read and changed. */
#include <string.h>

#include "board/check.h"
#include "fuzz.h"
#include "net_support.h"

enum { REPLY_MAX = 4096 };

/* The key and, in the answer, its proof are those of RFC 6455, 1.3. */
static const char upgrade[] =
    "GET /ws HTTP/1.1\r\nHost: localhost:8470\r\nOrigin: http://localhost:8470\r\nConnection: Upgrade\r\n"
    "Upgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n"
    "Sec-WebSocket-Protocol: sternboard\r\n\r\n";
static const char proof[] = "s3pPLMBiTxaQ9kYGzzhZRbK+xOo=";

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t len)
{
    static struct fuzz_net *fuzz;
    static char reply[REPLY_MAX];
    if (fuzz == NULL)
        fuzz = fuzz_net_open();
    if (len < 2)
        return 0;
    int client = fuzz_net_connect(fuzz);
    fuzz_net_send(fuzz, client, upgrade, sizeof upgrade - 1, reply, sizeof reply);
    CHECK(strncmp(reply, "HTTP/1.1 101 ", 13) == 0 && strstr(reply, proof) != NULL);
    size_t piece = bytes[0] > 0 ? bytes[0] : len;
    for (size_t at = 1; at < len; at += piece)
        fuzz_net_send(fuzz, client, bytes + at, piece < len - at ? piece : len - at, reply, sizeof reply);
    fuzz_net_hang_up(fuzz, client);
    return 0;
}
