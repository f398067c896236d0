#include "commands.h"

#include <errno.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "debrief/csv.h"
#include "debrief/json.h"
#include "debrief/text.h"
#include "fold.h"
#include "log/backup.h"
#include "log/folder.h"
#include "log/log.h"
#include "log/restore.h"
#include "log/verify.h"
#include "one_file.h"
#include "plain.h"
#include "proto_json.h"
#include "read_back.h"
#include "reader.h"

/* What the callbacks of a reading share. */
struct reading {
    FILE *out;
    struct fold *fold;
    struct entry *entry; /* room for one: large */
    int64_t until_seq;   /* the last to take; 0: all */
    bool digests;        /* print the digest of each trip as it ends */
    enum err err;
    struct msg *why;
};

static enum err written(FILE *out, struct msg *why)
{
    if (fflush(out) == 0 && !ferror(out))
        return ERR_NONE;
    return err_set(why, ERR_IO, "The output cannot be written (%s).", strerror(errno));
}

static void print_chain(FILE *out, const uint8_t chain[CHAIN_LEN])
{
    for (int i = 0; i < CHAIN_LEN; i++)
        (void)fprintf(out, "%02x", chain[i]);
}

/* ---- reading with a fold ---- */

static void reading_open(struct reading *reading, FILE *out, struct msg *why)
{
    *reading = (struct reading){.out = out, .fold = fold_new(), .entry = calloc(1, sizeof(struct entry)), .why = why};
    CHECK(reading->entry);
}

static void reading_close(struct reading *reading)
{
    fold_free(reading->fold);
    free(reading->entry);
}

static bool read_entry(struct reading *reading, const struct log_line *line)
{
    struct proto_error error = {0};
    if (!entry_read(line->text, (size_t)line->len, reading->entry, &error))
        reading->err =
            err_set(reading->why, ERR_DATA, "Row %" PRId64 " of the log cannot be read: %s", line->seq, error.words);
    return reading->err == ERR_NONE;
}

/* Reads the whole log of path through a callback whose context is the reading. */
static enum err read_log(const char *path, bool (*each)(void *context, const struct log_line *),
                         struct reading *reading)
{
    struct log_open_info info;
    struct log *log = NULL;
    enum err err = log_open_read(&log, path, &info, reading->why);
    if (err != ERR_NONE)
        return err;
    err = log_read(log, 1, each, reading, reading->why);
    log_close(log);
    return err != ERR_NONE ? err : reading->err;
}

static void print_digest(struct reading *reading)
{
    char digest[17];
    struct fold *fold = reading->fold;
    if (fold_first_seq(fold) == 0)
        return;
    fold_digest(fold, digest);
    (void)fprintf(reading->out, "%s from row %" PRId64 " to %" PRId64 ": digest %s\n",
                  fold_has_trip(fold) ? "trip" : "no trip", fold_first_seq(fold), fold_last_seq(fold), digest);
}

static bool take_line(void *context, const struct log_line *line)
{
    struct reading *reading = context;
    if (!read_entry(reading, line))
        return false;
    if (reading->digests && fold_begins(reading->entry))
        print_digest(reading);
    reading->err = fold_take(reading->fold, reading->entry, reading->why);
    return reading->err == ERR_NONE && line->seq != reading->until_seq;
}

/* The row's JSON, with what must not reach a terminal escaped. Within a JSON text that is the same text (RFC 8259, 7); C0 stands in
 * none, but a damaged row may be no JSON. */
static void print_text(FILE *out, const char *text, size_t len)
{
    const unsigned char *at = (const unsigned char *)text;
    size_t from = 0; /* what is good from here on is written in one piece */
    for (size_t i = 0; i < len;) {
        size_t bad = plain_unprintable(text + i, len - i);
        if (bad == 0) {
            i++;
            continue;
        }
        (void)fwrite(text + from, 1, i - from, out);
        if (bad == 3)
            (void)fprintf(out, "\\u%04x", 0x2000 | (at[i + 1] & 0x3f) << 6 | (at[i + 2] & 0x3f));
        else
            (void)fprintf(out, "\\u%04x", at[i + bad - 1]);
        from = i += bad;
    }
    (void)fwrite(text + from, 1, len - from, out);
}

/* A line with the names of files in it, or with words out of one. */
static void say(FILE *out, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void say(FILE *out, const char *format, ...)
{
    char line[2 * FOLDER_PATH_LEN];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(line, sizeof line, format, args);
    va_end(args);
    plain_line(line);
    (void)fprintf(out, "%s\n", line);
}

/* ---- verify ---- */

static void print_finding(void *context, const char *line)
{
    FILE *out = context;
    print_text(out, line, strlen(line));
    (void)fputc('\n', out);
}

static void print_sums(FILE *out, const struct verify_sums *sums)
{
    (void)fprintf(out,
                  "log %016" PRIx64 ": %" PRId64 " rows, %" PRId64 " of them refused, %" PRId64 " trips, %" PRId64
                  " senders' lanes\nlast row %" PRId64 ", chain ",
                  sums->log_id, sums->rows, sums->refused, sums->trips, sums->lanes, sums->last_seq);
    print_chain(out, sums->chain);
    (void)fprintf(out, "\n");
    if (sums->restored[0])
        say(out, "restored from %s; its chain begins from log %016" PRIx64, sums->restored, sums->chain_id);
}

static enum err fold_all(const char *path, int64_t last_seq, FILE *out, struct msg *why)
{
    struct reading reading;
    reading_open(&reading, out, why);
    reading.until_seq = last_seq;
    reading.digests = true;
    enum err err = read_log(path, take_line, &reading);
    if (err == ERR_NONE)
        print_digest(&reading);
    reading_close(&reading);
    return err;
}

enum err command_verify(const char *path, FILE *out, struct msg *why)
{
    struct verify_sums sums;
    enum err err = verify_log(path, print_finding, out, &sums, why);
    if (err == ERR_NONE || sums.findings > 0)
        print_sums(out, &sums);
    if (err == ERR_NONE)
        err = fold_all(path, sums.last_seq, out, why);
    if (err == ERR_NONE)
        (void)fprintf(out, "nothing is wrong\n");
    return err == ERR_NONE ? written(out, why) : err;
}

/* ---- dump ---- */

static bool print_line(void *context, const struct log_line *line)
{
    struct reading *reading = context;
    print_text(reading->out, line->text, (size_t)line->len);
    (void)fputc('\n', reading->out);
    return !ferror(reading->out);
}

enum err command_dump(const char *path, FILE *out, struct msg *why)
{
    struct reading reading = {.out = out, .why = why};
    enum err err = read_log(path, print_line, &reading);
    return err == ERR_NONE ? written(out, why) : err;
}

/* ---- show ---- */

static void print_board(struct reading *reading)
{
    char *text = malloc(BOARD_DUMP_BYTES);
    CHECK(text);
    (void)board_dump(fold_board(reading->fold), text, BOARD_DUMP_BYTES);
    (void)fprintf(reading->out,
                  "The board after entry %" PRId64 ". It says what was logged, never that something is safe.\n"
                  "Times are hours:minutes:seconds since the log began; where the clock was known, UTC stands beside "
                  "them.\n\n%s",
                  fold_last_seq(reading->fold), text);
    free(text);
}

enum err command_show(const char *path, int64_t at_seq, FILE *out, struct msg *why)
{
    struct reading reading;
    reading_open(&reading, out, why);
    reading.until_seq = at_seq;
    enum err err = read_log(path, take_line, &reading);
    if (err == ERR_NONE && at_seq > fold_last_seq(reading.fold))
        err = err_set(why, ERR_NO_INPUT, "There is no entry %" PRId64 ": the log ends with entry %" PRId64 ".", at_seq,
                      fold_last_seq(reading.fold));
    if (err == ERR_NONE) {
        print_board(&reading);
        err = written(out, why);
    }
    reading_close(&reading);
    return err;
}

/* ---- debrief ---- */

/* What a person wrote reaches no terminal as an order to it; within JSON an escape is the same text. */
static void print_debrief(FILE *to, const struct debrief *debrief, enum print_as as)
{
    struct out out;
    out_open(&out);
    switch (as) {
    case PRINT_TEXT: text_write(debrief, &out); break;
    case PRINT_JSON: json_write(debrief, &out); break;
    case PRINT_LINES: csv_lines(debrief, &out); break;
    }
    for (const char *at = out.text; *at;) {
        size_t len = strcspn(at, "\n");
        print_text(to, at, len);
        (void)fputc('\n', to);
        at += len + (at[len] == '\n');
    }
    out_release(&out);
}

enum err command_debrief(const char *path, const struct debrief_options *options, FILE *out, struct msg *why)
{
    struct debrief *debrief = NULL;
    enum err err = read_back(path, &options->choice, &debrief, why);
    if (err != ERR_NONE)
        return err;
    if (options->csv_dir != NULL)
        err = csv_files(debrief, options->csv_dir, why);
    if (err == ERR_NONE) {
        print_debrief(out, debrief, options->as);
        err = written(out, why);
    }
    debrief_free(debrief);
    return err;
}

static enum err write_file(const char *path, const struct out *text, struct msg *why)
{
    FILE *file = fopen(path, "wx");
    if (file == NULL)
        return err_set(why, ERR_CANNOT_MAKE, "%s cannot be written (%s).", path, strerror(errno));
    bool whole = fwrite(text->text, 1, text->len, file) == text->len;
    if (fclose(file) == 0 && whole)
        return ERR_NONE;
    return err_set(why, ERR_IO, "%s cannot be written (%s).", path, strerror(errno));
}

enum err command_debrief_file(const char *path, const struct debrief_options *options, const struct embed_file *page,
                              FILE *out, struct msg *why)
{
    struct out text;
    out_open(&text);
    enum err err = one_file_write(path, &options->choice, page, &text, why);
    if (err == ERR_NONE)
        err = write_file(options->html, &text, why);
    if (err == ERR_NONE) {
        say(out, "%s holds the debrief and its replay, %zu KB.", options->html, text.len / 1024);
        err = written(out, why);
    }
    out_release(&text);
    return err;
}

/* ---- backup ---- */

enum err command_backup(const char *path, const char *to, FILE *out, struct msg *why)
{
    struct verify_sums sums;
    enum err err = backup_log(path, to, &sums, why);
    if (err != ERR_NONE)
        return err;
    say(out, "%s holds the log up to row %" PRId64 ", and nothing is wrong with it. The keys are not in it.", to,
        sums.last_seq);
    return written(out, why);
}

/* ---- restore ---- */

enum err command_restore(const char *from, const char *dir, FILE *out, struct msg *why)
{
    struct restored restored;
    enum err err = restore_log(from, dir, &restored, why);
    if (err != ERR_NONE)
        return err;
    if (restored.kept[0])
        say(out, "The log that was there is kept as %s.", restored.kept);
    say(out,
        "The log in %s is now %016" PRIx64 ", restored from log %016" PRIx64 " up to row %" PRId64
        ", and nothing is wrong with it.",
        dir, restored.log_id, restored.from_log_id, restored.last_seq);
    say(out, "Screens that knew the log before will say that it went backwards.");
    err = written(out, why);
    if (err == ERR_NONE && !restored.whole)
        err = err_set(why, ERR_DATA,
                      "%s is damaged: %s, so only rows 1 to %" PRId64
                      " are restored. If another copy goes further, restore that one.",
                      from, restored.damage.text, restored.last_seq);
    return err;
}
