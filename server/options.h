/* The command line. */
#ifndef STERNBOARD_OPTIONS_H
#define STERNBOARD_OPTIONS_H

#include <stdbool.h>
#include <stdint.h>

#include "debrief/debrief.h"
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
    COMMAND_DEBRIEF,
    COMMAND_VERSION,
    COMMAND_HELP
};

/* How a debrief is printed. */
enum print_as { PRINT_TEXT, PRINT_JSON, PRINT_LINES };

/* What a debrief is to be of (debrief/choice.h), and where it goes. */
struct debrief_options {
    struct debrief_choice choice;
    const char *csv_dir; /* NULL: no tables */
    const char *html;    /* the one file to write it into, NULL: none */
    enum print_as as;
    const char *given; /* one of its options that was given, or NULL */
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
    const char *rules; /* a file of rule sets, or NULL: rules.json in data, else the shipped one */
    bool quiet;
    bool tls;                       /* https alone on the port */
    const char *tls_cert, *tls_key; /* the owner's own files; both or neither (NULL: made ones) */
    const char
        *file; /* of verify, dump, show and debrief: a log other than the one in data, or NULL; of backup: where to;
                       * of restore: where from */
    int64_t at_seq; /* of show; 0: the end */
    struct debrief_options debrief;
};

/* ERR_USAGE: *why says which word makes no sense. */
enum err options_read(struct options *, int argc, char *const argv[], struct msg *why) MUST_CHECK;

/* What --help prints. */
extern const char options_help[];

#endif
