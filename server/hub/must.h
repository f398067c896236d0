/* Memory that must be there. Everything a client can make the hub keep is bounded before it is allocated (limit.h), so
 * running out means that the machine is in trouble the hub cannot mend: it ends, and the restart folds the log. */
#ifndef STERNBOARD_HUB_MUST_H
#define STERNBOARD_HUB_MUST_H

#include <stddef.h>

#include "board/check.h"

static inline void *must(void *memory)
{
    CHECK(memory != NULL);
    return memory;
}

#endif
