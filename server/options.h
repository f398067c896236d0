/* The command line. */
#ifndef STERNBOARD_OPTIONS_H
#define STERNBOARD_OPTIONS_H

#include <stdbool.h>
#include <stdint.h>

#include "err.h"

#define OPTIONS_PORT      8470
#define OPTIONS_NAMES_MAX 16
#define OPTIONS_PATH_LEN  4096

enum command {
    COMMAND_SERVE,
    COMMAND_VERIFY,
    COMMAND_DUMP,
    COMMAND_SHOW,
    COMMAND_BACKUP,
    COMMAND_RESTORE,
    COMMAND_VERSION,
    COMMAND_HELP
};

/* The strings are those of argv, but data. */
struct options {
    enum command command;
    char data[OPTIONS_PATH_LEN];
    int32_t port;
    const char *address; /* NULL: all of the machine's */
    int32_t name_count;
    const char *names[OPTIONS_NAMES_MAX];
    const char *spare; /* the folder of the log's copy on another disk, or NULL */
    bool quiet;
    bool tls;                       /* https alone on the port */
    const char *tls_cert, *tls_key; /* the owner's own files; both or neither (NULL: made ones) */
    const char *file; /* of verify, dump and show: a log other than the one in data, or NULL; of backup: where to;
                       * of restore: where from */
    int64_t at_seq;   /* of show; 0: the end */
};

/* ERR_USAGE: *why says which word makes no sense. */
enum err options_read(struct options *, int argc, char *const argv[], struct msg *why) MUST_CHECK;

/* What --help prints. */
extern const char options_help[];

#endif
