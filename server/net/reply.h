/* One answer to one HTTP request, before any socket is involved: made by pages.c and reads.c, sent by http.c. */
#ifndef STERNBOARD_NET_REPLY_H
#define STERNBOARD_NET_REPLY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What of a request matters here. No member is NULL but host; a header that was not sent is "". */
struct request {
    bool get, head;   /* neither: some other method */
    const char *path; /* decoded, without the query */
    const char *host; /* the known host it names (names.h); NULL: none of this server's */
    const char *accept_encoding, *if_none_match, *authorization;
};

/* body is len bytes; it is freed with the reply when owned points to it, else it lasts as long as the program. */
struct reply {
    int32_t status;
    const char *type, *cache;
    char etag[32]; /* quotes included; "" for none */
    bool gzip;     /* the body is compressed, and might not have been */
    const char *body;
    size_t len;
    char *owned;
};

/* A short plain sentence. words must last as long as the program; never kept by a cache. */
void reply_say(struct reply *, int32_t status, const char *words);

void reply_release(struct reply *);

/* The content security policy of a page that came by this known host: own scripts, styles, pictures, fonts and sounds, a
 * websocket to this very host, and nothing else. The host is spelled out because older WebKit does not count ws:// as 'self'.
 * tls: the websocket is wss. host NULL: nothing at all. False when it does not fit. */
bool reply_policy(char *policy, size_t cap, const char *host, bool tls);

#endif
