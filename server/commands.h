/* The commands on a log that do their work and end. Those that read (verify, dump, show, backup) may run beside the board
 * in service, and change nothing; restore wants the board ended.
 *
 * path: the data folder, or a log's file such as a backup. What the command is for goes to out; what is wrong, in one
 * sentence, to *why. ERR_IO: out cannot be written.
 */
#ifndef STERNBOARD_COMMANDS_H
#define STERNBOARD_COMMANDS_H

#include <stdint.h>
#include <stdio.h>

#include "embed.h"
#include "err.h"
#include "options.h"

/* Reads every row and checks it (log/verify.h); if all is well, folds every trip and prints its digest, a line
 *
 *     trip from row 12 to 480: digest 0123456789abcdef
 *
 * which must be the same on every machine and in every later release. ERR_DATA: something is wrong; a line for each
 * thing. */
enum err command_verify(const char *path, FILE *out, struct msg *why) MUST_CHECK;

/* Every entry as it was logged, one a line, as canonical JSON. */
enum err command_dump(const char *path, FILE *out, struct msg *why) MUST_CHECK;

/* The board as text, as it was after the entry at_seq, corrections that came later aside; 0: at the end of the log.
 * ERR_NO_INPUT: there is no such entry. */
enum err command_show(const char *path, int64_t at_seq, FILE *out, struct msg *why) MUST_CHECK;

/* The numbers of a trip, or of many: as text to be read aloud, as JSON, or as JSON lines; with csv_dir its tables as files there
 * as well. ERR_NO_INPUT: there is no such trip. */
/* The debrief with its replay into one HTML file of that name; page as one_file.h wants it. */
enum err command_debrief_file(const char *path, const struct debrief_options *, const struct embed_file *page,
                              FILE *out, struct msg *why) MUST_CHECK;
enum err command_debrief(const char *path, const struct debrief_options *, FILE *out, struct msg *why) MUST_CHECK;

/* Copies the log into a new file and verifies the copy (log/backup.h). */
enum err command_backup(const char *path, const char *to, FILE *out, struct msg *why) MUST_CHECK;

/* Puts the log in `from` in the place of dir's, with a new log_id (log/restore.h). ERR_DATA: nothing was done, or, as
 * *why then says, only the rows before a damaged one are there. */
enum err command_restore(const char *from, const char *dir, FILE *out, struct msg *why) MUST_CHECK;

#endif
