/* sim_hub - the real board, hub and log under a simulator: one command in, what followed from it out.
 *
 * The simulator (sim.ts) owns time, the network, the disk's delays and the crashes; this program owns nothing but the hub in its
 * memory and the log in its file. Reads stdin, writes stdout; every command is one line, some followed by bytes.
 *
 *   start DIR RUN BOOT RANDOM BOOT_MS UTC_MS    opens or makes the log in DIR and starts a hub from it
 *   join BOOT_MS UTC_MS ADDRESS                 j CONN
 *   recv BOOT_MS UTC_MS CONN LEN, LEN bytes     one message of a page
 *   gone BOOT_MS UTC_MS CONN
 *   tick BOOT_MS UTC_MS
 *   slow CONN 0|1                               1: frames for it stay in the hub
 *   append                                      commits what is to be committed; it is not told to the hub yet
 *   saved BOOT_MS UTC_MS ok|slow|failed         tells the hub what became of it
 *   kill                                        all memory is gone; the file stays
 *   digest                                      d DIGEST REV of the live board
 *   fold                                        d DIGEST 0 of the board folded anew from the file, by nothing but the board
 *   dump                                        e LEN, LEN bytes for each row of the file
 *   verify                                      v FINDINGS ROWS
 *   clear                                       removes the log's files in the DIR of the last start
 *
 * After each, frames for connections that can be written: `f CONN LEN`, LEN bytes, or `c CONN CODE`; and last a line
 *
 *   . NEXT_MS LAST_SEQ SAVED_UP_TO REV ROWS     when a tick is due; how many rows wait to be committed
 *
 * While the hub lives its invariants are checked after every command. Anything unexpected ends the program with a message.
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "board/check.h"
#include "board/journal.h"
#include "hub/hash.h"
#include "hub/hub.h"
#include "limit.h"
#include "load.h"
#include "log/log.h"
#include "log/verify.h"
#include "proto_json.h"
#include "reader.h"

/* Devices are kept as if their file was saved at once. */
struct sim {
    struct hub *hub; /* NULL: no server runs */
    struct log *log;
    char dir[512];
    bool slow[LIMIT_CONNS];
    bool joined[LIMIT_CONNS];
    int64_t next_ms, appended_seq;
    struct hub_device devices[LIMIT_DEVICES];
    size_t device_count;
    struct log_row rows[LIMIT_BATCH_ROWS];
    char message[LIMIT_MESSAGE_BYTES + 1];
};

static _Noreturn void give_up(const char *what, const char *why)
{
    (void)fprintf(stderr, "sim_hub: %s: %s\n", what, why);
    exit(1);
}

static void good(enum err err, const char *what, const struct msg *why)
{
    if (err != ERR_NONE)
        give_up(what, why->text);
}

/* ---- start and end -------------------------------------------------------------------------------------------------- */

static void start(struct sim *sim, const char *args)
{
    struct hub_seed seed = {.crew_key = "crew", .guest_key = "guest", .helm_number = "1234", .version = "sim"};
    struct log_open_info info;
    struct hub_time now;
    struct msg why;
    if (sscanf(args, "%511s %" SCNx64 " %" SCNx64 " %" SCNu64 " %" SCNd64 " %" SCNd64, sim->dir, &seed.run_id,
               &seed.boot_id, &seed.random, &now.boot_ms, &now.utc_ms) != 6)
        give_up("start", args);
    good(log_open(&sim->log, sim->dir, &info, &why), "log_open", &why);
    seed.log_id = info.log_id;
    sim->hub = hub_new(&seed);
    for (size_t i = 0; i < sim->device_count; i++)
        hub_seed_device(sim->hub, &sim->devices[i]);
    good(load_log(sim->log, info.log_id, sim->hub, &why), "load_log", &why);
    hub_start(sim->hub, now);
    sim->next_ms = now.boot_ms;
    sim->appended_seq = info.last_seq;
}

static void die(struct sim *sim)
{
    hub_free(sim->hub);
    log_close(sim->log);
    sim->hub = NULL;
    sim->log = NULL;
    memset(sim->slow, 0, sizeof sim->slow);
    memset(sim->joined, 0, sizeof sim->joined);
}

static void clear(struct sim *sim)
{
    static const char *const names[] = {"board.db", "board.db-wal", "board.db-shm", "lock"};
    char path[600];
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", sim->dir, names[i]);
        (void)unlink(path);
    }
    sim->device_count = 0;
}

/* ---- the disk -------------------------------------------------------------------------------------------------------- */

static void append(struct sim *sim)
{
    struct msg why;
    size_t count = hub_batch(sim->hub, sim->rows, LIMIT_BATCH_ROWS);
    if (count == 0)
        return;
    good(log_append(sim->log, sim->rows, count, &why), "log_append", &why);
    sim->appended_seq = sim->rows[count - 1].seq;
}

static void saved(struct sim *sim, struct hub_time now, const char *state)
{
    if (strcmp(state, "failed") == 0)
        hub_saved(sim->hub, now, hub_saved_up_to(sim->hub), LOG_FAILED);
    else
        hub_saved(sim->hub, now, sim->appended_seq, strcmp(state, "slow") == 0 ? LOG_SLOW : LOG_OK);
}

/* ---- looking in ------------------------------------------------------------------------------------------------------ */

struct folding {
    struct journal *journal;
};

static bool fold_row(void *context, const struct log_line *line)
{
    struct folding *folding = context;
    struct proto_error error;
    struct entry entry;
    cJSON *json = json_read(line->text, (size_t)line->len, &error);
    if (json == NULL || !entry_from_json(json, &entry, &error))
        give_up("fold", error.words);
    cJSON_Delete(json);
    while (journal_needs(folding->journal))
        journal_give(folding->journal, json_sure(malloc(JOURNAL_CHUNK_BYTES)));
    (void)journal_append(folding->journal, &entry, OUTCOME_MOOT);
    return true;
}

static void print_digest(const struct board *board, int64_t rev)
{
    uint8_t hash[HASH_BYTES];
    char hex[17];
    cJSON *json = board_to_json(board);
    char *text = json_sure(cJSON_PrintUnformatted(json));
    hash_bytes(text, strlen(text), hash);
    hash_hex(hash, 8, hex);
    (void)printf("d %s %" PRId64 "\n", hex, rev);
    free(text);
    cJSON_Delete(json);
}

/* The current trip of the file, folded by the board's own functions; the hub has no part in it. */
static void fold(const struct sim *sim)
{
    struct folding folding = {.journal = json_sure(calloc(1, sizeof(struct journal)))};
    struct board *board = json_sure(calloc(1, sizeof *board));
    struct log_open_info info;
    struct log *log;
    struct msg why;
    int64_t from_seq;
    good(log_open_read(&log, sim->dir, &info, &why), "log_open_read", &why);
    good(log_trip_start(log, &from_seq, &why), "log_trip_start", &why);
    journal_reset(folding.journal);
    good(log_read(log, from_seq > 0 ? from_seq : 1, fold_row, &folding, &why), "log_read", &why);
    log_close(log);
    journal_correct_all(folding.journal);
    board_reset(board);
    journal_fold(folding.journal, board, 0, folding.journal->count);
    print_digest(board, 0);
    for (void *chunk; (chunk = journal_take_back(folding.journal)) != NULL;)
        free(chunk);
    free(folding.journal);
    free(board);
}

static bool print_row(void *context, const struct log_line *line)
{
    (void)context;
    (void)printf("e %d\n%.*s\n", line->len, line->len, line->text);
    return true;
}

static void dump(const struct sim *sim)
{
    struct log_open_info info;
    struct log *log;
    struct msg why;
    good(log_open_read(&log, sim->dir, &info, &why), "log_open_read", &why);
    good(log_read(log, 1, print_row, NULL, &why), "log_read", &why);
    log_close(log);
}

static void finding(void *context, const char *line)
{
    (void)context;
    (void)fprintf(stderr, "sim_hub: verify: %s\n", line);
}

static void verify(const struct sim *sim)
{
    struct verify_sums sums;
    struct msg why;
    enum err err = verify_log(sim->dir, finding, NULL, &sums, &why);
    if (err != ERR_NONE && err != ERR_DATA)
        give_up("verify", why.text);
    (void)printf("v %" PRId64 " %" PRId64 "\n", sums.findings, sums.rows);
}

/* ---- commands -------------------------------------------------------------------------------------------------------- */

static void recv_message(struct sim *sim, struct hub_time now, int conn, size_t len)
{
    if (len > LIMIT_MESSAGE_BYTES || fread(sim->message, 1, len, stdin) != len || getchar() != '\n')
        give_up("recv", "the message is cut short");
    hub_recv(sim->hub, now, conn, sim->message, len);
}

static void join(struct sim *sim, struct hub_time now, uint64_t address)
{
    struct peer peer = {.address = address};
    int conn = hub_join(sim->hub, now, &peer);
    if (conn >= 0)
        sim->joined[conn] = true;
    (void)printf("j %d\n", conn);
}

/* Commands of a living hub. args follow the command's word. */
static void command_live(struct sim *sim, const char *word, const char *args)
{
    struct hub_time now = {0};
    char state[16];
    uint64_t address;
    size_t len;
    int conn, slow, read = 0;
    bool timed = sscanf(args, "%" SCNd64 " %" SCNd64 "%n", &now.boot_ms, &now.utc_ms, &read) == 2;
    const char *rest = args + read;
    if (strcmp(word, "tick") == 0 && timed) {
        sim->next_ms = hub_tick(sim->hub, now);
    } else if (strcmp(word, "join") == 0 && sscanf(rest, "%" SCNu64, &address) == 1) {
        join(sim, now, address);
    } else if (strcmp(word, "recv") == 0 && sscanf(rest, "%d %zu", &conn, &len) == 2) {
        recv_message(sim, now, conn, len);
    } else if (strcmp(word, "gone") == 0 && sscanf(rest, "%d", &conn) == 1) {
        hub_gone(sim->hub, now, conn);
        sim->joined[conn] = sim->slow[conn] = false;
    } else if (strcmp(word, "saved") == 0 && sscanf(rest, "%15s", state) == 1) {
        saved(sim, now, state);
    } else if (strcmp(word, "slow") == 0 && sscanf(args, "%d %d", &conn, &slow) == 2) {
        sim->slow[conn] = slow != 0;
    } else if (strcmp(word, "append") == 0) {
        append(sim);
    } else if (strcmp(word, "kill") == 0) {
        die(sim);
    } else if (strcmp(word, "digest") == 0) {
        print_digest(hub_board(sim->hub), hub_rev(sim->hub));
    } else {
        give_up("unknown command", word);
    }
}

static void command(struct sim *sim, const char *word, const char *args)
{
    if (strcmp(word, "start") == 0)
        start(sim, args);
    else if (strcmp(word, "clear") == 0)
        clear(sim);
    else if (strcmp(word, "fold") == 0)
        fold(sim);
    else if (strcmp(word, "dump") == 0)
        dump(sim);
    else if (strcmp(word, "verify") == 0)
        verify(sim);
    else if (sim->hub != NULL)
        command_live(sim, word, args);
    else
        give_up("no server runs", word);
}

/* ---- what followed --------------------------------------------------------------------------------------------------- */

static void print_frames(struct sim *sim, int conn)
{
    int code = 0;
    for (struct frame *frame; (frame = hub_next(sim->hub, conn, &code)) != NULL; frame_drop(frame)) {
        (void)printf("f %d %d\n", conn, frame->len);
        (void)fwrite(frame->text, 1, (size_t)frame->len, stdout);
        (void)putchar('\n');
    }
    if (code != 0)
        (void)printf("c %d %d\n", conn, code);
}

static void print_after(struct sim *sim)
{
    if (sim->hub == NULL) {
        (void)printf(". 0 0 0 0 0\n");
        return;
    }
    hub_check(sim->hub);
    for (int conn = 0; conn < LIMIT_CONNS; conn++)
        if (sim->joined[conn] && !sim->slow[conn] && hub_wants(sim->hub, conn))
            print_frames(sim, conn);
    if (hub_devices_changed(sim->hub))
        sim->device_count = hub_devices(sim->hub, sim->devices, LIMIT_DEVICES);
    (void)printf(". %" PRId64 " %" PRId64 " %" PRId64 " %" PRId64 " %zu\n", sim->next_ms, hub_last_seq(sim->hub),
                 hub_saved_up_to(sim->hub), hub_rev(sim->hub), hub_batch(sim->hub, sim->rows, LIMIT_BATCH_ROWS));
}

int main(void)
{
    struct sim *sim = json_sure(calloc(1, sizeof *sim));
    char line[1024], word[16];
    int read;
    while (fgets(line, sizeof line, stdin) != NULL) {
        if (sscanf(line, "%15s%n", word, &read) != 1)
            give_up("unknown command", line);
        command(sim, word, line + read);
        print_after(sim);
        (void)fflush(stdout);
    }
    free(sim);
    return 0;
}
