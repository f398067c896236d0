/* What the tests of the log share: a folder of their own, rows as the hub would make them, and SQL past all guards. */
#ifndef TESTS_LOG_SUPPORT_H
#define TESTS_LOG_SUPPORT_H

#include <stddef.h>
#include <stdint.h>

#include "log/log.h"
#include "log/verify.h"

/* A new empty folder, to be removed with everything in it. */
char *scratch_make(void);
void scratch_remove(char *dir);

/* DIR/name, to be freed. */
char *scratch_path(const char *dir, const char *name);

/* Numbers and chains rows on from where a log ends. */
struct maker {
    uint64_t sender;
    int32_t n;
    int64_t seq;
    uint8_t chain[CHAIN_LEN];
};
void maker_start(struct maker *maker, const struct log_open_info *info, uint64_t sender);

/* The next row: an entry of this kind with an empty body, or a small trip for KIND_TRIP_STARTED. refused NULL:
 * taken. */
struct log_row maker_next(struct maker *maker, enum entry_kind kind, const char *refused);
/* count further rows of KIND_STOP. */
void maker_fill(struct maker *maker, struct log_row *rows, size_t count);
void rows_free(struct log_row *rows, size_t count);

/* Opens, fails the test with the reason if that does not work. */
struct log *open_log(const char *dir, struct log_open_info *info);

/* Opens the log, appends count rows of a new sender, closes it. */
void append_rows(const char *dir, uint64_t sender, size_t count);

/* What verify_log finds, printed into the test's output; context is not looked at. */
void print_finding(void *context, const char *line);

/* Verifies the log in a folder, or the file; fails the test with the reason if it is not sound. */
struct verify_sums verified(const char *path);

/* What a person with a SQLite shell may do: a connection without any of our settings. The result code; *message, when
 * wanted, is what SQLite says (64 bytes). */
int raw_sql(const char *dir, const char *sql, char *message);

/* Puts the guards away, runs the SQL, and puts the guards back as they were. */
void tamper(const char *dir, const char *sql);

#endif
