/* Operating failures: a disk that refuses, a port in use, a file that is damaged. Neither bugs (CHECK) nor a rule's no
 * (refusals).
 *
 * A function that can fail so returns an enum err, which the caller must look at, and fills a struct msg with one
 * sentence for the person at the machine: what is wrong and what to do. On success the msg is untouched. Whoever gets
 * the error says it once: prints it or hands it on, never both.
 */
#ifndef STERNBOARD_ERR_H
#define STERNBOARD_ERR_H

/* Each error that ends the program has its exit code, taken from sysexits.h (BSD; "preferable exit codes",
 * sysexits(3)), so that a start script can tell them apart. `sternboard --help` lists them.
 *
 *   ERR_NONE         0   it worked
 *   ERR_USAGE       64   the command line makes no sense
 *   ERR_DATA        65   the log, the keys or the certificate are damaged, or another program's
 *   ERR_NO_INPUT    66   there is no such file to read
 *   ERR_UNAVAILABLE 69   the port is in use, or the clock is not set and a certificate is to be made
 *   ERR_CANNOT_MAKE 73   the folder cannot be written
 *   ERR_IO          74   the disk failed or is full
 *   ERR_BUSY        75   another server works on the same data: try again when it has ended
 *   ERR_NEWER       78   the log was written by a newer release
 */
enum err {
    ERR_NONE,
    ERR_USAGE,
    ERR_DATA,
    ERR_NO_INPUT,
    ERR_UNAVAILABLE,
    ERR_CANNOT_MAKE,
    ERR_IO,
    ERR_BUSY,
    ERR_NEWER,
};

/* A sentence, ended by NUL; longer ones are cut. */
struct msg {
    char text[512];
};

#define MUST_CHECK __attribute__((warn_unused_result))

/* Fills *why and returns err, so that a failing function can end with it. The sentence is one plain line, whatever was in its parts
 * (plain.h). */
enum err err_set(struct msg *why, enum err err, const char *format, ...) __attribute__((format(printf, 3, 4)));

int err_exit_code(enum err err);

#endif
