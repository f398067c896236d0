/* The certificate of --tls: the owner's own, or one made here.
 *
 * Made ones lie in the data folder, 0600, each a private key and its certificate in one file, so that a crash between two writes
 * never parts them:
 *
 *   tls-authority.pem   the board's own authority, for ten years. A phone that is to trust this board installs its certificate,
 *                       never its key. It can speak for this machine's names and addresses and for private addresses alone
 *                       (RFC 5280, 4.2.1.10), so that whoever steals it cannot stand in for any other site.
 *   tls-board.pem       the board's certificate, signed by it: a P-256 key, all names and private addresses that the board answers
 *                       to, for 397 days (Apple takes at most 825, support.apple.com/103769).
 *
 * At each start the board's certificate is made anew when it lacks a name or ends within 90 days, and the authority when it could no
 * longer sign one that is good for that long, or must not sign a new name or address; then the phones have to install the new one.
 */
#ifndef STERNBOARD_CERTIFICATE_H
#define STERNBOARD_CERTIFICATE_H

#include <stdbool.h>
#include <stdint.h>

#include "err.h"
#include "log/folder.h"
#include "net/names.h"

#define CERTIFICATE_PEM_MAX 8192

struct certificate {
    char chain[FOLDER_PATH_LEN], key[FOLDER_PATH_LEN]; /* files in PEM; may be the same */
    char authority[CERTIFICATE_PEM_MAX];               /* what phones install, in PEM; "" with the owner's own */
    char fingerprint[96];                              /* SHA-256 of the authority's certificate, AA:BB:... */
    bool authority_made;                               /* just now: no phone knows it yet */
};

/* Makes or renews what is in the folder. utc_ms 0: not known; what is there is used as it is, and nothing can be made.
 * ERR_UNAVAILABLE: the clock is not set. ERR_DATA: a file is damaged. ERR_IO. */
enum err certificate_make(struct certificate *, const char *dir, const struct names *, int64_t utc_ms,
                          struct msg *why) MUST_CHECK;

/* The owner's own. ERR_NO_INPUT: a file is not there. ERR_DATA: no certificate, no key, or the two don't belong together. */
enum err certificate_own(struct certificate *, const char *chain, const char *key, struct msg *why) MUST_CHECK;

#endif
