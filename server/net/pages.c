#include "net/pages.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "embed.h"

static const char *const views[] = {"/", "/helm", "/station", "/phone", "/debrief", "/guest"};

static const struct embed_file *find(const char *path)
{
    for (size_t i = 0; i < sizeof views / sizeof views[0]; i++)
        if (strcmp(path, views[i]) == 0)
            return embed_find("/index.html");
    return embed_find(path);
}

/* Is the weight in a parameter such as "; q=0.0" nothing at all? */
static bool weighs_nothing(const char *parameter, size_t len)
{
    size_t at = strspn(parameter, "; \t");
    if (at + 2 > len || tolower((unsigned char)parameter[at]) != 'q' || parameter[at + 1] != '=')
        return false;
    for (at += 2; at < len && parameter[at] != ' '; at++)
        if (parameter[at] != '0' && parameter[at] != '.')
            return false;
    return true;
}

bool pages_takes_gzip(const char *accept_encoding)
{
    const char *at = accept_encoding;
    while (*at) {
        at += strspn(at, ", \t");
        size_t len = strcspn(at, ",");
        size_t name = strcspn(at, ",; \t");
        if ((name == 4 && strncasecmp(at, "gzip", 4) == 0) || (name == 1 && *at == '*'))
            return !weighs_nothing(at + name, len - name);
        at += len;
    }
    return false;
}

void pages_answer(const struct request *request, struct reply *reply)
{
    const struct embed_file *file = find(request->path);
    if (!file) {
        reply_say(reply, 404, "There is no such page on this board.\n");
        return;
    }
    memset(reply, 0, sizeof *reply);
    reply->type = file->type;
    reply->cache = file->fixed ? "public, max-age=31536000, immutable" : "no-cache";
    reply->gzip = pages_takes_gzip(request->accept_encoding);
    (void)snprintf(reply->etag, sizeof reply->etag, "\"%s%s\"", file->hash, reply->gzip ? "-gzip" : "");
    if (strstr(request->if_none_match, reply->etag)) {
        reply->status = 304;
        return;
    }
    reply->status = 200;
    reply->body = (const char *)(reply->gzip ? file->gzip : file->plain);
    reply->len = reply->gzip ? file->gzip_len : file->plain_len;
}
