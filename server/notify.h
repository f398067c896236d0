/* What a service manager is told of the board: that it is ready, that its loop goes round, that it ends. The words and how they are
 * sent are those of sd_notify(3) and sd_watchdog_enabled(3) (systemd 252): datagrams to the socket named by NOTIFY_SOCKET. Started
 * by hand there is none, and nothing is sent.
 *
 * The watchdog is fed by the loop alone. A disk that hangs must not end the board, which goes on without it; a loop that hangs must,
 * because a start on the same log is the way on.
 */
#ifndef STERNBOARD_NOTIFY_H
#define STERNBOARD_NOTIFY_H

#include <stdbool.h>
#include <stdint.h>
#include <sys/socket.h>
#include <sys/un.h>

#include "err.h"

struct notify {
    int fd; /* -1: nobody to tell */
    struct sockaddr_un to;
    socklen_t to_len;
    int64_t every_ms, next_ms; /* when the watchdog is fed; every_ms 0: never */
};

/* Reads NOTIFY_SOCKET, WATCHDOG_USEC and WATCHDOG_PID. ERR_UNAVAILABLE: a socket is named that cannot be told anything; then nothing
 * is sent. */
enum err notify_open(struct notify *notify, struct msg *why) MUST_CHECK;
void notify_close(struct notify *notify);

/* READY=1 once, when pages can connect. ERR_UNAVAILABLE: it could not be sent. */
enum err notify_ready(struct notify *notify, struct msg *why) MUST_CHECK;

/* STOPPING=1 once. One that is lost changes nothing: the manager is waiting for the end as it is. */
void notify_stopping(struct notify *notify);

/* From each turn of the loop: WATCHDOG=1 twice in the time that the manager allows. One that could not be sent is sent at the next
 * turn. */
void notify_tick(struct notify *notify, int64_t now_ms);

#endif
