/* The pages of the board, out of the program's own memory.
 *
 * Every view is the same index.html, which finds out from the address what it is to show. It is asked for anew each time, so
 * that a new release is seen at once; everything it loads bears a hash of its content in its name and is kept for ever.
 */
#ifndef STERNBOARD_NET_PAGES_H
#define STERNBOARD_NET_PAGES_H

#include "net/reply.h"

void pages_answer(const struct request *, struct reply *);

/* Does this Accept-Encoding allow gzip (RFC 9110, 12.5.3)? */
bool pages_takes_gzip(const char *accept_encoding);

#endif
