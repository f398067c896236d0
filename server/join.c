#include "join.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>
#include <qrencode.h>
#include <string.h>

#include "board/check.h"

#define QUIET_ZONE 4

/* How likely a phone on the boat's Wi-Fi reaches this address; 0: never. */
static int likelihood(uint32_t address, const char *interface)
{
    static const char *const virtual_names[] = {"docker", "br-", "veth", "virbr", "tun", "wg", "lxc"};
    uint32_t top = address >> 24;
    if (top == 127 || top == 0)
        return 0;
    int likely = 20;
    if (top == 10 || address >> 20 == 0xac1 || address >> 16 == 0xc0a8)
        likely = 30;
    else if (address >> 16 == 0xa9fe)
        likely = 10;
    for (size_t i = 0; i < sizeof virtual_names / sizeof virtual_names[0]; i++)
        if (strncmp(interface, virtual_names[i], strlen(virtual_names[i])) == 0)
            likely -= 9;
    return likely;
}

int32_t join_addresses(char addresses[][JOIN_ADDRESS_LEN], int32_t max)
{
    CHECK(max > 0);
    struct ifaddrs *all = NULL;
    int32_t count = 0;
    if (getifaddrs(&all) != 0)
        all = NULL;
    for (int likely = 30; likely > 0; likely--)
        for (const struct ifaddrs *one = all; one && count < max; one = one->ifa_next) {
            if (!one->ifa_addr || one->ifa_addr->sa_family != AF_INET || !(one->ifa_flags & IFF_UP))
                continue;
            const struct sockaddr_in *v4 = (const void *)one->ifa_addr;
            if (likelihood(ntohl(v4->sin_addr.s_addr), one->ifa_name) == likely)
                CHECK(inet_ntop(AF_INET, &v4->sin_addr, addresses[count++], JOIN_ADDRESS_LEN));
        }
    if (all)
        freeifaddrs(all);
    if (count == 0)
        (void)snprintf(addresses[count++], JOIN_ADDRESS_LEN, "127.0.0.1");
    return count;
}

void join_link(char link[JOIN_LINK_LEN], const struct join_place *place, const char *path, const char *key)
{
    const char *colon = strchr(place->address, ':');
    bool v6 = colon && strchr(colon + 1, ':');
    char port[16] = ""; /* one colon alone: the address names its own */
    if (v6 || !colon)
        (void)snprintf(port, sizeof port, ":%d", place->port);
    (void)snprintf(link, JOIN_LINK_LEN, "http%s://%s%s%s%s%s%s%s", place->tls ? "s" : "", v6 ? "[" : "", place->address,
                   v6 ? "]" : "", port, path, key[0] ? "#k=" : "", key);
}

static bool is_dark(const QRcode *code, int x, int y)
{
    if (x < 0 || y < 0 || x >= code->width || y >= code->width)
        return false;
    return code->data[y * code->width + x] & 1;
}

void join_code(FILE *out, const char *text, bool colour)
{
    static const char *const halves[] = {" ", "▄", "▀", "█"}; /* inked: neither, the lower, the upper, both */
    QRcode *code = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_L);
    CHECK(code);
    for (int y = -QUIET_ZONE; y < code->width + QUIET_ZONE; y += 2) {
        (void)fputs(colour ? "\033[30;107m" : "", out);
        for (int x = -QUIET_ZONE; x < code->width + QUIET_ZONE; x++) {
            /* With colours the ink is dark; without, the ground is dark and the ink light. */
            bool upper = is_dark(code, x, y) == colour;
            bool lower = is_dark(code, x, y + 1) == colour;
            (void)fputs(halves[(upper ? 2 : 0) + (lower ? 1 : 0)], out);
        }
        (void)fputs(colour ? "\033[0m\n" : "\n", out);
    }
    QRcode_free(code);
}
