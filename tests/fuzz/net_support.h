/* The real sockets of the program with a hub behind them, and one client at their door, all in this thread.
 *
 * The client connects through a Unix socket, not a port: what stands behind the door is the same, and many fuzzers may run at once.
 * libwebsockets itself is the distribution's, without the fuzzer's counters: what is watched is this program's side of it.
 */
#ifndef STERNBOARD_TESTS_FUZZ_NET_SUPPORT_H
#define STERNBOARD_TESTS_FUZZ_NET_SUPPORT_H

#include <stddef.h>
#include <stdint.h>

/* Made once for the process. */
struct fuzz_net;
struct fuzz_net *fuzz_net_open(void);

/* A new client: its socket. */
int fuzz_net_connect(struct fuzz_net *);

/* Sends, lets the program take it in, and reads all it answers: what of it fits goes to reply, ended by NUL. */
void fuzz_net_send(struct fuzz_net *, int client, const void *bytes, size_t len, char *reply, size_t cap);

/* The client hangs up; afterwards the program has forgotten it, and the hub is sound. */
void fuzz_net_hang_up(struct fuzz_net *, int client);

#endif
