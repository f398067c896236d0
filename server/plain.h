/* Text of other people's on a terminal.
 *
 * A name, a damaged log or a file's name may hold control characters: C0, DELETE and C1 (ECMA-48, 5) are orders to a terminal, and the
 * marks that turn the direction of writing (Unicode Standard Annex 9, 2.1 to 2.4) let a line read as something else. On a screen of the
 * board they do no harm; what this program prints never holds them.
 */
#ifndef STERNBOARD_PLAIN_H
#define STERNBOARD_PLAIN_H

#include <stddef.h>

/* The bytes of the one character at the start of text, ended by NUL or not, if it must not reach a terminal: 1 to 3, else 0. Newlines are
 * among them. */
size_t plain_unprintable(const char *text, size_t len);

/* Puts a question mark in the place of each, so that the text is one plain line. */
void plain_line(char *text);

#endif
