/* The websocket: a screen's messages to the hub, the hub's frames to the screen.
 *
 * Invariants:
 *   1. The hub hears of a connection exactly once (hub_join), and of its end exactly once (hub_gone), whatever ends it.
 *   2. The hub gets whole messages of text of at most LIMIT_MESSAGE_BYTES; how the network cut them up is not to be seen.
 *      libwebsockets hands over pieces of pieces: a message has ended when the piece is the last of its frame and the frame
 *      is the last of its message, and not before.
 *   3. One lws_write in each writable callback. libwebsockets would take a second one, into memory without bound.
 */
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "hub/queue.h"
#include "net/inside.h"
#include "proto_json.h"

/* As the hub closes where it has no room itself; RFC 6455, 7.4.2 leaves 4000 to 4999 to applications. */
#define CLOSE_FULL 4004

_Static_assert(FRAME_PRE >= LWS_PRE, "the hub leaves room before each frame for what libwebsockets writes there");

static struct hub_time now(struct lws *wsi)
{
    return net_of(wsi)->now();
}

/* ---- in ------------------------------------------------------------------------------------------------------------ */

static int close_with(struct lws *wsi, struct socket *socket, int code)
{
    struct net *net = net_of(wsi);
    socket->closing = true;
    if (socket->conn >= 0) {
        hub_gone(net->hub, net->now(), socket->conn);
        socket->conn = -1;
    }
    lws_close_reason(wsi, (enum lws_close_status)code, NULL, 0);
    return -1;
}

static void on_open(struct lws *wsi, struct socket *socket)
{
    struct net *net = net_of(wsi);
    struct peer peer = {.address = door_address(net, wsi)};
    socket->wsi = wsi;
    socket->conn = hub_join(net->hub, net->now(), &peer);
    socket->full = socket->conn < 0;
    lws_dll2_add_tail(&socket->list, &net->sockets);
}

static void on_closed(struct lws *wsi, struct socket *socket)
{
    if (!socket->wsi)
        return;
    if (socket->conn >= 0)
        hub_gone(net_of(wsi)->hub, now(wsi), socket->conn);
    free(socket->text);
    lws_dll2_remove(&socket->list);
    memset(socket, 0, sizeof *socket);
}

/* Keeps a piece of a message that did not come whole. */
static void keep(struct socket *socket, const char *piece, size_t len)
{
    if (!socket->text) {
        socket->text = malloc(LIMIT_MESSAGE_BYTES);
        CHECK(socket->text);
    }
    memcpy(socket->text + socket->len, piece, len);
    socket->len += len;
}

static int on_receive(struct lws *wsi, struct socket *socket, const char *piece, size_t len)
{
    if (socket->closing || socket->conn < 0)
        return 0;
    if (lws_frame_is_binary(wsi))
        return close_with(wsi, socket, LWS_CLOSE_STATUS_UNACCEPTABLE_OPCODE);
    if (lws_is_first_fragment(wsi))
        socket->len = 0;
    if (len > LIMIT_MESSAGE_BYTES - socket->len || lws_remaining_packet_payload(wsi) > LIMIT_MESSAGE_BYTES)
        return close_with(wsi, socket, LWS_CLOSE_STATUS_MESSAGE_TOO_LARGE);
    bool whole = lws_is_final_fragment(wsi) && lws_remaining_packet_payload(wsi) == 0;
    if (whole && socket->len == 0) {
        hub_recv(net_of(wsi)->hub, now(wsi), socket->conn, piece, len);
        return 0;
    }
    keep(socket, piece, len);
    if (whole) {
        hub_recv(net_of(wsi)->hub, now(wsi), socket->conn, socket->text, socket->len);
        free(socket->text);
        socket->text = NULL;
        socket->len = 0;
    }
    return 0;
}

/* ---- out ----------------------------------------------------------------------------------------------------------- */

/* The answer to a screen that the hub had no room for, in the form in which the hub says no. */
static struct frame *full_frame(void)
{
    struct msg_no no = {0};
    struct json_out out = {0};
    (void)snprintf(no.code, sizeof no.code, "%s", refusal_code_name(REFUSAL_FULL));
    (void)snprintf(no.words, sizeof no.words, "%s", refusal_words(REFUSAL_FULL));
    msg_no_encode(&no, &out);
    struct frame *frame = frame_new(out.text, out.len);
    json_out_release(&out);
    return frame;
}

static int send_frame(struct lws *wsi, struct frame *frame)
{
    int sent = lws_write(wsi, (unsigned char *)frame->text, (size_t)frame->len, LWS_WRITE_TEXT);
    int wanted = frame->len;
    frame_drop(frame);
    return sent < wanted ? -1 : 0;
}

static int on_writable(struct lws *wsi, struct socket *socket)
{
    struct net *net = net_of(wsi);
    socket->asked = false;
    if (socket->closing)
        return 0;
    if (socket->conn < 0) {
        if (!socket->full)
            return close_with(wsi, socket, CLOSE_FULL);
        socket->full = false;
        return send_frame(wsi, full_frame());
    }
    int code = 0;
    struct frame *frame = hub_next(net->hub, socket->conn, &code);
    if (frame)
        return send_frame(wsi, frame);
    if (code)
        return close_with(wsi, socket, code);
    return net->stopping ? close_with(wsi, socket, LWS_CLOSE_STATUS_GOINGAWAY) : 0;
}

int socket_callback(struct lws *wsi, enum lws_callback_reasons reason, void *session, void *in, size_t len)
{
    switch (reason) {
    case LWS_CALLBACK_ESTABLISHED: on_open(wsi, session); return 0;
    case LWS_CALLBACK_RECEIVE: return on_receive(wsi, session, in, len);
    case LWS_CALLBACK_SERVER_WRITEABLE: return on_writable(wsi, session);
    case LWS_CALLBACK_CLOSED: on_closed(wsi, session); return 0;
    default: return 0;
    }
}
