/* A crowd of screens, to time a tap: from its send to its arrival at every other screen, and to "saved" at its sender.
 *
 *   crowd board PORT CLIENTS TAPS PERIOD_US CREW_KEY HELM_NUMBER
 *   crowd watch PORT CLIENTS SECONDS CREW_KEY       only joins and listens
 *   crowd relay PORT CLIENTS TAPS PERIOD_US
 *   crowd obvious PORT CLIENTS TAPS PERIOD_US
 *
 * Against the board the first client takes the helm, starts a trip with one line and then says every PERIOD_US that the line is
 * out, or in. Against the relay, and the obvious build (obvious.mjs), it sends texts of the size of the board's patches; the obvious
 * build answers the sender when the text is saved. The next tap leaves when the last one has
 * reached everybody (and is saved), so queues of the crowd's own do not count. Prints one line:
 *
 *   screens_p50 screens_p99 saved_p50 saved_p99      in microseconds; saved is 0 0 against the relay
 *
 * One tap in the relay's case is padded to PATCH bytes, measured from the board's own patch of such a tap.
 */
#include <poll.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "client.h"
#include "proto.h"

#define CLIENTS          256
#define CLIENTS_A_DEVICE 60
#define PATCH            520
#define TAPS             10000

struct screen {
    struct client line;
    bool ready; /* the fresh board is whole */
    long seen;  /* the last tap that came here */
};

static struct screen screens[CLIENTS];
static size_t count;
static bool board, answers; /* the sender is told that its tap is saved */
static double seen_at[CLIENTS], saved_at;
static long long wanted_seq, saved_up_to;
static long current;
static double screen[TAPS * (size_t)CLIENTS], saved[TAPS];

static void heard(size_t i, const char *text)
{
    char name[64];
    (void)snprintf(name, sizeof name, ".o.%ld\"", current);
    if (!board && i == 0) {
        saved_at = strstr(text, name) ? now_us() : saved_at;
        return;
    }
    bool answer = strstr(text, "\"t\":\"answer\"") != NULL;
    if (strstr(text, "\"t\":\"fresh_end\""))
        screens[i].ready = true;
    if (answer && i == 0 && strstr(text, name)) {
        if (!strstr(text, "\"is\":\"seen\""))
            die(text);
        wanted_seq = number_after(text, "\"seq\":");
    }
    if (!answer && strstr(text, name) && screens[i].seen < current) {
        screens[i].seen = current;
        seen_at[i] = now_us();
    }
    if (i == 0 && strstr(text, "\"t\":\"saved\""))
        saved_up_to = number_after(text, "\"up_to\":");
    if (i == 0 && saved_at == 0 && wanted_seq > 0 && saved_up_to >= wanted_seq)
        saved_at = now_us();
}

static void listen_ms(int ms)
{
    struct pollfd fds[CLIENTS];
    for (size_t i = 0; i < count; i++)
        fds[i] = (struct pollfd){.fd = screens[i].line.fd, .events = POLLIN};
    if (poll(fds, count, ms) < 0)
        die("poll");
    for (size_t i = 0; i < count; i++)
        if (fds[i].revents)
            client_take(&screens[i].line, heard, i);
}

static void tap(const char *kind, const char *body)
{
    wanted_seq = 0;
    saved_at = 0;
    current++;
    client_say(&screens[0].line,
               "{\"t\":\"tap\",\"id\":\"%016x.o.%ld\",\"kind\":\"%s\",\"v\":1,\"ago_ms\":0,\"body\":%s}", 1u, current,
               kind, body);
}

static bool arrived(void)
{
    for (size_t i = board ? 0 : 1; i < count; i++)
        if (screens[i].seen < current)
            return false;
    return !answers || saved_at > 0;
}

static void await(bool (*done)(void), const char *what)
{
    double until = now_us() + 10e6;
    while (!done()) {
        listen_ms(100);
        if (now_us() > until)
            die(what);
    }
}

static bool all_ready(void)
{
    for (size_t i = 0; i < count; i++)
        if (!screens[i].ready)
            return false;
    return true;
}

/* Said as soon as the connection is there: only so many may be silent at once. */
static void greet(size_t i, const char *key)
{
    client_say(&screens[i].line,
               "{\"t\":\"hello\",\"proto\":\"%s\",\"page\":\"%016zx\",\"view\":\"phone\",\"key\":\"%s\"}", PROTO_ID,
               i + 1, key);
}

static void begin(const char *helm)
{
    await(all_ready, "no fresh board");
    client_say(&screens[0].line, "{\"t\":\"take_helm\",\"number\":\"%s\"}", helm);
    tap("trip_started", "{\"name\":\"bench\",\"no\":1,\"crew\":[{\"id\":1,\"name\":\"Ruth\",\"station\":\"cockpit\"}],"
                        "\"spread\":[{\"id\":1,\"name\":\"flat\",\"side\":\"port\",\"gear\":\"line\"}]}");
    await(arrived, "the trip did not start");
}

static int rising(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double at(double *took, size_t n, size_t hundredth)
{
    qsort(took, n, sizeof *took, rising);
    return took[(n - 1) * hundredth / 100];
}

static int watch(char **argv)
{
    board = true;
    count = (size_t)strtoul(argv[3], NULL, 10);
    if (count == 0 || count > CLIENTS)
        return 64;
    for (size_t i = 0; i < count; i++) {
        client_open_from(&screens[i].line, argv[2], (unsigned)(i / CLIENTS_A_DEVICE));
        greet(i, argv[5]);
    }
    for (double until = now_us() + strtod(argv[4], NULL) * 1e6; now_us() < until;)
        listen_ms(100);
    return 0;
}

int main(int argc, char **argv)
{
    if (argc == 6 && strcmp(argv[1], "watch") == 0)
        return watch(argv);
    if (argc < 6)
        return 64;
    board = strcmp(argv[1], "board") == 0;
    answers = strcmp(argv[1], "relay") != 0;
    count = (size_t)strtoul(argv[3], NULL, 10);
    size_t taps = (size_t)strtoul(argv[4], NULL, 10), n = 0;
    if (count < 2 || count > CLIENTS || taps == 0 || (board && argc != 8))
        return 64;
    if (taps > TAPS)
        return 64;
    for (size_t i = 0; i < count; i++) {
        client_open_from(&screens[i].line, argv[2], (unsigned)(i / CLIENTS_A_DEVICE));
        if (board)
            greet(i, argv[6]);
    }
    if (board)
        begin(argv[7]);
    for (size_t t = 0; t < taps; t++) {
        double pause = now_us() + (double)strtoul(argv[5], NULL, 10);
        while (now_us() < pause)
            listen_ms(1);
        char padded[PATCH];
        double start = now_us();
        if (board) {
            tap("line_is", t % 2 ? "{\"line\":1,\"state\":\"in\"}" : "{\"line\":1,\"state\":\"out\"}");
        } else {
            current++;
            saved_at = 0;
            (void)snprintf(padded, sizeof padded, "{\"id\":\"%016x.o.%ld\",\"body\":\"%*s\"}", 1u, current, PATCH - 60,
                           "");
            client_send(&screens[0].line, padded);
        }
        await(arrived, "a tap did not arrive");
        for (size_t i = 1; i < count; i++)
            screen[n++] = seen_at[i] - start;
        saved[t] = answers ? saved_at - start : 0;
    }
    (void)printf("%.0f %.0f %.0f %.0f\n", at(screen, n, 50), at(screen, n, 99), at(saved, taps, 50),
                 at(saved, taps, 99));
    return 0;
}
