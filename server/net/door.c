/* The door: takes TCP connections in, and decides how many there may be.
 *
 * The listening socket is this file's own, so that what goes wrong with it can be said exactly, and so that every connection
 * has its limits set before libwebsockets sees it:
 *
 *   SO_SNDBUF          small: what lies in the kernel already cannot be overtaken by an alarm
 *   TCP_NODELAY        a frame goes out when it is written
 *   TCP_USER_TIMEOUT   a phone that walked off is noticed though nothing but retransmits is under way
 *   SO_KEEPALIVE       and though nothing at all is
 */
#include <errno.h>
#include <netdb.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "net/inside.h"

#define SEND_BUFFER_BYTES    (32 * 1024)
#define USER_TIMEOUT_MS      10000
#define KEEPALIVE_IDLE_S     5
#define KEEPALIVE_INTERVAL_S 2
#define KEEPALIVE_PROBES     3
#define BACKLOG              128

static void set_option(int fd, int level, int name, int value)
{
    /* An option that a kernel does not know costs some seconds somewhere, never the service. */
    (void)setsockopt(fd, level, name, &value, sizeof value);
}

/* Binds one address; 0, or the error's number. */
static int bind_to(const struct sockaddr *address, socklen_t len, int *fd)
{
    int sock = socket(address->sa_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (sock < 0)
        return errno;
    set_option(sock, SOL_SOCKET, SO_REUSEADDR, 1);
    if (address->sa_family == AF_INET6)
        set_option(sock, IPPROTO_IPV6, IPV6_V6ONLY, 0);
    if (bind(sock, address, len) != 0) {
        int error = errno;
        (void)close(sock);
        return error;
    }
    *fd = sock;
    return 0;
}

/* On IPv6, which takes IPv4 in as well; on IPv4 where the kernel knows no other. */
static int bind_all(int32_t port, int *fd)
{
    struct sockaddr_in6 all6 = {.sin6_family = AF_INET6, .sin6_port = htons((uint16_t)port)};
    struct sockaddr_in all4 = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port)};
    int error = bind_to((const void *)&all6, sizeof all6, fd);
    return error == EAFNOSUPPORT || error == EADDRNOTAVAIL ? bind_to((const void *)&all4, sizeof all4, fd) : error;
}

static int bind_one(const char *address, int32_t port, int *fd)
{
    struct addrinfo hints = {.ai_flags = AI_NUMERICHOST | AI_NUMERICSERV | AI_PASSIVE, .ai_socktype = SOCK_STREAM};
    struct addrinfo *found = NULL;
    char service[8];
    (void)snprintf(service, sizeof service, "%d", port);
    if (getaddrinfo(address, service, &hints, &found) != 0)
        return EADDRNOTAVAIL;
    int error = bind_to(found->ai_addr, found->ai_addrlen, fd);
    freeaddrinfo(found);
    return error;
}

static enum err outcome(int error, const char *address, int32_t port, struct msg *why)
{
    switch (error) {
    case 0: return ERR_NONE;
    case EADDRINUSE:
        return err_set(why, ERR_UNAVAILABLE,
                       "Port %d is in use: another board may be running here; end it, or start this one with --port.",
                       port);
    case EADDRNOTAVAIL:
        return err_set(why, ERR_USAGE, "This machine has no address %s: give one of its own, or leave --address out.",
                       address ? address : "at all");
    case EACCES:
    case EPERM:
        return err_set(why, ERR_USAGE, "Port %d is for programs of the system: choose one from 1024 on with --port.",
                       port);
    default: return err_set(why, ERR_UNAVAILABLE, "Cannot listen on port %d: %s.", port, strerror(error));
    }
}

enum err net_bind(const char *address, int32_t port, int *fd, struct msg *why)
{
    return outcome(address ? bind_one(address, port, fd) : bind_all(port, fd), address, port, why);
}

enum err net_listen(int fd, int32_t port, struct msg *why)
{
    return outcome(listen(fd, BACKLOG) == 0 ? 0 : errno, NULL, port, why);
}

/* IPv4 as it is, also where it comes in the clothes of IPv6; an IPv6 address folded to 64 bits. */
static uint64_t address_number(const struct sockaddr_storage *from)
{
    if (from->ss_family == AF_INET)
        return ntohl(((const struct sockaddr_in *)(const void *)from)->sin_addr.s_addr);
    if (from->ss_family != AF_INET6)
        return 0;
    const struct in6_addr *v6 = &((const struct sockaddr_in6 *)(const void *)from)->sin6_addr;
    uint32_t v4;
    uint64_t halves[2];
    memcpy(&v4, v6->s6_addr + 12, sizeof v4);
    memcpy(halves, v6->s6_addr, sizeof halves);
    return IN6_IS_ADDR_V4MAPPED(v6) ? ntohl(v4) : halves[0] ^ (halves[1] * 0x9e3779b97f4a7c15u);
}

/* A free place for one more from this address; NULL when the house or the address has its fill. */
static struct door_place *find_place(struct net *net, uint64_t address)
{
    struct door_place *free_place = NULL;
    int32_t same_count = 0;
    for (int32_t i = 0; i < LIMIT_SOCKETS; i++) {
        if (!net->places[i].wsi)
            free_place = &net->places[i];
        else if (net->places[i].address == address)
            same_count++;
    }
    return same_count < LIMIT_SOCKETS_PER_ADDRESS ? free_place : NULL;
}

/* Better than a silence that a phone shows as "connecting" for a minute. Whether it arrives is not waited for. */
static void turn_away(int fd)
{
    const char words[] = "The board has no room for another connection just now.\n";
    char reply[256];
    int len = snprintf(reply, sizeof reply,
                       "HTTP/1.1 503 Service Unavailable\r\ncontent-type: text/plain; charset=utf-8\r\n"
                       "connection: close\r\ncontent-length: %zu\r\n\r\n%s",
                       sizeof words - 1, words);
    (void)send(fd, reply, (size_t)len, MSG_NOSIGNAL | MSG_DONTWAIT);
    (void)shutdown(fd, SHUT_WR);
    (void)close(fd);
}

static void let_in(struct net *net, int fd, const struct sockaddr_storage *from)
{
    uint64_t address = address_number(from);
    struct door_place *place = net->stopping ? NULL : find_place(net, address);
    if (!place) {
        turn_away(fd);
        return;
    }
    set_option(fd, SOL_SOCKET, SO_SNDBUF, SEND_BUFFER_BYTES);
    set_option(fd, IPPROTO_TCP, TCP_NODELAY, 1);
    set_option(fd, IPPROTO_TCP, TCP_USER_TIMEOUT, USER_TIMEOUT_MS);
    set_option(fd, SOL_SOCKET, SO_KEEPALIVE, 1);
    set_option(fd, IPPROTO_TCP, TCP_KEEPIDLE, KEEPALIVE_IDLE_S);
    set_option(fd, IPPROTO_TCP, TCP_KEEPINTVL, KEEPALIVE_INTERVAL_S);
    set_option(fd, IPPROTO_TCP, TCP_KEEPCNT, KEEPALIVE_PROBES);
    lws_sock_file_fd_type socket = {.sockfd = fd};
    lws_adoption_type how = LWS_ADOPT_SOCKET | LWS_ADOPT_HTTP | (net->names.tls ? LWS_ADOPT_ALLOW_SSL : 0);
    struct lws *wsi = lws_adopt_descriptor_vhost(net->vhost, how, socket, NULL, NULL);
    if (wsi) /* else libwebsockets has closed it */
        *place = (struct door_place){.wsi = wsi, .address = address};
}

static void accept_all(struct net *net)
{
    for (int i = 0; i < BACKLOG; i++) {
        struct sockaddr_storage from = {0};
        socklen_t len = sizeof from;
        int fd = accept4(net->listen_fd, (struct sockaddr *)&from, &len, SOCK_NONBLOCK | SOCK_CLOEXEC);
        if (fd < 0)
            return; /* nobody more, or one that left while waiting */
        let_in(net, fd, &from);
    }
}

uint64_t door_address(const struct net *net, const struct lws *wsi)
{
    for (int32_t i = 0; i < LIMIT_SOCKETS; i++)
        if (net->places[i].wsi == wsi)
            return net->places[i].address;
    return 0;
}

void door_forget(struct net *net, const struct lws *wsi)
{
    for (int32_t i = 0; i < LIMIT_SOCKETS; i++)
        if (net->places[i].wsi == wsi)
            net->places[i] = (struct door_place){0};
}

/* The protocol of plain files: the listening socket, and the one that the caller wants to be woken for. */
int door_callback(struct lws *wsi, enum lws_callback_reasons reason, void *session, void *in, size_t len)
{
    (void)session, (void)in, (void)len;
    if (reason != LWS_CALLBACK_RAW_RX_FILE)
        return 0;
    struct net *net = net_of(wsi);
    if (lws_get_socket_fd(wsi) == net->listen_fd)
        accept_all(net);
    else
        net->watch_ready = true;
    return 0;
}
