/* Random bytes: an input, as time is. From the system's source, or in tests from a seed, so that a run can be repeated. */
#ifndef STERNBOARD_HUB_CHANCE_H
#define STERNBOARD_HUB_CHANCE_H

#include <stddef.h>
#include <stdint.h>

struct chance {
    uint64_t seed; /* 0: fill is asked */
    void (*fill)(void *bytes, size_t len);
};

void chance_bytes(struct chance *, void *bytes, size_t len);

#endif
