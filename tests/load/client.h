/* One websocket of a crowd that measures: just enough RFC 6455 for it, over a blocking socket. Whatever goes wrong ends the program
 * with code 70 and a word why, because then there is nothing to measure.
 */
#ifndef STERNBOARD_TESTS_LOAD_CLIENT_H
#define STERNBOARD_TESTS_LOAD_CLIENT_H

#include <stddef.h>

#define CLIENT_BYTES (64 * 1024) /* the server sends no frame over this */

struct client {
    int fd;
    size_t len; /* of bytes, which begin with a frame's first */
    char bytes[CLIENT_BYTES];
};

double now_us(void); /* the machine's monotonic clock */
_Noreturn void die(const char *why);

/* Connects to the board on this machine, as a page of its own origin. device: from which of this machine's own addresses, 127.0.0.1
 * and on, for the board bounds the connections of one address. */
void client_open(struct client *client, const char *port);
void client_open_from(struct client *client, const char *port, unsigned device);

void client_close(struct client *client);

void client_send(struct client *client, const char *text);
__attribute__((format(printf, 2, 3))) void client_say(struct client *client, const char *form, ...);

/* Reads once, hands on each message of each whole text (they stand in it a line each), ended by NUL, and answers pings. To be called when something has come. */
void client_take(struct client *client, void (*heard)(size_t index, const char *text), size_t index);

/* The number that follows a name such as "\"seq\":" in a message; -1: it is not there. */
long long number_after(const char *text, const char *name);

#endif
