/* A crowd on a board whose disk hangs: how long an overboard call takes to every screen, and what becomes of ordinary taps.
 *
 *   stall PORT CLIENTS STALL_MS MARKER CREW_KEY HELM_NUMBER
 *
 * Starts a trip, and then lets the disk hang for STALL_MS by making the file MARKER (tests/net/slow_disk.c), with a batch stuck in it.
 * Meanwhile client after client calls overboard (CALLS of them), and all of them say that a line is out, or in. When the disk goes on,
 * all of it must come to be saved. One process reads all sockets, so that nobody else's queue is measured. Prints one line:
 *
 *   calls alarm_p50_us alarm_max_us taps seen_p50_us seen_max_us saved_meanwhile saved_after_ms last_seq
 *
 * alarm: from the send of the call to the alarm at each screen, the caller's among them. seen: from a tap's send to its patch at each
 * screen. saved_meanwhile: by how many entries saved_up_to rose on any screen while the disk hung. Client i is page i + 1; its taps
 * are numbered from 1.
 */
#include <fcntl.h>
#include <poll.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "client.h"

#define CLIENTS  64
#define CALLS    5
#define TIMES    100000
#define STUCK_MS 700
#define PAUSE_MS 50

struct series {
    size_t count;
    double us[TIMES];
};

static struct client lines[CLIENTS];
static size_t count, ready, arrived;
static long taps[CLIENTS];
static double since;
static char awaited[48];   /* the id of the tap that is under way */
static const char *sort;   /* the messages it is awaited in */
static bool here[CLIENTS]; /* it came */
static bool taken;         /* it was answered */
static struct series alarms, patches;
static struct series *series;
static long long last_seq, saved_up_to;

static void awaited_came(size_t i, const char *text)
{
    if (here[i] || !strstr(text, sort) || !strstr(text, awaited))
        return;
    here[i] = true;
    arrived++;
    if (series && series->count < TIMES)
        series->us[series->count++] = now_us() - since;
}

static void answered(const char *text)
{
    long long seq = number_after(text, "\"seq\":");
    if (!strstr(text, "\"t\":\"answer\"") || !strstr(text, awaited))
        return;
    if (!strstr(text, "\"is\":\"seen\""))
        die(text);
    taken = true;
    last_seq = seq > last_seq ? seq : last_seq;
}

static void heard(size_t i, const char *text)
{
    long long up_to = number_after(text, strstr(text, "\"t\":\"saved\"") ? "\"up_to\":" : "\"saved_up_to\":");
    saved_up_to = up_to > saved_up_to ? up_to : saved_up_to;
    ready += strstr(text, "\"t\":\"fresh_end\"") != NULL;
    if (awaited[0] == 0)
        return;
    answered(text);
    awaited_came(i, text);
}

static void listen_until(double until_us)
{
    struct pollfd fds[CLIENTS];
    double left_us = until_us - now_us();
    for (size_t i = 0; i < count; i++)
        fds[i] = (struct pollfd){.fd = lines[i].fd, .events = POLLIN};
    if (poll(fds, count, left_us > 0 ? (int)(left_us / 1000) + 1 : 0) < 0)
        die("poll");
    for (size_t i = 0; i < count; i++)
        if (fds[i].revents)
            client_take(&lines[i], heard, i);
}

static void listen_ms(double ms)
{
    for (double until = now_us() + ms * 1000; now_us() < until;)
        listen_until(until);
}

/* Sends one tap, and returns when every screen has it and its sender its answer. */
static void tap(size_t from, char lane, const char *kind, const char *body, const char *in, struct series *into)
{
    static long calls[CLIENTS];
    long n = lane == 'e' ? ++calls[from] : ++taps[from];
    (void)snprintf(awaited, sizeof awaited, "\"%016zx.%c.%ld\"", from + 1, lane, n);
    memset(here, 0, sizeof here);
    arrived = 0;
    taken = false;
    sort = in;
    series = into;
    since = now_us();
    client_say(&lines[from], "{\"t\":\"tap\",\"id\":%s,\"kind\":\"%s\",\"v\":1,\"ago_ms\":0,\"body\":%s}", awaited,
               kind, body);
    double until = now_us() + 10e6;
    while (arrived < count || !taken) {
        listen_until(until);
        if (now_us() > until)
            die("a tap did not arrive");
    }
}

static void tap_line(size_t from, struct series *into)
{
    const char *body = taps[from] % 2 ? "{\"line\":1,\"state\":\"in\"}" : "{\"line\":1,\"state\":\"out\"}";
    tap(from, 'o', "line_is", body, "\"t\":\"patch\"", into);
}

static void await_saved(void)
{
    for (double until = now_us() + 20e6; saved_up_to < last_seq;) {
        listen_until(until);
        if (now_us() > until)
            die("not everything was saved");
    }
}

static void begin(const char *port, const char *key, const char *helm)
{
    for (size_t i = 0; i < count; i++) {
        client_open(&lines[i], port);
        client_say(&lines[i],
                   "{\"t\":\"hello\",\"proto\":\"%016x\",\"page\":\"%016zx\",\"view\":\"phone\",\"key\":\"%s\"}", 0u,
                   i + 1, key);
    }
    while (ready < count)
        listen_ms(10);
    client_say(&lines[0], "{\"t\":\"take_helm\",\"number\":\"%s\"}", helm);
    tap(0, 'o', "trip_started",
        "{\"name\":\"stall\",\"no\":1,\"crew\":[{\"id\":1,\"name\":\"Ruth\",\"station\":\"cockpit\"}],"
        "\"spread\":[{\"id\":1,\"name\":\"flat\",\"side\":\"port\",\"gear\":\"line\"}]}",
        "\"t\":\"patch\"", NULL);
    await_saved();
    listen_ms(500); /* what the trip's start brings along */
    await_saved();
}

static void hang(const char *marker)
{
    int fd = open(marker, O_CREAT | O_WRONLY | O_CLOEXEC, 0600);
    if (fd < 0)
        die("the marker cannot be made");
    (void)close(fd);
    tap_line(0, NULL);
    listen_ms(STUCK_MS);
}

static void use(double until_us)
{
    for (size_t turn = 0; now_us() < until_us; turn++) {
        size_t from = turn % count;
        if (turn % 8 == 0 && turn / 8 < CALLS)
            tap(from, 'e', "overboard", "{}", "\"t\":\"alarm\"", &alarms);
        tap_line(from, &patches);
        listen_ms(PAUSE_MS);
    }
}

static int rising(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double hundredth(struct series *of, size_t hundredths)
{
    if (of->count == 0)
        die("nothing was measured");
    qsort(of->us, of->count, sizeof *of->us, rising);
    return of->us[(of->count - 1) * hundredths / 100];
}

int main(int argc, char **argv)
{
    if (argc != 7)
        return 64;
    count = (size_t)strtoul(argv[2], NULL, 10);
    if (count < CALLS || count > CLIENTS)
        return 64;
    begin(argv[1], argv[5], argv[6]);
    double until = now_us() + (double)strtoul(argv[3], NULL, 10) * 1000;
    hang(argv[4]);
    long long saved = saved_up_to;
    use(until);
    long long meanwhile = saved_up_to - saved;
    size_t all = 0;
    for (size_t i = 0; i < count; i++)
        all += (size_t)taps[i];
    (void)unlink(argv[4]);
    double goes_on = now_us();
    await_saved();
    (void)printf("%zu %.0f %.0f %zu %.0f %.0f %lld %.0f %lld\n", alarms.count / count, hundredth(&alarms, 50),
                 hundredth(&alarms, 100), all, hundredth(&patches, 50), hundredth(&patches, 100), meanwhile,
                 (now_us() - goes_on) / 1000, last_seq);
    return 0;
}
