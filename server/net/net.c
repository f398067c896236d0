#include "net/net.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <openssl/ssl.h>

#include "board/check.h"
#include "net/inside.h"

/* A screen that still lives answers a ping: asked every 3 s, let go after 8 s (libwebsockets' own are 300 and 310). */
#define PING_S           3
#define HANGUP_S         8
#define HTTP_KEEPALIVE_S 5
#define HEADER_TIMEOUT_S 10
#define HEADER_BYTES     8192        /* of one request; over it the connection is closed */
#define RECEIVE_BYTES    4096        /* a longer message comes in pieces */
#define SEND_BYTES       (64 * 1024) /* one frame in one write, or the kernel's buffer full */

static const struct lws_protocols protocols[] = {
    {.name = "http", .callback = http_callback, .per_session_data_size = sizeof(struct http_session)},
    {.name = SOCKET_PROTOCOL,
     .callback = socket_callback,
     .per_session_data_size = sizeof(struct socket),
     .rx_buffer_size = RECEIVE_BYTES,
     .tx_packet_size = SEND_BYTES},
    {.name = "door", .callback = door_callback},
    {0},
};

static const lws_retry_bo_t liveness = {.secs_since_valid_ping = PING_S, .secs_since_valid_hangup = HANGUP_S};

/* libwebsockets speaks while it is set up. Later it would only say what clients did wrong, as often as they like. */
static void log_line(int level, const char *line)
{
    (void)level;
    (void)fprintf(stderr, "sternboard: sockets: %s", line);
}

/* It ends a wait; what is due is done by whoever waited. A timer that is ripe already when the wait begins is called before it and
 * would be forgotten by it (libwebsockets asks its timers first and polls then): the wake-up stays in the pipe. */
static void on_timer(lws_sorted_usec_list_t *timer)
{
    const struct net *net = lws_container_of(timer, struct net, timer);
    lws_cancel_service(net->context);
}

/* TLS 1.2 and 1.3 (RFC 8996 ends the older ones), HTTP/1.1 alone: the board does not speak HTTP/2. Plain HTTP is let through to
 * http.c, which tells whoever speaks it to write https; that option brings the library's start of TLS with it. */
static void add_tls(struct lws_context_creation_info *info, const struct net_options *options)
{
    info->options |= LWS_SERVER_OPTION_ALLOW_NON_SSL_ON_SSL_PORT | LWS_SERVER_OPTION_ALLOW_HTTP_ON_HTTPS_LISTENER;
    info->ssl_cert_filepath = options->tls_chain;
    info->ssl_private_key_filepath = options->tls_key;
    info->ssl_options_set =
        (long)(SSL_OP_NO_SSLv3 | SSL_OP_NO_TLSv1 | SSL_OP_NO_TLSv1_1 | SSL_OP_NO_COMPRESSION | SSL_OP_NO_RENEGOTIATION);
    info->alpn = "http/1.1";
}

static void adopt_file(struct net *net, int fd)
{
    lws_sock_file_fd_type file = {.filefd = fd};
    CHECK(lws_adopt_descriptor_vhost(net->vhost, LWS_ADOPT_RAW_FILE_DESC, file, "door", NULL));
}

struct net *net_open(const struct net_options *options)
{
    struct net *net = calloc(1, sizeof *net);
    CHECK(net);
    net->hub = options->hub;
    net->now = options->now;
    net->names = options->names;
    net->authority = options->authority;
    net->slow = options->slow;
    net->listen_fd = options->listen_fd;
    net->watch_fd = options->watch_fd;
    lws_set_log_level(LLL_ERR, log_line);
    struct lws_context_creation_info info = {
        .port = CONTEXT_PORT_NO_LISTEN_SERVER,
        .protocols = protocols,
        .user = net,
        .options = LWS_SERVER_OPTION_EXPLICIT_VHOSTS | LWS_SERVER_OPTION_VALIDATE_UTF8,
        .retry_and_idle_policy = &liveness,
        .keepalive_timeout = HTTP_KEEPALIVE_S,
        .timeout_secs_ah_idle = HEADER_TIMEOUT_S,
        .max_http_header_data = HEADER_BYTES,
        .max_http_header_pool = LIMIT_SOCKETS,
    };
    if (options->names.tls)
        add_tls(&info, options);
    net->context = lws_create_context(&info);
    CHECK(net->context);
    net->vhost = lws_create_vhost(net->context, &info);
    CHECK(net->vhost || options->names.tls);
    if (!net->vhost) {
        net_close(net);
        return NULL;
    }
    adopt_file(net, net->listen_fd);
    adopt_file(net, net->watch_fd);
    lws_set_log_level(0, NULL);
    return net;
}

bool net_service(struct net *net, int64_t wait_ms)
{
    net->watch_ready = false;
    lws_sul_schedule(net->context, 0, &net->timer, on_timer, (lws_usec_t)wait_ms * LWS_US_PER_MS);
    CHECK(lws_service(net->context, 0) >= 0);
    return net->watch_ready;
}

/* Has this screen something to hear: a frame, a close code, that there is no room, or goodbye? */
static bool wants(const struct net *net, const struct socket *socket)
{
    if (socket->closing)
        return false;
    return socket->conn < 0 || net->stopping || hub_wants(net->hub, socket->conn);
}

void net_flush(struct net *net, int32_t most)
{
    int64_t now_ms = net->now().boot_ms;
    http_take_slow(net);
    lws_start_foreach_dll_safe(struct lws_dll2 *, item, next, lws_dll2_get_head(&net->sockets))
    {
        struct socket *socket = lws_container_of(item, struct socket, list);
        if (!socket->asked && most > 0 && wants(net, socket)) {
            most--;
            socket->asked = true;
            socket->asked_ms = now_ms;
            lws_callback_on_writable(socket->wsi);
        } else if (socket->asked && now_ms - socket->asked_ms > LIMIT_SILENT_MS) {
            /* It has had something to read for that long, and did not; what it says in the meantime doesn't count. */
            lws_set_timeout(socket->wsi, PENDING_TIMEOUT_LAGGING, LWS_TO_KILL_ASYNC);
        }
    }
    lws_end_foreach_dll_safe(item, next);
}

void net_wake(struct net *net)
{
    lws_cancel_service(net->context);
}

void net_stop(struct net *net)
{
    net->stopping = true;
}

int32_t net_count(const struct net *net)
{
    return (int32_t)net->sockets.count;
}

void net_close(struct net *net)
{
    lws_context_destroy(net->context);
    free(net);
}
