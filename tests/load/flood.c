/* A flood: every page taps at once, and again as soon as a tap of its own is saved, with up to so many taps under way at a time. How many
 * entries a second?
 *
 *   flood board PORT CLIENTS SECONDS UNDER_WAY CREW_KEY HELM_NUMBER
 *   flood obvious PORT CLIENTS SECONDS UNDER_WAY
 *
 * A page of the board's sends up to 32 taps before the first is answered (IN_FLIGHT of web/src/link_types.ts), as a phone does that comes
 * back with a pocket full of them. A page stops at TAPS_EACH taps, which with a few that are sent again is what the board takes of one page at once
 * (LIMIT_TAPS_BURST of server/limit.h); no limit is raised for this. Prints: entries_per_second saved_p50_us saved_p99_us.
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
#define UNDER_WAY        64
#define TAPS_EACH        (390 - UNDER_WAY)
#define PAD              280

/* Taps are numbered from 1. Up to saved all are saved, up to answered their seqs are known, up to sent they are sent; what is known of
 * those between stands in the rings. */
struct page {
    struct client line;
    bool ready;
    long sent, answered, saved;
    long long seq[UNDER_WAY];
    double sent_at[UNDER_WAY];
};

static struct page pages[CLIENTS];
static size_t count;
static long under_way;
static bool board, flowing;
static double took[CLIENTS * (size_t)TAPS_EACH], until_us;
static size_t done;

static void send_tap(size_t i, long n)
{
    struct page *page = &pages[i];
    if (board)
        client_say(
            &page->line,
            "{\"t\":\"tap\",\"id\":\"%016zx.o.%ld\",\"kind\":\"line_is\",\"v\":1,\"ago_ms\":0,\"body\":{\"line\":1,"
            "\"state\":\"%s\"}}",
            i + 1, n, (n + (long)i) % 2 ? "in" : "out");
    else
        client_say(&page->line, "{\"id\":\"%016zx.o.%ld\",\"body\":\"%*s\"}", i + 1, n, PAD, "");
}

static void tap(size_t i)
{
    struct page *page = &pages[i];
    while (page->sent - page->saved < under_way && page->sent < TAPS_EACH && now_us() <= until_us) {
        page->sent++;
        page->sent_at[page->sent % UNDER_WAY] = now_us();
        send_tap(i, page->sent);
    }
}

static void saved(struct page *page)
{
    page->saved++;
    took[done++] = now_us() - page->sent_at[page->saved % UNDER_WAY];
}

/* A page's taps are answered in their order; an answer that was lost is asked for again, and then comes once more for what is known. */
static void answered(size_t i, const char *text)
{
    struct page *page = &pages[i];
    const char *id = strstr(text, ".o.");
    long n = id ? strtol(id + 3, NULL, 10) : 0;
    if (!strstr(text, "\"is\":\"seen\"") && !strstr(text, "\"is\":\"known\""))
        die(text);
    if (n != page->answered + 1)
        return;
    page->answered = n;
    page->seq[n % UNDER_WAY] = number_after(text, "\"seq\":");
}

/* A fresh board: what waited for this page was dropped, answers perhaps with it. A page of the board's sends again then, and so does
 * this one. */
static void heard_of_board(size_t i, const char *text)
{
    struct page *page = &pages[i];
    long long up_to = -1;
    if (strstr(text, "\"t\":\"answer\""))
        answered(i, text);
    else if (strstr(text, "\"t\":\"saved\""))
        up_to = number_after(text, "\"up_to\":");
    else
        up_to = number_after(text, "\"saved_up_to\":"); /* fresh_end, pulse */
    if (strstr(text, "\"t\":\"fresh_end\""))
        for (long n = page->answered + 1; n <= page->sent; n++)
            send_tap(i, n);
    while (page->saved < page->answered && page->seq[(page->saved + 1) % UNDER_WAY] <= up_to)
        saved(page);
    tap(i);
}

static void heard(size_t i, const char *text)
{
    if (!flowing && strstr(text, "\"t\":\"fresh_end\""))
        pages[i].ready = true;
    if (!flowing)
        return;
    if (!board && strncmp(text, "{\"saved\"", 8) == 0) {
        saved(&pages[i]);
        tap(i);
    }
    if (board && !strstr(text, "\"t\":\"patch\""))
        heard_of_board(i, text);
}

static void listen_ms(int ms)
{
    struct pollfd fds[CLIENTS];
    for (size_t i = 0; i < count; i++)
        fds[i] = (struct pollfd){.fd = pages[i].line.fd, .events = POLLIN};
    if (poll(fds, count, ms) < 0)
        die("poll");
    for (size_t i = 0; i < count; i++)
        if (fds[i].revents)
            client_take(&pages[i].line, heard, i);
}

static bool all_ready(void)
{
    for (size_t i = 0; i < count; i++)
        if (!pages[i].ready)
            return false;
    return true;
}

static bool all_saved(void)
{
    for (size_t i = 0; i < count; i++)
        if (pages[i].saved < pages[i].sent)
            return false;
    return true;
}

/* A trip for them to tap about, by a page of its own that goes again before the others come. */
static void begin(const char *port, const char *key, const char *helm)
{
    client_open(&pages[0].line, port);
    client_say(&pages[0].line,
               "{\"t\":\"hello\",\"proto\":\"%s\",\"page\":\"%016x\",\"view\":\"phone\",\"key\":\"%s\"}", PROTO_ID,
               0xffffu, key);
    client_say(&pages[0].line, "{\"t\":\"take_helm\",\"number\":\"%s\"}", helm);
    client_say(
        &pages[0].line,
        "{\"t\":\"tap\",\"id\":\"%016x.o.1\",\"kind\":\"trip_started\",\"v\":1,\"ago_ms\":0,\"body\":{\"name\":"
        "\"bench\","
        "\"no\":1,\"crew\":[{\"id\":1,\"name\":\"Ruth\",\"station\":\"cockpit\"}],\"spread\":[{\"id\":1,\"name\":"
        "\"flat\",\"side\":\"port\",\"gear\":\"line\"}]}}",
        0xffffu);
    count = 1;
    for (double until = now_us() + 500e3; now_us() < until;)
        listen_ms(10);
    client_close(&pages[0].line);
    pages[0] = (struct page){0};
}

/* Listens until something is so; what takes longer than this has no figure. */
static void await(bool (*so)(void), double most_s, const char *what)
{
    for (double until = now_us() + most_s * 1e6; !so();) {
        listen_ms(100);
        if (now_us() > until)
            die(what);
    }
}

static int rising(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

int main(int argc, char **argv)
{
    if (argc < 6)
        return 64;
    board = strcmp(argv[1], "board") == 0;
    size_t wanted = (size_t)strtoul(argv[3], NULL, 10);
    under_way = strtol(argv[5], NULL, 10);
    if (wanted == 0 || wanted > CLIENTS || under_way < 1 || under_way > UNDER_WAY || (board && argc != 8))
        return 64;
    if (board)
        begin(argv[2], argv[6], argv[7]);
    count = wanted;
    for (size_t i = 0; i < count; i++) {
        client_open_from(&pages[i].line, argv[2], (unsigned)(i / CLIENTS_A_DEVICE));
        if (board)
            client_say(&pages[i].line,
                       "{\"t\":\"hello\",\"proto\":\"%s\",\"page\":\"%016zx\",\"view\":\"phone\",\"key\":\"%s\"}",
                       PROTO_ID, i + 1, argv[6]);
    }
    if (board)
        await(all_ready, 30, "no fresh board");
    double start = now_us();
    until_us = start + strtod(argv[4], NULL) * 1e6;
    flowing = true;
    for (size_t i = 0; i < count; i++)
        tap(i);
    await(all_saved, 60, "a tap was not saved");
    double s = (now_us() - start) / 1e6;
    qsort(took, done, sizeof *took, rising);
    (void)printf("%.0f %.0f %.0f\n", (double)done / s, took[done / 2], took[done * 99 / 100]);
    return 0;
}
