#include "notify.h"

#include <errno.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A path, or with "@" in front a name in the abstract space (unix(7)), where the length counts. false: neither, or too long. */
static bool address(const char *name, struct sockaddr_un *to, socklen_t *len)
{
    size_t name_len = strlen(name);
    if ((name[0] != '/' && name[0] != '@') || name_len < 2 || name_len >= sizeof to->sun_path)
        return false;
    *to = (struct sockaddr_un){.sun_family = AF_UNIX};
    memcpy(to->sun_path, name, name_len);
    if (name[0] == '@')
        to->sun_path[0] = '\0';
    *len = (socklen_t)(offsetof(struct sockaddr_un, sun_path) + name_len);
    return true;
}

/* The number in an environment variable; 0: none. */
static int64_t number_of(const char *name)
{
    const char *text = getenv(name);
    return text ? (int64_t)strtoll(text, NULL, 10) : 0;
}

static int64_t every_ms(void)
{
    int64_t usec = number_of("WATCHDOG_USEC"), pid = number_of("WATCHDOG_PID");
    bool ours = pid == 0 || pid == (int64_t)getpid();
    return ours && usec > 0 ? usec / 1000 / 2 + 1 : 0;
}

enum err notify_open(struct notify *notify, struct msg *why)
{
    const char *name = getenv("NOTIFY_SOCKET");
    *notify = (struct notify){.fd = -1};
    if (!name)
        return ERR_NONE;
    if (!address(name, &notify->to, &notify->to_len))
        return err_set(why, ERR_UNAVAILABLE, "NOTIFY_SOCKET is no path of a socket: %.200s", name);
    notify->fd = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    if (notify->fd < 0)
        return err_set(why, ERR_UNAVAILABLE, "The service manager cannot be told anything: %s.", strerror(errno));
    notify->every_ms = every_ms();
    return ERR_NONE;
}

void notify_close(struct notify *notify)
{
    if (notify->fd >= 0)
        (void)close(notify->fd);
    notify->fd = -1;
}

/* Nothing waits for the manager: the loop is the alarms'. */
static bool say(const struct notify *notify, const char *word)
{
    const struct sockaddr *to = (const struct sockaddr *)&notify->to;
    size_t len = strlen(word);
    return sendto(notify->fd, word, len, MSG_NOSIGNAL, to, notify->to_len) == (ssize_t)len;
}

enum err notify_ready(struct notify *notify, struct msg *why)
{
    if (notify->fd < 0 || say(notify, "READY=1"))
        return ERR_NONE;
    return err_set(why, ERR_UNAVAILABLE, "The service manager could not be told that the board is ready: %s.",
                   strerror(errno));
}

void notify_stopping(struct notify *notify)
{
    if (notify->fd >= 0)
        (void)say(notify, "STOPPING=1");
}

void notify_tick(struct notify *notify, int64_t now_ms)
{
    if (notify->fd < 0 || notify->every_ms == 0 || now_ms < notify->next_ms)
        return;
    if (say(notify, "WATCHDOG=1"))
        notify->next_ms = now_ms + notify->every_ms;
}
