/* sim_hub - the real board, hub and log under a simulator: one command in, what followed from it out.
 *
 * The simulator (sim.ts) owns time, the network, the disk's faults and the crashes; this program owns nothing but the hub in its
 * memory and the log on its disk. Reads stdin, writes stdout; every command is one line, some followed by bytes.
 *
 *   clear CHANCES                               from here on the disk is one in memory (disk.h), empty, whose chances begin there: a
 *                                               new story. Without it the log lies on the system's
 *   start DIR RUN BOOT RANDOM BOOT_MS UTC_MS FAULT AT
 *                                               opens or makes the log in DIR and starts a hub from it: `o LAST_SEQ` of the
 *                                               log as it was found, or `n WORDS`: why the server could not start
 *   join BOOT_MS UTC_MS ADDRESS                 j CONN
 *   recv BOOT_MS UTC_MS CONN LEN, LEN bytes     one message of a page
 *   gone BOOT_MS UTC_MS CONN
 *   tick BOOT_MS UTC_MS
 *   slow CONN 0|1                               1: frames for it stay in the hub
 *   append FAULT AT                             commits what is to be committed; the hub is not told yet. `r ok`, `r failed`
 *   checkpoint FAULT AT                         moves the -wal into the file. `r ok`, `r failed`
 *   saved BOOT_MS UTC_MS ok|slow|failed         tells the hub what became of it
 *   stop                                        the server ends as when told to: the log is closed
 *   kill 0|1                                    all memory is gone; 1: the system too forgets what failed to reach the disk
 *   power SECTOR                                the power is cut: what was not synced is lost, or some of it
 *   rot                                         one bit on the disk turns over; no server runs
 *   digest                                      d DIGEST REV of the live board
 *   board                                       e LEN, LEN bytes: the live board as text for people
 *   fold                                        d DIGEST 0 of the board folded anew from the file, by nothing but the board
 *   dump                                        e LEN, LEN bytes for each row of the file
 *   board                                       e LEN, LEN bytes: the live board as text for people
 *   check EVERY                                 looks at the invariants after every so many commands only: each is a whole fold
 *   verify                                      v FINDINGS ROWS, after e LEN, LEN bytes for each; or `n WORDS`: the log
 *                                               cannot be opened
 *
 * FAULT: well read write sync full stops, as disk.h has them; from the AT-th operation on until the command is done. After `stops`
 * has come the server is dead: `r failed`, and nothing but kill or power follows.
 *
 * After each, frames for connections that can be written: `f CONN LEN`, LEN bytes, or `c CONN CODE`; and last a line
 *
 *   . NEXT_MS LAST_SEQ SAVED_UP_TO REV ROWS     when a tick is due; how many rows wait to be committed
 *
 * While the hub lives its invariants are checked after every command, unless told otherwise. Anything unexpected ends the program
 * with a message.
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "board/journal.h"
#include "debrief/rules.h"
#include "disk.h"
#include "hash.h"
#include "hub/hub.h"
#include "limit.h"
#include "load.h"
#include "log/log.h"
#include "log/verify.h"
#include "proto_json.h"
#include "reader.h"

/* Devices are kept as if their file was saved at once. */
struct sim {
    bool in_memory;  /* the disk */
    struct hub *hub; /* NULL: no server runs */
    struct log *log;
    char dir[512];
    bool slow[LIMIT_CONNS];
    bool joined[LIMIT_CONNS];
    int64_t next_ms, appended_seq;
    int64_t check_every, commands;
    struct hub_device devices[LIMIT_DEVICES];
    size_t device_count;
    struct rules rules; /* every server has the shipped ones */
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

/* ---- a command's words ------------------------------------------------------------------------------------------------ */

enum { WORDS_MAX = 10 };
struct words {
    const char *at[WORDS_MAX];
    int count;
};

/* Cuts the line up in its place. */
static void words_of(char *line, struct words *words)
{
    char *rest = NULL;
    words->count = 0;
    for (char *at = strtok_r(line, " \n", &rest); at != NULL && words->count < WORDS_MAX;
         at = strtok_r(NULL, " \n", &rest))
        words->at[words->count++] = at;
}

static const char *word(const struct words *words, int index)
{
    if (index >= words->count)
        give_up("too few words", words->count > 0 ? words->at[0] : "an empty line");
    return words->at[index];
}

static int64_t number(const struct words *words, int index)
{
    char *end;
    int64_t value = strtoll(word(words, index), &end, 10);
    if (*end != '\0')
        give_up("not a number", words->at[index]);
    return value;
}

static uint64_t hex(const struct words *words, int index)
{
    char *end;
    uint64_t value = strtoull(word(words, index), &end, 16);
    if (*end != '\0')
        give_up("not a hexadecimal number", words->at[index]);
    return value;
}

static bool says(const struct words *words, int index, const char *what)
{
    return strcmp(word(words, index), what) == 0;
}

/* ---- the disk -------------------------------------------------------------------------------------------------------- */

/* Arms what the two words from index on say. */
static void arm(const struct words *words, int index)
{
    static const char *const names[] = {"well", "read", "write", "sync", "full", "stops"};
    size_t fault = 0;
    while (fault < sizeof names / sizeof *names && !says(words, index, names[fault]))
        fault++;
    if (fault == sizeof names / sizeof *names)
        give_up("no such fault", words->at[index]);
    disk_arm((enum disk_fault)fault, (int32_t)number(words, index + 1), true);
}

static void disarm(void)
{
    disk_arm(DISK_WELL, 0, false);
}

static void print_result(enum err err, const struct msg *why)
{
    if (err == ERR_DATA)
        give_up("log", why->text);
    if (err != ERR_NONE && why->text[0] == '\0')
        give_up("log", "it failed without a word");
    (void)printf("r %s\n", err == ERR_NONE ? "ok" : "failed");
}

static void append(struct sim *sim, const struct words *words)
{
    struct msg why = {""};
    enum err err = ERR_NONE;
    size_t count = hub_batch(sim->hub, sim->rows, LIMIT_BATCH_ROWS);
    arm(words, 1);
    if (count > 0)
        err = log_append(sim->log, sim->rows, count, &why);
    if (count > 0 && err == ERR_NONE)
        sim->appended_seq = sim->rows[count - 1].seq;
    disarm();
    print_result(err, &why);
}

static void checkpoint(struct sim *sim, const struct words *words)
{
    struct msg why = {""};
    arm(words, 1);
    enum err err = log_checkpoint(sim->log, &why);
    disarm();
    print_result(err, &why);
}

static void saved(struct sim *sim, struct hub_time now, const struct words *words)
{
    if (says(words, 3, "failed"))
        hub_saved(sim->hub, now, hub_saved_up_to(sim->hub), LOG_FAILED);
    else
        hub_saved(sim->hub, now, sim->appended_seq, says(words, 3, "slow") ? LOG_SLOW : LOG_OK);
}

/* ---- start and end -------------------------------------------------------------------------------------------------- */

static void forget(struct sim *sim)
{
    if (sim->hub != NULL)
        hub_free(sim->hub);
    if (sim->log != NULL)
        log_close(sim->log);
    sim->hub = NULL;
    sim->log = NULL;
    memset(sim->slow, 0, sizeof sim->slow);
    memset(sim->joined, 0, sizeof sim->joined);
}

static enum err open_hub(struct sim *sim, const struct words *words, struct log_open_info *info, struct msg *why)
{
    struct hub_seed seed = {.crew_key = "crew", .guest_key = "guest", .helm_number = "1234", .version = "sim"};
    seed.run_id = hex(words, 2);
    seed.boot_id = hex(words, 3);
    seed.random = (uint64_t)number(words, 4);
    enum err err = log_open(&sim->log, sim->dir, info, why);
    if (err != ERR_NONE)
        return err;
    seed.log_id = info->log_id;
    sim->hub = hub_new(&seed);
    hub_rules(sim->hub, &sim->rules);
    for (size_t i = 0; i < sim->device_count; i++)
        hub_seed_device(sim->hub, &sim->devices[i]);
    return load_log(sim->log, info->log_id, sim->hub, why);
}

/* A server that could not start is gone at once, and leaves its lock on nothing. */
static void start(struct sim *sim, const struct words *words)
{
    struct log_open_info info;
    struct hub_time now = {.boot_ms = number(words, 5), .utc_ms = number(words, 6)};
    struct msg why = {""};
    (void)snprintf(sim->dir, sizeof sim->dir, "%s", word(words, 1));
    arm(words, 7);
    enum err err = open_hub(sim, words, &info, &why);
    disarm();
    if (err != ERR_NONE) {
        if (why.text[0] == '\0')
            give_up("start", "it failed without a word");
        (void)printf("n %s\n", why.text);
        forget(sim);
        return;
    }
    hub_start(sim->hub, now);
    (void)printf("o %" PRId64 "\n", info.last_seq);
    sim->next_ms = now.boot_ms;
    sim->appended_seq = info.last_seq;
}

static void die(struct sim *sim, const struct words *words)
{
    disk_kill();
    forget(sim);
    if (says(words, 0, "kill"))
        disk_restart(number(words, 1) != 0);
    else
        disk_power_cut(number(words, 1));
}

static void clear(struct sim *sim, const struct words *words)
{
    forget(sim);
    if (!sim->in_memory)
        disk_install();
    sim->in_memory = true;
    disk_wipe((uint64_t)number(words, 1));
    sim->device_count = 0;
    sim->check_every = 1;
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
    if (!entry_read(line->text, (size_t)line->len, &entry, &error))
        give_up("fold", error.words);
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

static void print_board(const struct board *board)
{
    char text[BOARD_DUMP_BYTES];
    size_t len = board_dump(board, text, sizeof text);
    (void)printf("e %zu\n%s\n", len, text);
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
    (void)printf("e %zu\n%s\n", strlen(line), line);
}

static void verify(const struct sim *sim)
{
    struct verify_sums sums;
    struct msg why;
    enum err err = verify_log(sim->dir, finding, NULL, &sums, &why);
    if (err != ERR_NONE && sums.findings == 0)
        (void)printf("n %s\n", why.text);
    else
        (void)printf("v %" PRId64 " %" PRId64 "\n", sums.findings, sums.rows);
}

static struct hub_time time_of(const struct words *words)
{
    return (struct hub_time){.boot_ms = number(words, 1), .utc_ms = number(words, 2)};
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

static void gone(struct sim *sim, struct hub_time now, int conn)
{
    hub_gone(sim->hub, now, conn);
    sim->joined[conn] = sim->slow[conn] = false;
}

static int conn_of(const struct words *words, int index)
{
    int64_t conn = number(words, index);
    if (conn < 0 || conn >= LIMIT_CONNS)
        give_up("no such connection", words->at[index]);
    return (int)conn;
}

/* Commands with a time, of a living hub. */
static bool command_timed(struct sim *sim, const struct words *words)
{
    if (words->count < 3)
        return false;
    if (says(words, 0, "tick"))
        sim->next_ms = hub_tick(sim->hub, time_of(words));
    else if (says(words, 0, "join"))
        join(sim, time_of(words), (uint64_t)number(words, 3));
    else if (says(words, 0, "recv"))
        recv_message(sim, time_of(words), conn_of(words, 3), (size_t)number(words, 4));
    else if (says(words, 0, "gone"))
        gone(sim, time_of(words), conn_of(words, 3));
    else if (says(words, 0, "saved"))
        saved(sim, time_of(words), words);
    else
        return false;
    return true;
}

static bool command_live(struct sim *sim, const struct words *words)
{
    if (says(words, 0, "slow"))
        sim->slow[conn_of(words, 1)] = number(words, 2) != 0;
    else if (says(words, 0, "append"))
        append(sim, words);
    else if (says(words, 0, "checkpoint"))
        checkpoint(sim, words);
    else if (says(words, 0, "stop"))
        forget(sim);
    else if (says(words, 0, "digest"))
        print_digest(hub_board(sim->hub), hub_rev(sim->hub));
    else if (says(words, 0, "board"))
        print_board(hub_board(sim->hub));
    else if (says(words, 0, "check"))
        sim->check_every = number(words, 1);
    else
        return command_timed(sim, words);
    return true;
}

static void command(struct sim *sim, const struct words *words)
{
    if (says(words, 0, "start"))
        start(sim, words);
    else if (says(words, 0, "clear"))
        clear(sim, words);
    else if (says(words, 0, "kill") || says(words, 0, "power"))
        die(sim, words);
    else if (says(words, 0, "rot"))
        (void)disk_rot();
    else if (says(words, 0, "fold"))
        fold(sim);
    else if (says(words, 0, "dump"))
        dump(sim);
    else if (says(words, 0, "verify"))
        verify(sim);
    else if (sim->hub == NULL || !command_live(sim, words))
        give_up(sim->hub == NULL ? "no server runs" : "unknown command", word(words, 0));
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
    if (sim->commands++ % sim->check_every == 0)
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
    struct words words;
    char line[1024];
    sim->check_every = 1;
    struct msg why = {""};
    if (rules_read(rules_shipped, strlen(rules_shipped), "the shipped rule set", &sim->rules, &why) != ERR_NONE)
        give_up("the rules", why.text);
    while (fgets(line, sizeof line, stdin) != NULL) {
        words_of(line, &words);
        command(sim, &words);
        print_after(sim);
        (void)fflush(stdout);
    }
    forget(sim);
    disk_wipe(0);
    free(sim);
    return 0;
}
