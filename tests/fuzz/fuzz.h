/* What the fuzz targets share. A target is one file fuzz_NAME.c with one function, libFuzzer's (llvm.org/docs/LibFuzzer): it takes any
 * bytes, hands them to one of the program's doors, and aborts when something that must hold does not.
 *
 * Each is built twice: with libFuzzer, which makes up bytes and watches which branches they reach, and with replay.c, which runs the
 * kept inputs of tests/fuzz/corpus/NAME once, under any compiler. The second is a unit test like any other.
 */
#ifndef STERNBOARD_TESTS_FUZZ_H
#define STERNBOARD_TESTS_FUZZ_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The door. Always 0: every input may be kept. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t len);

/* Takes the next line off the text: up to a newline, which is not part of it, or to the end. False: there is none left. */
bool fuzz_line(const char **text, size_t *left, const char **line, size_t *len);

/* A folder of this process alone, in memory where the system has such a place, made once and removed when the process ends. */
const char *fuzz_folder(void);

/* Makes the file of fuzz_folder() hold exactly these bytes. */
void fuzz_write(const char *name, const void *bytes, size_t len);

/* The same for a log, without what SQLite kept beside the one before it. */
void fuzz_write_log(const char *name, const void *bytes, size_t len);

/* The whole file, ended by a NUL, at most max bytes long; the caller frees it. Aborts when it is not there. */
char *fuzz_read(const char *path, size_t max, size_t *len);

#endif
