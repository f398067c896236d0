#include "clock.h"

#include <fcntl.h>
#include <time.h>
#include <unistd.h>

#include "board/check.h"

#define UTC_KNOWN_FROM_MS 1735689600000 /* 2025-01-01T00:00:00Z */

static int64_t read_ms(clockid_t id)
{
    struct timespec at;
    CHECK(clock_gettime(id, &at) == 0);
    return (int64_t)at.tv_sec * 1000 + at.tv_nsec / 1000000;
}

struct hub_time clock_now(void)
{
    int64_t utc_ms = read_ms(CLOCK_REALTIME);
    return (struct hub_time){
        .boot_ms = read_ms(CLOCK_BOOTTIME),
        .utc_ms = utc_ms >= UTC_KNOWN_FROM_MS ? utc_ms : 0,
    };
}

struct timespec clock_deadline(int64_t wait_ms)
{
    int64_t until_ms = read_ms(CLOCK_REALTIME) + wait_ms;
    return (struct timespec){.tv_sec = (time_t)(until_ms / 1000), .tv_nsec = (long)(until_ms % 1000 * 1000000)};
}

static int hex_value(char digit)
{
    if (digit >= '0' && digit <= '9')
        return digit - '0';
    return digit >= 'a' && digit <= 'f' ? digit - 'a' + 10 : -1;
}

uint64_t clock_boot_id(void)
{
    char text[64];
    int fd = open("/proc/sys/kernel/random/boot_id", O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return 0;
    ssize_t len = read(fd, text, sizeof text);
    (void)close(fd);
    uint64_t id = 0;
    int digits = 0;
    for (ssize_t i = 0; i < len && digits < 16; i++) {
        int value = hex_value(text[i]);
        if (value < 0)
            continue; /* a hyphen */
        id = id << 4 | (uint64_t)value;
        digits++;
    }
    return digits == 16 ? id : 0;
}
