/* How a crew gets in: the address to join at, and the code that a phone's camera reads off the terminal. */
#ifndef STERNBOARD_JOIN_H
#define STERNBOARD_JOIN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#define JOIN_ADDRESS_LEN 64
#define JOIN_LINK_LEN    192

/* The IPv4 addresses at which phones may reach this machine, the likeliest first: those that the boat's router gives out (RFC
 * 1918), then others, then self-given ones (RFC 3927); those of virtual interfaces after all real ones. At least one comes
 * back: 127.0.0.1 when there is no network. */
int32_t join_addresses(char addresses[][JOIN_ADDRESS_LEN], int32_t max);

/* "http://ADDR:8470/#k=KEY", or https with tls. The key stands behind the # because a browser never sends that part. */
struct join_place {
    bool tls;
    const char *address; /* or a name; or NAME:PORT, for a way in through another port */
    int32_t port;
};
void join_link(char link[JOIN_LINK_LEN], const struct join_place *, const char *path, const char *key);

/* The text as a QR code (ISO/IEC 18004) in half blocks, with the quiet zone of four modules that the standard asks for. colour:
 * dark on light by ANSI colours, whatever the terminal's own; else as light characters for a dark ground. */
void join_code(FILE *out, const char *text, bool colour);

#endif
