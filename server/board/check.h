/* CHECK: a bug is reported and the program ends. Always compiled in.
 *
 * A failed CHECK means that the program's own reasoning is wrong, never that a user or a disk did something odd. The board is
 * then not to be trusted; the restart folds the log again, which is the one thing known to be good.
 */
#ifndef STERNBOARD_CHECK_H
#define STERNBOARD_CHECK_H

/* Prints the place and the condition on standard error and aborts. Defined once, in server/check.c. */
_Noreturn void check_failed(const char *file, int line, const char *condition);

#define CHECK(condition) ((condition) ? (void)0 : check_failed(__FILE__, __LINE__, #condition))

#endif
