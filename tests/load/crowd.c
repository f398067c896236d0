/* A crowd of screens, to time a tap: from its send to its arrival at every other screen, and to "saved" at its sender.
 *
 *   crowd board PORT CLIENTS TAPS PERIOD_US CREW_KEY HELM_NUMBER
 *   crowd relay PORT CLIENTS TAPS PERIOD_US
 *
 * Against the board the first client takes the helm, starts a trip with one line and then says every PERIOD_US that the line is
 * out, or in. Against the relay it sends texts of the size of the board's patches. The next tap leaves when the last one has
 * reached everybody (and is saved), so queues of the crowd's own do not count. Prints one line:
 *
 *   screens_p50 screens_p99 saved_p50 saved_p99      in microseconds; saved is 0 0 against the relay
 *
 * It speaks just enough RFC 6455 for that, over blocking sockets and poll(). One tap in the relay's case is padded to PATCH bytes,
 * measured from the board's own patch of such a tap.
 */
#include <arpa/inet.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#define CLIENTS 256
#define BUFFER  (64 * 1024)
#define PATCH   520
#define TAPS    10000

struct screen {
    int fd;
    size_t len;
    bool ready; /* the fresh board is whole */
    long seen;  /* the last tap that came here */
    char bytes[BUFFER];
};

static struct screen screens[CLIENTS];
static size_t count;
static bool board;
static double seen_at[CLIENTS], saved_at;
static long long wanted_seq, saved_up_to;
static long current;
static double screen[TAPS * (size_t)CLIENTS], saved[TAPS];

static double now_us(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e6 + (double)t.tv_nsec / 1e3;
}

static void die(const char *why)
{
    (void)fprintf(stderr, "crowd: %s\n", why);
    exit(70);
}

static void send_all(int fd, const void *bytes, size_t len)
{
    for (size_t done = 0; done < len;) {
        ssize_t n = write(fd, (const char *)bytes + done, len - done);
        if (n <= 0)
            die("a socket broke");
        done += (size_t)n;
    }
}

/* One masked text frame; the mask is zero, which is a mask like any other. */
static void send_text(int fd, const char *text)
{
    size_t len = strlen(text);
    unsigned char frame[BUFFER] = {0x81};
    size_t head = 2;
    if (len < 126) {
        frame[1] = (unsigned char)(0x80 | len);
    } else {
        frame[1] = 0x80 | 126;
        frame[2] = (unsigned char)(len >> 8);
        frame[3] = (unsigned char)(len & 255);
        head = 4;
    }
    memcpy(frame + head + 4, text, len);
    send_all(fd, frame, head + 4 + len);
}

__attribute__((format(printf, 2, 3))) static void say(int fd, const char *form, ...)
{
    char text[BUFFER - 64];
    va_list args;
    va_start(args, form);
    (void)vsnprintf(text, sizeof text, form, args);
    va_end(args);
    send_text(fd, text);
}

static int reach(const char *port)
{
    int fd = socket(AF_INET, SOCK_STREAM, 0), on = 1;
    struct sockaddr_in to = {.sin_family = AF_INET, .sin_port = htons((uint16_t)strtoul(port, NULL, 10))};
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    if (connect(fd, (struct sockaddr *)&to, sizeof to) < 0)
        die("nobody answers there");
    (void)setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
    char text[512];
    (void)snprintf(text, sizeof text,
                   "GET /ws HTTP/1.1\r\nHost: 127.0.0.1:%s\r\nOrigin: http://127.0.0.1:%s\r\nUpgrade: websocket\r\n"
                   "Connection: Upgrade\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nSec-WebSocket-Version: 13\r\n"
                   "Sec-WebSocket-Protocol: sternboard\r\n\r\n",
                   port, port);
    send_all(fd, text, strlen(text));
    size_t len = 0;
    while (len < 4 || memcmp(text + len - 4, "\r\n\r\n", 4) != 0)
        if (len + 1 >= sizeof text || read(fd, text + len++, 1) != 1)
            die("the upgrade was refused");
    if (!strstr(text, " 101 "))
        die("the upgrade was refused");
    return fd;
}

static long long number_after(const char *text, const char *name)
{
    const char *at = strstr(text, name);
    return at ? strtoll(at + strlen(name), NULL, 10) : -1;
}

static void heard(size_t i, const char *text)
{
    char name[64];
    (void)snprintf(name, sizeof name, ".o.%ld\"", current);
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

/* Takes what has come for one screen, frame by frame. The server sends no frame over 64 KiB. */
static void take(size_t i)
{
    struct screen *s = &screens[i];
    ssize_t n = read(s->fd, s->bytes + s->len, BUFFER - 1 - s->len);
    if (n <= 0)
        die("the server hung up");
    s->len += (size_t)n;
    for (;;) {
        const unsigned char *b = (const unsigned char *)s->bytes;
        size_t head = 2, len = s->len >= 2 ? b[1] : 0;
        if (len == 126) {
            head = 4;
            len = s->len >= 4 ? (size_t)b[2] << 8 | b[3] : 0;
        }
        if (s->len < head || s->len < head + len)
            return;
        char kept = s->bytes[head + len];
        s->bytes[head + len] = 0;
        if ((b[0] & 15) == 9) { /* a ping is answered with its own bytes */
            unsigned char pong[2 + 4 + 125] = {0x8a, (unsigned char)(0x80 | len)};
            memcpy(pong + 6, s->bytes + head, len);
            send_all(s->fd, pong, 6 + len);
        } else {
            heard(i, s->bytes + head);
        }
        s->bytes[head + len] = kept;
        s->len -= head + len;
        memmove(s->bytes, s->bytes + head + len, s->len);
    }
}

static void listen_ms(int ms)
{
    struct pollfd fds[CLIENTS];
    for (size_t i = 0; i < count; i++)
        fds[i] = (struct pollfd){.fd = screens[i].fd, .events = POLLIN};
    if (poll(fds, count, ms) < 0)
        die("poll");
    for (size_t i = 0; i < count; i++)
        if (fds[i].revents)
            take(i);
}

static void tap(const char *kind, const char *body)
{
    wanted_seq = 0;
    saved_at = 0;
    current++;
    say(screens[0].fd, "{\"t\":\"tap\",\"id\":\"%016x.o.%ld\",\"kind\":\"%s\",\"v\":1,\"ago_ms\":0,\"body\":%s}", 1u,
        current, kind, body);
}

static bool arrived(void)
{
    for (size_t i = board ? 0 : 1; i < count; i++)
        if (screens[i].seen < current)
            return false;
    return !board || saved_at > 0;
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
    say(screens[i].fd, "{\"t\":\"hello\",\"proto\":\"%016x\",\"page\":\"%016zx\",\"view\":\"phone\",\"key\":\"%s\"}",
        0u, i + 1, key);
}

static void begin(const char *helm)
{
    await(all_ready, "no fresh board");
    say(screens[0].fd, "{\"t\":\"take_helm\",\"number\":\"%s\"}", helm);
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

int main(int argc, char **argv)
{
    if (argc < 6)
        return 64;
    board = strcmp(argv[1], "board") == 0;
    count = (size_t)strtoul(argv[3], NULL, 10);
    size_t taps = (size_t)strtoul(argv[4], NULL, 10), n = 0;
    if (count < 2 || count > CLIENTS || taps == 0 || (board && argc != 8))
        return 64;
    if (taps > TAPS)
        return 64;
    for (size_t i = 0; i < count; i++) {
        screens[i].fd = reach(argv[2]);
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
            (void)snprintf(padded, sizeof padded, "\"%016x.o.%ld\"%*s", 1u, current, PATCH - 60, "");
            send_text(screens[0].fd, padded);
        }
        await(arrived, "a tap did not arrive");
        for (size_t i = 1; i < count; i++)
            screen[n++] = seen_at[i] - start;
        saved[t] = board ? saved_at - start : 0;
    }
    (void)printf("%.0f %.0f %.0f %.0f\n", at(screen, n, 50), at(screen, n, 99), at(saved, taps, 50),
                 at(saved, taps, 99));
    return 0;
}
