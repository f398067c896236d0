#include "client.h"

#include <arpa/inet.h>
#include <netinet/tcp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

double now_us(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e6 + (double)t.tv_nsec / 1e3;
}

void die(const char *why)
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
void client_send(struct client *client, const char *text)
{
    size_t len = strlen(text);
    unsigned char frame[CLIENT_BYTES] = {0x81};
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
    send_all(client->fd, frame, head + 4 + len);
}

void client_say(struct client *client, const char *form, ...)
{
    char text[CLIENT_BYTES - 64];
    va_list args;
    va_start(args, form);
    (void)vsnprintf(text, sizeof text, form, args);
    va_end(args);
    client_send(client, text);
}

static int connect_to(const char *port, unsigned device)
{
    int fd = socket(AF_INET, SOCK_STREAM, 0), on = 1;
    struct sockaddr_in from = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK + device)};
    if (bind(fd, (struct sockaddr *)&from, sizeof from) < 0)
        die("this machine has no such address");
    struct sockaddr_in to = {.sin_family = AF_INET, .sin_port = htons((uint16_t)strtoul(port, NULL, 10))};
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    if (connect(fd, (struct sockaddr *)&to, sizeof to) < 0)
        die("nobody answers there");
    (void)setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
    return fd;
}

void client_open(struct client *client, const char *port)
{
    client_open_from(client, port, 0);
}

void client_open_from(struct client *client, const char *port, unsigned device)
{
    client->fd = connect_to(port, device);
    char text[512];
    (void)snprintf(text, sizeof text,
                   "GET /ws HTTP/1.1\r\nHost: 127.0.0.1:%s\r\nOrigin: http://127.0.0.1:%s\r\nUpgrade: websocket\r\n"
                   "Connection: Upgrade\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nSec-WebSocket-Version: 13\r\n"
                   "Sec-WebSocket-Protocol: sternboard\r\n\r\n",
                   port, port);
    send_all(client->fd, text, strlen(text));
    size_t len = 0;
    while (len < 4 || memcmp(text + len - 4, "\r\n\r\n", 4) != 0)
        if (len + 1 >= sizeof text || read(client->fd, text + len++, 1) != 1)
            die("the upgrade was refused");
    text[len] = 0;
    if (!strstr(text, " 101 "))
        die("the upgrade was refused");
}

static void pong(struct client *client, const char *bytes, size_t len)
{
    unsigned char frame[2 + 4 + 125] = {0x8a, (unsigned char)(0x80 | len)};
    memcpy(frame + 6, bytes, len);
    send_all(client->fd, frame, 6 + len);
}

static void hear_lines(char *text, void (*heard)(size_t index, const char *text), size_t index)
{
    for (char *next; text; text = next) {
        next = strchr(text, '\n');
        if (next)
            *next++ = 0;
        heard(index, text);
    }
}

void client_take(struct client *client, void (*heard)(size_t index, const char *text), size_t index)
{
    ssize_t n = read(client->fd, client->bytes + client->len, CLIENT_BYTES - 1 - client->len);
    if (n <= 0)
        die("the server hung up");
    client->len += (size_t)n;
    size_t at = 0;
    for (;;) {
        const unsigned char *b = (const unsigned char *)client->bytes + at;
        size_t there = client->len - at, head = 2, len = there >= 2 ? b[1] : 0;
        if (len == 126) {
            head = 4;
            len = there >= 4 ? (size_t)b[2] << 8 | b[3] : 0;
        }
        if (there < head || there < head + len)
            break;
        char *text = client->bytes + at + head, kept = text[len];
        text[len] = 0;
        if ((b[0] & 15) == 9)
            pong(client, text, len);
        else
            hear_lines(text, heard, index);
        text[len] = kept;
        at += head + len;
    }
    client->len -= at;
    memmove(client->bytes, client->bytes + at, client->len);
}

long long number_after(const char *text, const char *name)
{
    const char *at = strstr(text, name);
    return at ? strtoll(at + strlen(name), NULL, 10) : -1;
}

void client_close(struct client *client)
{
    (void)close(client->fd);
    client->fd = -1;
}
