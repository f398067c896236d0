#include "net/names.h"

#include <arpa/inet.h>
#include <ctype.h>
#include <ifaddrs.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <unistd.h>

#define HTTP_PORT  80
#define HTTPS_PORT 443

static bool push(struct names *names, const char *host)
{
    if (names_find(names, host))
        return true;
    size_t len = strlen(host);
    if (names->count == NAMES_MAX || len >= NAMES_HOST_LEN)
        return false;
    char *kept = names->host[names->count++];
    for (size_t i = 0; i <= len; i++)
        kept[i] = (char)tolower((unsigned char)host[i]);
    return true;
}

static bool push_with_port(struct names *names, const char *name, int32_t port)
{
    int32_t usual = names->tls ? HTTPS_PORT : HTTP_PORT;
    char host[NAMES_HOST_LEN];
    int len = snprintf(host, sizeof host, "%s:%d", name, port);
    if (len < 0 || len >= (int)sizeof host)
        return false;
    return push(names, host) && (port != usual || push(names, name));
}

/* Letters, digits, dots and hyphens (RFC 1123, 2.1): nothing that could end a header or a quoted word of a policy. */
static bool is_name(const char *name, size_t len)
{
    for (size_t i = 0; i < len; i++)
        if (!isalnum((unsigned char)name[i]) && name[i] != '.' && name[i] != '-')
            return false;
    return len > 0;
}

void names_init(struct names *names, int32_t port, bool tls)
{
    memset(names, 0, sizeof *names);
    names->tls = tls;
    names->port = port;
    (void)push_with_port(names, "localhost", port);
    char machine[NAMES_HOST_LEN - sizeof ".local:65535"];
    if (gethostname(machine, sizeof machine) == 0) {
        machine[sizeof machine - 1] = '\0';
        char local[NAMES_HOST_LEN];
        (void)snprintf(local, sizeof local, "%s.local", machine);
        if (is_name(machine, strlen(machine))) {
            (void)push_with_port(names, machine, port);
            (void)push_with_port(names, local, port);
        }
    }
    names->own_count = names->count;
}

bool names_add(struct names *names, const char *name)
{
    size_t len = strcspn(name, ":");
    if (!is_name(name, len))
        return false;
    bool added = false;
    if (name[len] == '\0') {
        added = push_with_port(names, name, names->port);
    } else {
        int32_t port = 0;
        size_t digits = strspn(name + len + 1, "0123456789");
        for (size_t i = 0; i < digits && digits <= 5; i++)
            port = port * 10 + (name[len + 1 + i] - '0');
        char alone[NAMES_HOST_LEN];
        if (port < 1 || port > 65535 || name[len + 1 + digits] != '\0' || len >= sizeof alone)
            return false;
        (void)snprintf(alone, sizeof alone, "%.*s", (int)len, name);
        added = push_with_port(names, alone, port);
    }
    names->own_count = names->count;
    return added;
}

void names_refresh(struct names *names)
{
    struct ifaddrs *all = NULL;
    if (getifaddrs(&all) != 0)
        return; /* then those of the last time stay */
    names->count = names->own_count;
    for (const struct ifaddrs *one = all; one; one = one->ifa_next) {
        char address[INET6_ADDRSTRLEN], quoted[INET6_ADDRSTRLEN + 2];
        if (!one->ifa_addr)
            continue;
        if (one->ifa_addr->sa_family == AF_INET) {
            const struct sockaddr_in *v4 = (const void *)one->ifa_addr;
            if (inet_ntop(AF_INET, &v4->sin_addr, address, sizeof address))
                (void)push_with_port(names, address, names->port);
        } else if (one->ifa_addr->sa_family == AF_INET6) {
            const struct sockaddr_in6 *v6 = (const void *)one->ifa_addr;
            if (!inet_ntop(AF_INET6, &v6->sin6_addr, address, sizeof address))
                continue;
            (void)snprintf(quoted, sizeof quoted, "[%s]", address);
            (void)push_with_port(names, quoted, names->port);
        }
    }
    freeifaddrs(all);
}

const char *names_find(const struct names *names, const char *host)
{
    for (int32_t i = 0; i < names->count; i++)
        if (strcasecmp(names->host[i], host) == 0)
            return names->host[i];
    return NULL;
}

bool names_origin_is(const struct names *names, const char *host, const char *origin)
{
    const char *scheme = names->tls ? "https://" : "http://";
    size_t len = strlen(scheme);
    return strncmp(origin, scheme, len) == 0 && strcasecmp(origin + len, host) == 0;
}
