/* A whole debrief with its replay as one HTML file, which opens anywhere without the board and loads nothing.
 *
 * The page (web/src/debrief/file.tsx) comes with its script and style in it, and a content security policy that names their hashes
 * and allows nothing else. The numbers go into it as JSON in which no '<' is left, so that nothing that people wrote can end the
 * element it stands in; the replay as base64 of gzip.
 */
#ifndef STERNBOARD_ONE_FILE_H
#define STERNBOARD_ONE_FILE_H

#include "debrief/debrief.h"
#include "debrief/out.h"
#include "embed.h"

/* Entries whose replay one file holds: the latest trips first; of older ones it has the numbers alone. */
#define ONE_FILE_ROWS_MAX 200000

/* page: the file's empty page, out of the program. The errors are read_back()'s. */
enum err one_file_write(const char *path, const struct debrief_choice *, const struct embed_file *page, struct out *,
                        struct msg *why) MUST_CHECK;

#define ONE_FILE_PAGE "/one-file.html"

#endif
