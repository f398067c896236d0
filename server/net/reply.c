#include "net/reply.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void reply_say(struct reply *reply, int32_t status, const char *words)
{
    memset(reply, 0, sizeof *reply);
    reply->status = status;
    reply->type = "text/plain; charset=utf-8";
    reply->cache = "no-store";
    reply->body = words;
    reply->len = strlen(words);
}

void reply_release(struct reply *reply)
{
    free(reply->owned);
    memset(reply, 0, sizeof *reply);
}

bool reply_policy(char *policy, size_t cap, const char *host, bool tls)
{
    int len = host ? snprintf(policy, cap,
                              "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
                              "font-src 'self'; media-src 'self' data:; connect-src 'self' %s://%s; base-uri 'none'; "
                              "form-action 'none'; frame-ancestors 'none'",
                              tls ? "wss" : "ws", host)
                   : snprintf(policy, cap, "default-src 'none'; frame-ancestors 'none'");
    return len > 0 && (size_t)len < cap;
}
