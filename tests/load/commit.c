/* The other floor: one row, one transaction, one sync, with the very settings of the log (WAL, synchronous FULL).
 *
 *   commit FILE COUNT PERIOD_US     prints one line: the median and the 99th percentile in microseconds
 */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

static double now_us(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e6 + (double)t.tv_nsec / 1e3;
}

static int rising(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

#define COUNT_MAX 100000

static double took[COUNT_MAX];

int main(int argc, char **argv)
{
    if (argc != 4)
        return 64;
    size_t count = (size_t)strtoul(argv[2], NULL, 10);
    sqlite3 *db = NULL;
    sqlite3_stmt *insert = NULL;
    if (count == 0 || count > COUNT_MAX)
        return 64;
    if (sqlite3_open(argv[1], &db) != SQLITE_OK)
        return 74;
    if (sqlite3_exec(
            db, "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; CREATE TABLE t(seq INTEGER PRIMARY KEY, text TEXT)",
            NULL, NULL, NULL) != SQLITE_OK)
        return 74;
    if (sqlite3_prepare_v2(db, "INSERT INTO t(text) VALUES(printf('%0300d', ?1))", -1, &insert, NULL) != SQLITE_OK)
        return 74;
    for (size_t i = 0; i < count; i++) {
        (void)usleep((useconds_t)strtoul(argv[3], NULL, 10));
        double start = now_us();
        (void)sqlite3_bind_int64(insert, 1, (sqlite3_int64)i);
        if (sqlite3_step(insert) != SQLITE_DONE)
            return 74;
        (void)sqlite3_reset(insert);
        took[i] = now_us() - start;
    }
    qsort(took, count, sizeof *took, rising);
    (void)printf("%.0f %.0f\n", took[count / 2], took[count * 99 / 100]);
    (void)sqlite3_finalize(insert);
    (void)sqlite3_close(db);
    return 0;
}
