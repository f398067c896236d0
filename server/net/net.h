/* The socket side: pages, websockets and the guards at the door, on libwebsockets.
 *
 * Everything happens in net_service(), on the one thread that calls it: the hub is told of connections and messages and asked
 * for frames. net_wake() is the only function that another thread may call.
 *
 * Between the Wi-Fi and the hub stand, in this order:
 *
 *   door.c     how many sockets there may be in all and from one address; what each costs the kernel
 *   http.c     which requests are answered at all: known hosts, GET and HEAD; no h2c, no CONNECT, no foreign origin
 *   socket.c   whole messages of bounded size; one write at a time; a page that doesn't read or doesn't live is let go
 */
#ifndef STERNBOARD_NET_H
#define STERNBOARD_NET_H

#include <stdbool.h>
#include <stdint.h>

#include "err.h"
#include "hub/hub.h"
#include "net/names.h"
#include "net/slow.h"

struct net;

/* A socket that has the port; address NULL: on all of the machine's, else a numeric one. Nobody can connect before net_listen().
 * *fd is the caller's until net_open() has it. ERR_UNAVAILABLE: the port is in use. ERR_USAGE: no such address, or no right to
 * the port. */
enum err net_bind(const char *address, int32_t port, int *fd, struct msg *why) MUST_CHECK;

/* From now on it can be connected to. ERR_UNAVAILABLE: another program listened first. */
enum err net_listen(int fd, int32_t port, struct msg *why) MUST_CHECK;

/* names.tls: TLS 1.2 or later alone is spoken on the port, with these files in PEM. authority: what phones are to install, at
 * /authority.crt; "" for none. The strings last as long as the net. */
struct net_options {
    struct hub *hub;
    struct hub_time (*now)(void);
    struct names names;
    const char *tls_chain, *tls_key, *authority;
    struct slow slow; /* ask NULL: there is nobody to ask */
    int listen_fd;    /* of net_bind(), and listening */
    int watch_fd;     /* a readable file that the loop is to wake up for, such as a signalfd */
};

/* Takes both files over. NULL: TLS does not take the certificate or its key. Aborts when memory or the basics of the system are
 * missing. */
struct net *net_open(const struct net_options *);

/* Waits for something to happen, at most wait_ms, and does what is due for the sockets. True when watch_fd can be read. */
bool net_service(struct net *, int64_t wait_ms);

/* Asks to write to each screen that the hub has something for, but to most of them at once, and lets go of those that have not read for
 * long. To be called after each net_service() and whatever else may have given the hub something to say. */
void net_flush(struct net *, int32_t most);

/* Makes net_service() return soon. From any thread, until net_close(). */
void net_wake(struct net *);

/* From now on nobody new is let in, and each screen is told goodbye (1001) after its last frame. */
void net_stop(struct net *);

/* How many websockets are open. */
int32_t net_count(const struct net *);

void net_close(struct net *);

#endif
