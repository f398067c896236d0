/* The crowd of crowd.c over an MQTT broker, at quality of service 1: from a text's publishing to its arrival at every other screen.
 * "Saved" has no counterpart: the broker promises no sync.
 *
 *   mqtt PORT CLIENTS TAPS PERIOD_US      prints screens_p50 screens_p99, in microseconds
 *
 * It speaks just enough MQTT 3.1.1 (OASIS Standard, sections 3.1 to 3.9) for that.
 */
#include <arpa/inet.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "client.h"

#define CLIENTS 256
#define TAPS    10000
#define TEXT    520

enum { CONNECT = 0x10, CONNACK = 0x20, PUBLISH_1 = 0x32, PUBACK = 0x40, SUBSCRIBE = 0x82, SUBACK = 0x90 };

struct screen {
    int fd;
    size_t len;
    unsigned char bytes[CLIENT_BYTES];
    long seen;
    double seen_at;
};

static struct screen screens[CLIENTS];
static size_t count;
static long current;
static double took[TAPS * (size_t)CLIENTS];

/* Head, length in one or two bytes of seven bits (section 2.2.3), and the rest. */
static void send_packet(int fd, int type, const unsigned char *rest, size_t len)
{
    unsigned char packet[TEXT + 64] = {(unsigned char)type, (unsigned char)(len & 127)};
    size_t head = 2;
    if (len > 127) {
        packet[1] |= 128;
        packet[2] = (unsigned char)(len >> 7);
        head = 3;
    }
    memcpy(packet + head, rest, len);
    if (write(fd, packet, head + len) != (ssize_t)(head + len))
        die("a socket broke");
}

static int reach(const char *port, size_t i)
{
    int fd = socket(AF_INET, SOCK_STREAM, 0), on = 1;
    struct sockaddr_in to = {.sin_family = AF_INET, .sin_port = htons((uint16_t)strtoul(port, NULL, 10))};
    unsigned char hello[] = {0, 4, 'M', 'Q', 'T', 'T', 4, 2, 0, 0, 0, 4, 's', '0', '0', '0'};
    static const unsigned char topic[] = {0, 1, 0, 1, 't', 1};
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    if (connect(fd, (struct sockaddr *)&to, sizeof to) < 0)
        die("nobody answers there");
    (void)setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
    for (size_t digit = 0, left = i; digit < 3; digit++, left /= 10)
        hello[sizeof hello - 1 - digit] = (unsigned char)('0' + left % 10);
    send_packet(fd, CONNECT, hello, sizeof hello);
    if (i > 0)
        send_packet(fd, SUBSCRIBE, topic, sizeof topic);
    return fd;
}

/* A text came: it starts with its number, behind the topic and the packet's own number, which goes back as its receipt. */
static void heard(struct screen *screen, const unsigned char *rest)
{
    send_packet(screen->fd, PUBACK, rest + 3, 2);
    if (strtol((const char *)rest + 5, NULL, 10) != current)
        return;
    screen->seen = current;
    screen->seen_at = now_us();
}

static void take(struct screen *screen)
{
    ssize_t n = read(screen->fd, screen->bytes + screen->len, sizeof screen->bytes - screen->len);
    if (n <= 0)
        die("the broker hung up");
    screen->len += (size_t)n;
    for (;;) {
        const unsigned char *b = screen->bytes;
        if (screen->len < 3)
            return;
        size_t head = b[1] & 128 ? 3 : 2, len = (b[1] & 127u) | (head == 3 ? (size_t)b[2] << 7 : 0);
        if (screen->len < head + len)
            return;
        if ((b[0] & 0xf0) == (PUBLISH_1 & 0xf0))
            heard(screen, b + head);
        screen->len -= head + len;
        memmove(screen->bytes, screen->bytes + head + len, screen->len);
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
            take(&screens[i]);
}

static int all_seen(void)
{
    for (size_t i = 1; i < count; i++)
        if (screens[i].seen != current)
            return 0;
    return 1;
}

static void publish(void)
{
    unsigned char rest[TEXT + 5] = {0, 1, 't', (unsigned char)(current >> 8), (unsigned char)current};
    memset(rest + 5, ' ', TEXT);
    (void)snprintf((char *)rest + 5, TEXT, "%ld", current);
    send_packet(screens[0].fd, PUBLISH_1, rest, sizeof rest);
}

static int rising(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

int main(int argc, char **argv)
{
    if (argc != 5)
        return 64;
    count = (size_t)strtoul(argv[2], NULL, 10);
    size_t taps = (size_t)strtoul(argv[3], NULL, 10), n = 0;
    if (count < 2 || count > CLIENTS || taps == 0 || taps > TAPS)
        return 64;
    for (size_t i = 0; i < count; i++)
        screens[i].fd = reach(argv[1], i);
    for (double until = now_us() + 500e3; now_us() < until;)
        listen_ms(10);
    for (size_t t = 0; t < taps; t++) {
        double pause = now_us() + (double)strtoul(argv[4], NULL, 10);
        while (now_us() < pause)
            listen_ms(1);
        current++;
        double start = now_us();
        publish();
        while (!all_seen()) {
            if (now_us() - start > 10e6)
                die("a text did not arrive");
            listen_ms(100);
        }
        for (size_t i = 1; i < count; i++)
            took[n++] = screens[i].seen_at - start;
    }
    qsort(took, n, sizeof *took, rising);
    (void)printf("%.0f %.0f\n", took[n / 2], took[n * 99 / 100]);
    return 0;
}
