#include "board/check.h"

#include <stdio.h>
#include <stdlib.h>

_Noreturn void check_failed(const char *file, int line, const char *condition)
{
    (void)fprintf(stderr, "sternboard: a bug: %s:%d: %s does not hold. Please report this line.\n", file, line,
                  condition);
    abort();
}
