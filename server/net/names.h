/* The names this server answers to.
 *
 * A page of some other site, open on a phone that has internet as well, can make that phone's browser talk to this server: by
 * a websocket, which the same-origin policy does not cover (CWE-1385), or by a name of its own that it suddenly says to lie at
 * this address (DNS rebinding). Both give themselves away by the Host and the Origin that the browser then sends. So each
 * request must name one of this server's own hosts, and each websocket must come from a page of that very host.
 *
 * A host is "name:port" as a browser writes it: lower case, the port left out when it is 80, or with TLS 443. Known are the addresses of the
 * machine's interfaces, localhost, the machine's name alone and under .local, and what --name adds.
 */
#ifndef STERNBOARD_NET_NAMES_H
#define STERNBOARD_NET_NAMES_H

#include <stdbool.h>
#include <stdint.h>

#define NAMES_MAX      64
#define NAMES_HOST_LEN 96

struct names {
    bool tls; /* pages come by https */
    int32_t port;
    int32_t own_count; /* the first ones: those that stay when the interfaces change */
    int32_t count;
    char host[NAMES_MAX][NAMES_HOST_LEN];
};

/* Localhost and the machine's own name; no interface yet. */
void names_init(struct names *, int32_t port, bool tls);

/* One more name, "boat" or "boat:8080" (for a way in through another port). False: not a name, or no room for it. To be called
 * before names_refresh(). */
bool names_add(struct names *, const char *name);

/* The addresses of the interfaces as they are now; they come and go with the boat's router. */
void names_refresh(struct names *);

/* The known host that a Host header means, as it is kept here; NULL when it is none of this server's. What comes back is safe
 * to be written into a header. */
const char *names_find(const struct names *, const char *host);

/* Did a page of this host ask? Browsers always send an Origin with a websocket (RFC 6455, 4.1 and 10.2), so one without is
 * refused: a tool that wants in can send the header, and there is one rule for all. */
bool names_origin_is(const struct names *, const char *host, const char *origin);

#endif
