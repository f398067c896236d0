#include "net_support.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include "board/check.h"
#include "chain.h"
#include "limit.h"
#include "net/net.h"

enum { ROUNDS_MAX = 64, QUIET_ROUNDS = 3, FILES_MAX = 64, PORT = 8470, BATCH = 64 };

struct fuzz_net {
    struct net *net;
    struct hub *hub;
    struct sockaddr_un address;
    socklen_t address_len;
    struct log_row rows[BATCH];
};

/* The hub's clock goes on by the rounds of the loop alone. */
static int64_t boot_ms = 1000;

static struct hub_time now(void)
{
    return (struct hub_time){.boot_ms = boot_ms};
}

static struct hub *make_hub(void)
{
    struct hub_seed seed = {.log_id = 1, .run_id = 2, .boot_id = 3, .random = 4, .version = "fuzz"};
    uint8_t chain[CHAIN_LEN];
    (void)snprintf(seed.crew_key, sizeof seed.crew_key, "CREWKEYOFTHEGREYPETREL0000");
    (void)snprintf(seed.guest_key, sizeof seed.guest_key, "GUESTKEYOFTHEGREYPETREL000");
    (void)snprintf(seed.helm_number, sizeof seed.helm_number, "4711");
    struct hub *hub = hub_new(&seed);
    chain_start(seed.log_id, chain);
    hub_seed_last(hub, 0, chain);
    hub_start(hub, now());
    return hub;
}

/* In the abstract space: no file is left behind (unix(7)). */
static int listen_here(struct fuzz_net *fuzz)
{
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    fuzz->address.sun_family = AF_UNIX;
    int len =
        snprintf(fuzz->address.sun_path + 1, sizeof fuzz->address.sun_path - 1, "sternboard-fuzz-%d", (int)getpid());
    fuzz->address_len = (socklen_t)(offsetof(struct sockaddr_un, sun_path) + 1 + (size_t)len);
    CHECK(fd >= 0 && bind(fd, (const struct sockaddr *)&fuzz->address, fuzz->address_len) == 0 && listen(fd, 8) == 0);
    return fd;
}

struct fuzz_net *fuzz_net_open(void)
{
    int pipes[2];
    struct rlimit files = {.rlim_cur = FILES_MAX, .rlim_max = FILES_MAX};
    struct fuzz_net *fuzz = calloc(1, sizeof *fuzz);
    CHECK(fuzz != NULL && pipe2(pipes, O_CLOEXEC | O_NONBLOCK) == 0 && setrlimit(RLIMIT_NOFILE, &files) == 0);
    fuzz->hub = make_hub();
    struct net_options options = {
        .hub = fuzz->hub, .now = now, .authority = "", .listen_fd = listen_here(fuzz), .watch_fd = pipes[0]};
    names_init(&options.names, PORT, false);
    fuzz->net = net_open(&options);
    CHECK(fuzz->net != NULL);
    return fuzz;
}

static void turn(struct fuzz_net *fuzz)
{
    boot_ms++;
    (void)net_service(fuzz->net, 0);
    for (size_t count; (count = hub_batch(fuzz->hub, fuzz->rows, BATCH)) > 0;)
        hub_saved(fuzz->hub, now(), fuzz->rows[count - 1].seq, LOG_OK);
    (void)hub_tick(fuzz->hub, now());
    net_flush(fuzz->net, LIMIT_SOCKETS);
}

int fuzz_net_connect(struct fuzz_net *fuzz)
{
    int client = socket(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    CHECK(client >= 0);
    CHECK(connect(client, (const struct sockaddr *)&fuzz->address, fuzz->address_len) == 0);
    turn(fuzz);
    return client;
}

/* Reads what is there; how much. */
static size_t take(int client, char *reply, size_t cap, size_t *len)
{
    char piece[4096];
    size_t all = 0;
    for (ssize_t got; (got = recv(client, piece, sizeof piece, MSG_DONTWAIT)) > 0; all += (size_t)got) {
        size_t fits = cap - 1 - *len < (size_t)got ? cap - 1 - *len : (size_t)got;
        memcpy(reply + *len, piece, fits);
        *len += fits;
    }
    reply[*len] = '\0';
    return all;
}

void fuzz_net_send(struct fuzz_net *fuzz, int client, const void *bytes, size_t len, char *reply, size_t cap)
{
    size_t sent = 0, reply_len = 0;
    for (int round = 0, quiet = 0; round < ROUNDS_MAX && quiet < QUIET_ROUNDS; round++) {
        ssize_t now_sent = sent < len ? send(client, (const char *)bytes + sent, len - sent, MSG_NOSIGNAL) : 0;
        sent = now_sent > 0 ? sent + (size_t)now_sent : now_sent < 0 && errno != EAGAIN ? len : sent;
        turn(fuzz);
        size_t got = take(client, reply, cap, &reply_len);
        quiet = got == 0 && now_sent <= 0 ? quiet + 1 : 0;
    }
}

void fuzz_net_hang_up(struct fuzz_net *fuzz, int client)
{
    CHECK(close(client) == 0);
    for (int round = 0; round < ROUNDS_MAX && net_count(fuzz->net) > 0; round++)
        turn(fuzz);
    CHECK(net_count(fuzz->net) == 0);
    turn(fuzz);
    hub_check(fuzz->hub);
}
