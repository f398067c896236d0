/* HTTP: guards, pages, reads.
 *
 * This is protocol 0 of libwebsockets, the one that sees a connection before it is anything else. So the guards stand here:
 *
 *   CONFIRM_UPGRADE   an upgrade to anything but a websocket is refused; libwebsockets 4.1 would take h2c on a plain port, and
 *                     its HPACK decoder there writes out of bounds (CVE-2026-19773). The header is copied out, and -1 is
 *                     returned when that fails: what `in` points to may be gone by then (CVE-2025-11677).
 *   RAW_ADOPT/RAW_RX  a CONNECT turns a connection raw, and a raw one has no timeout: closed at once.
 *   HTTP              any other request: a known Host, GET or HEAD.
 *
 * With TLS whoever speaks plain HTTP to the port is told to write https, and nothing else, whatever was asked for.
 */
#include <stdio.h>
#include <string.h>

#include "net/inside.h"
#include "net/pages.h"
#include "net/reads.h"

#define HEAD_BYTES  2048 /* all response headers */
#define CHUNK_BYTES 4096 /* of a body, for each writable callback */
#define PATH_BYTES  256
#define VALUE_BYTES 256

#define NAMES_READ_MS 1000

/* A header's value, "" when it was not sent. False: it is too long to be meant seriously. */
static bool copy_header(struct lws *wsi, enum lws_token_indexes token, char value[VALUE_BYTES])
{
    value[0] = '\0';
    return lws_hdr_total_length(wsi, token) == 0 || lws_hdr_copy(wsi, value, VALUE_BYTES, token) >= 0;
}

/* The known host that this request names, or NULL. Before a no, the interfaces are looked at again: the router may have come up, or
 * given this machine another address. At most once in a while, for strangers can ask as often as they like. */
static const char *known_host(struct net *net, struct lws *wsi)
{
    char host[VALUE_BYTES];
    if (!copy_header(wsi, WSI_TOKEN_HOST, host) || !host[0])
        return NULL;
    const char *known = names_find(&net->names, host);
    int64_t now_ms = net->now().boot_ms;
    if (!known && now_ms - net->names_read_ms >= NAMES_READ_MS) {
        net->names_read_ms = now_ms;
        names_refresh(&net->names);
        known = names_find(&net->names, host);
    }
    return known;
}

/* ---- sending ------------------------------------------------------------------------------------------------------- */

struct head {
    unsigned char room[LWS_PRE + HEAD_BYTES];
    unsigned char *at, *end;
    bool whole; /* everything fitted */
};

static void add(struct head *head, struct lws *wsi, const char *name, const char *value)
{
    if (lws_add_http_header_by_name(wsi, (const unsigned char *)name, (const unsigned char *)value, (int)strlen(value),
                                    &head->at, head->end) != 0)
        head->whole = false;
}

static void add_all(struct head *head, struct lws *wsi, const struct reply *reply, const char *host)
{
    char policy[512];
    head->whole = reply_policy(policy, sizeof policy, host, net_of(wsi)->names.tls);
    lws_filepos_t len = reply->status == 304 ? LWS_ILLEGAL_HTTP_CONTENT_LEN : (lws_filepos_t)reply->len;
    if (lws_add_http_common_headers(wsi, (unsigned int)reply->status | LWSAHH_FLAG_NO_SERVER_NAME, reply->type, len,
                                    &head->at, head->end) != 0)
        head->whole = false;
    add(head, wsi, "content-security-policy:", policy);
    add(head, wsi, "x-content-type-options:", "nosniff");
    add(head, wsi, "referrer-policy:", "no-referrer");
    if (net_of(wsi)->names.tls) /* on plain HTTP browsers ignore it, and say so at each load */
        add(head, wsi, "cross-origin-opener-policy:", "same-origin");
    add(head, wsi, "cache-control:", reply->cache);
    if (reply->etag[0]) {
        add(head, wsi, "etag:", reply->etag);
        add(head, wsi, "vary:", "accept-encoding");
    }
    if (reply->gzip && reply->status == 200)
        add(head, wsi, "content-encoding:", "gzip");
    if (reply->status == 401)
        add(head, wsi, "www-authenticate:", "Bearer");
    if (reply->status == 405)
        add(head, wsi, "allow:", "GET, HEAD");
}

/* Sends the status, the headers and, where it is asked for and short enough, the body as well. *left: body still to be sent.
 * False: the connection is to be closed. */
static bool send_head(struct lws *wsi, const struct reply *reply, const char *host, bool with_body, size_t *left)
{
    struct head head = {.whole = true};
    unsigned char *start = head.room + LWS_PRE;
    head.at = start;
    head.end = head.room + sizeof head.room;
    add_all(&head, wsi, reply, host);
    if (!head.whole || lws_finalize_http_header(wsi, &head.at, head.end) != 0)
        return false;
    *left = with_body ? reply->len : 0;
    if (*left > 0 && *left <= (size_t)(head.end - head.at)) {
        memcpy(head.at, reply->body, reply->len);
        head.at += reply->len;
        *left = 0;
    }
    int len = (int)(head.at - start);
    return lws_write(wsi, start, (size_t)len, LWS_WRITE_HTTP_HEADERS) == len;
}

/* The next piece of the body. Negative: close. */
static int send_more(struct lws *wsi, struct http_session *session)
{
    size_t unsent = 0;
    if (session->made) {
        session->made = false;
        if (!send_head(wsi, &session->reply, NULL, !session->head, &unsent))
            return -1;
        session->under_way = unsent > 0;
        if (session->under_way)
            lws_callback_on_writable(wsi);
        else
            reply_release(&session->reply);
        return session->under_way || !lws_http_transaction_completed(wsi) ? 0 : -1;
    }
    if (!session->under_way)
        return 0;
    unsigned char room[LWS_PRE + CHUNK_BYTES];
    size_t left = session->reply.len - session->sent;
    size_t len = left < CHUNK_BYTES ? left : CHUNK_BYTES;
    memcpy(room + LWS_PRE, session->reply.body + session->sent, len);
    if (lws_write(wsi, room + LWS_PRE, len, len == left ? LWS_WRITE_HTTP_FINAL : LWS_WRITE_HTTP) != (int)len)
        return -1;
    session->sent += len;
    if (len < left) {
        lws_callback_on_writable(wsi);
        return 0;
    }
    session->under_way = false;
    reply_release(&session->reply);
    return lws_http_transaction_completed(wsi) ? -1 : 0;
}

/* ---- requests ------------------------------------------------------------------------------------------------------ */

static void answer_read(struct net *net, struct lws *wsi, const struct request *request, struct reply *reply)
{
    char from[32], max[32], at[32], zone[32];
    const char *from_text = lws_get_urlarg_by_name(wsi, "from=", from, sizeof from);
    const char *max_text = lws_get_urlarg_by_name(wsi, "max=", max, sizeof max);
    const char *at_text = lws_get_urlarg_by_name(wsi, "at=", at, sizeof at);
    const char *zone_text = lws_get_urlarg_by_name(wsi, "zone=", zone, sizeof zone);
    struct reads_arguments arguments = {.from = from_text ? from_text : "",
                                        .max = max_text ? max_text : "",
                                        .at = at_text ? at_text : "",
                                        .zone = zone_text ? zone_text : ""};
    reads_answer(net->hub, request, &arguments, reply);
}

#define AUTHORITY_PATH "/authority.crt"
#define PLAIN_WORDS    "This board speaks https: write https:// before its address.\n"

/* Did it come without the TLS that this board is started with? */
static bool is_plain(const struct net *net, struct lws *wsi)
{
    return net->names.tls && !lws_is_ssl(wsi);
}

/* The certificate for phones to install: public, and the same for everybody. */
static void answer_authority(const struct net *net, struct reply *reply)
{
    reply_say(reply, 200, net->authority);
    reply->type = "application/x-x509-ca-cert";
}

/* Is a body announced? libwebsockets would wait for it as long as anything at all comes. */
static bool has_body(struct lws *wsi)
{
    char length[VALUE_BYTES];
    if (lws_hdr_total_length(wsi, WSI_TOKEN_HTTP_TRANSFER_ENCODING) > 0)
        return true;
    return !copy_header(wsi, WSI_TOKEN_HTTP_CONTENT_LENGTH, length) || strspn(length, "0") != strlen(length);
}

/* Makes the reply to a request that is not an upgrade. *host: the known host it names. *head: without the body. True: it is for
 * the debrief, and may be asked for; *what says what. */
static bool answer(struct net *net, struct lws *wsi, struct reply *reply, const char **host, bool *head,
                   enum slow_what *what)
{
    char path[PATH_BYTES], encoding[VALUE_BYTES], match[VALUE_BYTES], authorization[VALUE_BYTES];
    struct request request = {
        .get = lws_hdr_total_length(wsi, WSI_TOKEN_GET_URI) > 0,
        .head = lws_hdr_total_length(wsi, WSI_TOKEN_HEAD_URI) > 0,
        .path = path,
        .host = known_host(net, wsi),
        .accept_encoding = encoding,
        .if_none_match = match,
        .authorization = authorization,
    };
    *host = request.host;
    *head = request.head;
    bool fits = copy_header(wsi, WSI_TOKEN_HTTP_ACCEPT_ENCODING, encoding) &&
                copy_header(wsi, WSI_TOKEN_HTTP_IF_NONE_MATCH, match) &&
                copy_header(wsi, WSI_TOKEN_HTTP_AUTHORIZATION, authorization);
    if (is_plain(net, wsi)) {
        reply_say(reply, 403, PLAIN_WORDS);
    } else if (!request.host) {
        reply_say(reply, 403, "This board answers to its own addresses only: use the one it showed when it started.\n");
    } else if (!request.get && !request.head) {
        reply_say(reply, 405, "This board's pages can be read (GET), and nothing else.\n");
    } else if (has_body(wsi)) {
        reply_say(reply, 400, "This board's pages are asked for without a body.\n");
    } else if (!fits) {
        reply_say(reply, 431, "A header of this request is too long.\n");
    } else if (lws_hdr_copy(wsi, path, sizeof path, request.get ? WSI_TOKEN_GET_URI : WSI_TOKEN_HEAD_URI) < 0) {
        reply_say(reply, 404, "There is no such page on this board.\n");
    } else if (net->authority[0] && strcmp(path, AUTHORITY_PATH) == 0) {
        answer_authority(net, reply);
    } else if (reads_slow(path) && reads_allowed(net->hub, &request, reply)) {
        *what = reads_what(path);
        return true;
    } else if (reads_slow(path)) {
        return false;
    } else if (reads_own(path)) {
        answer_read(net, wsi, &request, reply);
    } else {
        pages_answer(&request, reply);
    }
    return false;
}

/* The arguments of a debrief, each at most once. False: one is too long to be meant. */
static bool read_question(struct lws *wsi, struct slow_question *q)
{
    const struct {
        const char *name;
        char *value;
        size_t size;
    } all[] = {
        {"part=", q->part, sizeof q->part},
        {"trips=", q->trips, sizeof q->trips},
        {"months=", q->months, sizeof q->months},
        {"bait=", q->bait, sizeof q->bait},
        {"position=", q->position, sizeof q->position},
        {"zone=", q->zone, sizeof q->zone},
        {"names=", q->names, sizeof q->names},
        {"places=", q->places, sizeof q->places},
        {"trip=", q->trip, sizeof q->trip},
        {"page=", q->page, sizeof q->page},
    };
    char text[VALUE_BYTES];
    for (int part = 0; lws_hdr_fragment_length(wsi, WSI_TOKEN_HTTP_URI_ARGS, part) > 0; part++) {
        if (lws_hdr_copy_fragment(wsi, text, sizeof text, WSI_TOKEN_HTTP_URI_ARGS, part) < 0)
            return false;
        for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
            size_t len = strlen(all[i].name);
            if (strncmp(text, all[i].name, len) != 0)
                continue;
            if (strlen(text + len) >= all[i].size)
                return false;
            memcpy(all[i].value, text + len, strlen(text + len) + 1);
        }
    }
    return true;
}

/* A debrief is worked out elsewhere. True: it is, and the connection waits; false: the reply says why not. */
static bool ask_slow(struct net *net, struct lws *wsi, struct http_session *session, enum slow_what what)
{
    struct slow_question q = {.what = what};
    int32_t free = 0;
    while (free < SLOW_MAX && net->slow_waits[free].wsi)
        free++;
    if (!read_question(wsi, &q)) {
        reply_say(&session->reply, 400, "An argument of this request is too long.\n");
        return false;
    }
    session->ticket = free < SLOW_MAX && net->slow.ask ? net->slow.ask(net->slow.context, &q) : 0;
    if (session->ticket == 0) {
        reply_say(&session->reply, 503, "Other debriefs are being worked out: try again in a moment.\n");
        return false;
    }
    net->slow_waits[free] = (struct slow_wait){.wsi = wsi, .session = session};
    lws_set_timeout(wsi, NO_PENDING_TIMEOUT, 0);
    return true;
}

static void forget_slow(struct net *net, struct http_session *session)
{
    for (int32_t i = 0; i < SLOW_MAX; i++) {
        if (net->slow_waits[i].session == session)
            net->slow_waits[i] = (struct slow_wait){0};
    }
    if (session->ticket != 0)
        net->slow.forget(net->slow.context, session->ticket);
    session->ticket = 0;
}

/* Hands a made answer over to its request; it is sent when the connection can be written to. */
void http_take_slow(struct net *net)
{
    struct slow_answer made;
    for (int32_t i = 0; i < SLOW_MAX; i++) {
        struct http_session *session = net->slow_waits[i].session;
        if (!session || !net->slow.take(net->slow.context, session->ticket, &made))
            continue;
        reply_say(&session->reply, made.status, made.text);
        session->reply.type = made.type ? made.type : session->reply.type;
        session->reply.gzip = made.gzip;
        session->reply.len = made.len;
        session->reply.owned = made.text;
        session->ticket = 0;
        session->made = true;
        lws_callback_on_writable(net->slow_waits[i].wsi);
        net->slow_waits[i] = (struct slow_wait){0};
    }
}

static int on_request(struct net *net, struct lws *wsi, struct http_session *session)
{
    const char *host;
    bool head;
    enum slow_what what;
    size_t left;
    reply_release(&session->reply);
    session->sent = 0;
    session->under_way = session->made = false;
    if (answer(net, wsi, &session->reply, &host, &head, &what) && ask_slow(net, wsi, session, what)) {
        session->head = head;
        return 0;
    }
    /* A body may follow that nobody wants. */
    bool close = session->reply.status == 400 || session->reply.status == 403 || session->reply.status == 405;
    if (!send_head(wsi, &session->reply, host, !head, &left) || close)
        return -1;
    if (left > 0) {
        session->under_way = true;
        lws_callback_on_writable(wsi);
        return 0;
    }
    reply_release(&session->reply);
    return lws_http_transaction_completed(wsi) ? -1 : 0;
}

/* Is this an upgrade to this board's websocket, from a page of this board? Else the words to refuse it with. */
static const char *upgrade_fault(struct net *net, struct lws *wsi)
{
    char path[PATH_BYTES] = "", origin[VALUE_BYTES], protocol[VALUE_BYTES];
    const char *host = known_host(net, wsi);
    if (is_plain(net, wsi))
        return PLAIN_WORDS;
    if (!host)
        return "This board answers to its own addresses only: use the one it showed when it started.\n";
    if (!copy_header(wsi, WSI_TOKEN_ORIGIN, origin) || !names_origin_is(&net->names, host, origin))
        return "Only a page of this board may open its websocket.\n";
    if (lws_hdr_copy(wsi, path, sizeof path, WSI_TOKEN_GET_URI) < 0 || strcmp(path, SOCKET_PATH) != 0)
        return "This board's websocket is at " SOCKET_PATH ".\n";
    if (!copy_header(wsi, WSI_TOKEN_PROTOCOL, protocol) || strcmp(protocol, SOCKET_PROTOCOL) != 0)
        return "This board's websocket speaks the subprotocol " SOCKET_PROTOCOL " alone.\n";
    return NULL;
}

static int on_upgrade(struct net *net, struct lws *wsi)
{
    char kind[16] = "";
    if (lws_hdr_copy(wsi, kind, sizeof kind, WSI_TOKEN_UPGRADE) <= 0 || strcasecmp(kind, "websocket") != 0)
        return -1;
    const char *words = upgrade_fault(net, wsi);
    if (!words)
        return 0;
    struct reply reply;
    size_t left;
    reply_say(&reply, 403, words);
    (void)send_head(wsi, &reply, NULL, true, &left);
    return -1;
}

int http_callback(struct lws *wsi, enum lws_callback_reasons reason, void *session, void *in, size_t len)
{
    (void)in, (void)len;
    switch (reason) {
    case LWS_CALLBACK_HTTP: return on_request(net_of(wsi), wsi, session);
    case LWS_CALLBACK_HTTP_WRITEABLE: return send_more(wsi, session);
    case LWS_CALLBACK_HTTP_CONFIRM_UPGRADE: return on_upgrade(net_of(wsi), wsi);
    case LWS_CALLBACK_RAW_ADOPT:
    case LWS_CALLBACK_RAW_RX:
    case LWS_CALLBACK_ESTABLISHED: return -1; /* no raw connections, and no websocket without our subprotocol */
    case LWS_CALLBACK_CLOSED_HTTP:
        if (session) {
            forget_slow(net_of(wsi), session);
            reply_release(&((struct http_session *)session)->reply);
        }
        return 0;
    case LWS_CALLBACK_WSI_DESTROY: door_forget(net_of(wsi), wsi); return 0;
    default: return 0;
    }
}
