/* The machine's clocks, and how one boot of it is told from another. Read here and nowhere else; below, time is an input. */
#ifndef STERNBOARD_CLOCK_H
#define STERNBOARD_CLOCK_H

#include <stdint.h>
#include <time.h>

#include "hub/hub.h"

/* boot_ms counts sleep in (CLOCK_BOOTTIME). utc_ms is 0 while the machine shows a year before 2025: small computers without a
 * battery start in 1970 or at the date of their last shutdown, and wait for a network to learn better. */
struct hub_time clock_now(void);

/* So far from now on CLOCK_REALTIME, by which threads are waited for (pthread_timedjoin_np(3)). */
struct timespec clock_deadline(int64_t wait_ms);

/* A number of this boot of this machine, from /proc/sys/kernel/random/boot_id; 0 when it cannot be read. */
uint64_t clock_boot_id(void);

#endif
