/* The floor: libwebsockets alone. Whatever text one client sends goes to all the others as it came, with no board, no log and
 * no JSON in between. What the board takes longer than this is the board's own cost.
 *
 *   relay PORT
 */
#include <libwebsockets.h>
#include <stdlib.h>
#include <string.h>

#define CLIENTS 256
#define WAITING 4096
#define BYTES   1024

struct text {
    size_t len;
    unsigned char bytes[LWS_PRE + BYTES];
};

struct client {
    struct lws *wsi;
    size_t next; /* the first text this client has not had */
};

static struct text ring[WAITING];
static size_t made;
static struct client *clients[CLIENTS];

static void take(const struct client *sender, const void *bytes, size_t len)
{
    struct text *text = &ring[made++ % WAITING];
    text->len = len < BYTES ? len : BYTES;
    memcpy(text->bytes + LWS_PRE, bytes, text->len);
    for (size_t i = 0; i < CLIENTS; i++)
        if (clients[i] && clients[i] != sender)
            lws_callback_on_writable(clients[i]->wsi);
}

static void give(struct client *client)
{
    if (client->next >= made)
        return;
    struct text *text = &ring[client->next++ % WAITING];
    (void)lws_write(client->wsi, text->bytes + LWS_PRE, text->len, LWS_WRITE_TEXT);
    if (client->next < made)
        lws_callback_on_writable(client->wsi);
}

static void place(struct client *client, struct client *in)
{
    for (size_t i = 0; i < CLIENTS; i++)
        if (clients[i] == client) {
            clients[i] = in;
            return;
        }
}

static int on_event(struct lws *wsi, enum lws_callback_reasons reason, void *user, void *in, size_t len)
{
    struct client *client = user;
    if (reason == LWS_CALLBACK_ESTABLISHED) {
        client->wsi = wsi;
        client->next = made;
        for (size_t i = 0; i < CLIENTS; i++)
            if (!clients[i]) {
                clients[i] = client;
                return 0;
            }
        return -1;
    }
    if (reason == LWS_CALLBACK_RECEIVE)
        take(client, in, len);
    if (reason == LWS_CALLBACK_SERVER_WRITEABLE)
        give(client);
    if (reason == LWS_CALLBACK_CLOSED)
        place(client, NULL);
    return 0;
}

int main(int argc, char **argv)
{
    static const struct lws_protocols protocols[] = {
        {"sternboard", on_event, sizeof(struct client), 4096, 0, NULL, 0},
        {NULL, NULL, 0, 0, 0, NULL, 0},
    };
    if (argc != 2)
        return 64;
    struct lws_context_creation_info info;
    memset(&info, 0, sizeof info);
    lws_set_log_level(LLL_ERR, NULL);
    info.port = (int)strtol(argv[1], NULL, 10);
    info.iface = "127.0.0.1";
    info.protocols = protocols;
    struct lws_context *context = lws_create_context(&info);
    if (!context)
        return 69;
    while (lws_service(context, 0) >= 0) {
    }
    lws_context_destroy(context);
    return 0;
}
