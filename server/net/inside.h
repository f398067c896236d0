/* What the files of server/net share. Nobody else includes this. */
#ifndef STERNBOARD_NET_INSIDE_H
#define STERNBOARD_NET_INSIDE_H

#include <libwebsockets.h>

#include "limit.h"
#include "net/net.h"
#include "net/reply.h"

/* An HTTP connection; libwebsockets keeps one for each and zeroes it first. */
struct http_session {
    struct reply reply;
    size_t sent;
    bool under_way; /* a reply's body is not yet all sent */

    bool made;      /* its reply has come, and its head is still to be sent */
    int64_t ticket; /* of an answer that is being made (slow.h); 0: none */
    bool head;      /* without the body */
};

/* A request whose answer is being made; wsi NULL: free. */
struct slow_wait {
    struct lws *wsi;
    struct http_session *session;
};

/* A websocket to a screen; libwebsockets keeps one for each and zeroes it first.
 *
 *   opened ──▶ joined ──▶ left          conn is the hub's number from joined to left, else -1
 *      └─────▶ full ────▶ left          told "no room", then closed
 */
struct socket {
    struct lws_dll2 list; /* in net.sockets while open */
    struct lws *wsi;
    int conn;
    bool full;    /* the hub had no room: the answer is still to be sent */
    bool closing; /* the close code is sent; nothing more is asked of the hub */
    bool asked;   /* a writable callback is due, asked for at asked_ms */
    int64_t asked_ms;
    char *text; /* the message so far, when it comes in pieces; LIMIT_MESSAGE_BYTES long */
    size_t len;
};

/* A TCP connection, whatever it carries. */
struct door_place {
    struct lws *wsi; /* NULL: free */
    uint64_t address;
};

struct net {
    struct lws_context *context;
    struct lws_vhost *vhost;
    struct hub *hub;
    struct hub_time (*now)(void);
    struct names names;
    const char *authority; /* what phones install, in PEM; "" for none */
    int64_t names_read_ms; /* when the interfaces were last looked at */
    struct lws_dll2_owner sockets;
    struct door_place places[LIMIT_SOCKETS];
    struct slow slow;
    struct slow_wait slow_waits[SLOW_MAX];
    int listen_fd, watch_fd;
    lws_sorted_usec_list_t timer;
    bool watch_ready, stopping;
};

/* The net that a connection belongs to. */
static inline struct net *net_of(struct lws *wsi)
{
    return lws_context_user(lws_get_context(wsi));
}

/* The callbacks of the three protocols. */
int http_callback(struct lws *, enum lws_callback_reasons, void *session, void *in, size_t len);
int socket_callback(struct lws *, enum lws_callback_reasons, void *session, void *in, size_t len);
int door_callback(struct lws *, enum lws_callback_reasons, void *session, void *in, size_t len);

/* Fetches the answers that have been made meanwhile. */
void http_take_slow(struct net *);

/* The address a connection came from, as one number that is only ever compared. */
uint64_t door_address(const struct net *, const struct lws *);
void door_forget(struct net *, const struct lws *);

#define SOCKET_PROTOCOL "sternboard"
#define SOCKET_PATH     "/ws"

#endif
