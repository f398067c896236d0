/* The loop is the one thread of sockets, hub and board; the log's writer (log/writer.h) is the other, and the only one that waits
 * for a disk. Each turn of the loop:
 *
 *   sockets and timers ─▶ what the writer has to tell ─▶ what is due in the hub ─▶ screens ─▶ next batch to the writer
 *
 * The first screens come first: rows that a turn brought wait one turn more, in which the frames of a few leave. A writer woken before
 * them takes a processor, of two, from whoever is to read them; one woken after the last of many has kept its tap waiting.
 *
 * SIGUSR1: the rule sets are read again; nothing else changes. The way out, on the first other signal: what was seen is saved first (a stalled disk is waited for, but not for ever), then each
 * screen is told goodbye. A second signal cuts the waiting short.
 */
#include "serve.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/signalfd.h>
#include <sys/stat.h>
#include <unistd.h>

#include "board/check.h"
#include "certificate.h"
#include "clock.h"
#include "desk.h"
#include "hub/hub.h"
#include "join.h"
#include "limit.h"
#include "load.h"
#include "log/folder.h"
#include "log/keys.h"
#include "log/log.h"
#include "log/spare.h"
#include "log/writer.h"
#include "net/net.h"
#include "notify.h"
#include "one_file.h"
#include "plain.h"
#include "rule_file.h"

#define FILES_MAX      1024 /* open at once; libwebsockets takes memory for as many as there may be */
#define TURN_MS        250  /* the longest wait of the loop: the writer's chores want a few turns a second */
#define TURN_OUT_MS    20   /* and on the way out */
#define TURN_FRAMES_MS 1    /* and while rows wait for their frames to leave */
#define SCREENS_FIRST  4    /* that have their frames before the disk is woken */
#define STOP_SAVE_MS   10000
#define STOP_SCREEN_MS 1500

enum stage {
    STAGE_OPEN,
    STAGE_SAVING,  /* told to stop; what was seen is being saved */
    STAGE_CLOSING, /* the screens are being told */
    STAGE_DONE
};

struct server {
    const struct options *options;
    struct log *log;
    struct keys *keys;
    struct hub *hub;
    struct log_writer *writer;
    struct spare *spare; /* or NULL */
    struct desk *desk;
    struct net *net;
    struct rules *rules;
    struct certificate certificate; /* all zero without TLS */
    struct notify notify;
    int listen_fd, signal_fd;
    struct log_row *rows; /* LIMIT_BATCH_ROWS of them */
    bool saving;          /* a batch is with the writer */
    int64_t seen_seq;     /* the hub's last row when the writer's work was last looked at */
    bool screens_first;   /* the writer's work waits for this turn's frames, which are few */
    enum log_state told;  /* what the hub last heard of the disk */
    enum stage stage;
    int64_t stage_until_ms;
};

/* ---- start --------------------------------------------------------------------------------------------------------- */

/* Signals come as something to read, in the loop like all else. SIGPIPE: a screen that went is told by the write itself. */
static int open_signals(void)
{
    sigset_t set;
    (void)sigemptyset(&set);
    (void)sigaddset(&set, SIGINT);
    (void)sigaddset(&set, SIGTERM);
    (void)sigaddset(&set, SIGUSR1);
    (void)signal(SIGPIPE, SIG_IGN);
    CHECK(sigprocmask(SIG_BLOCK, &set, NULL) == 0);
    int fd = signalfd(-1, &set, SFD_NONBLOCK | SFD_CLOEXEC);
    CHECK(fd >= 0);
    return fd;
}

static void limit_files(void)
{
    struct rlimit limit;
    if (getrlimit(RLIMIT_NOFILE, &limit) == 0) {
        limit.rlim_cur = limit.rlim_max < FILES_MAX ? limit.rlim_max : FILES_MAX;
        (void)setrlimit(RLIMIT_NOFILE, &limit);
    }
}

static enum err add_names(const struct options *options, struct names *names, struct msg *why)
{
    names_init(names, options->port, options->tls);
    for (int32_t i = 0; i < options->name_count; i++)
        if (!names_add(names, options->names[i]))
            return err_set(why, ERR_USAGE, "--name takes a plain name such as board.local, or NAME:PORT, not \"%s\".",
                           options->names[i]);
    names_refresh(names);
    return ERR_NONE;
}

static void complain(const char *words)
{
    (void)fprintf(stderr, "sternboard: %s\n", words);
}

/* A mistake in the file ends nothing: what was there before is kept, and said so. */
static void read_rules(struct server *server)
{
    struct msg why;
    bool own;
    if (rule_file_read(server->options, server->rules, &own, &why)) {
        complain(why.text);
        complain(server->rules->count > 0
                     ? "The rule sets read before are kept."
                     : "No rule set is read: the next trip goes on with that of the last one, if it had one.");
        return;
    }
    hub_rules(server->hub, server->rules);
    const struct rule_set *set = &server->rules->sets[0];
    if (!server->options->quiet)
        (void)printf("Fish are counted by \"%s\", dated %s%s, from the next trip's start on. Check the current rule.\n",
                     set->name, set->dated, own ? "" : ", an example that the program carries");
    (void)fflush(stdout);
}

static void wake(void *context)
{
    const struct server *server = context;
    net_wake(server->net);
}

static enum err open_data(struct server *server, int64_t *saved_seq, struct msg *why)
{
    struct log_open_info info;
    bool made;
    folder_make_parents(server->options->data);
    enum err err = log_open(&server->log, server->options->data, &info, why);
    *saved_seq = info.last_seq;
    if (!err)
        err = keys_open(server->options->data, server->keys, &made, why);
    if (!err)
        err = load_hub(server->log, &info, server->keys, clock_now(), &server->hub, why);
    return err;
}

static enum err open_certificate(struct server *server, struct net_options *net, struct msg *why)
{
    const struct options *options = server->options;
    struct certificate *certificate = &server->certificate;
    net->tls_chain = certificate->chain;
    net->tls_key = certificate->key;
    net->authority = certificate->authority;
    if (!options->tls)
        return ERR_NONE;
    if (options->tls_cert)
        return certificate_own(certificate, options->tls_cert, options->tls_key, why);
    return certificate_make(certificate, options->data, &net->names, clock_now().utc_ms, why);
}

/* Data first, so that a second start on the same data is told so and not that the port is in use; but a folder that is not there
 * yet is not made for a port that cannot be had. */
static enum err open_port_and_data(struct server *server, int *listen_fd, int64_t *saved_seq, struct msg *why)
{
    const struct options *options = server->options;
    bool there = access(options->data, F_OK) == 0;
    enum err err = there ? ERR_NONE : net_bind(options->address, options->port, listen_fd, why);
    if (!err)
        err = open_data(server, saved_seq, why);
    if (!err && there)
        err = net_bind(options->address, options->port, listen_fd, why);
    return err;
}

static enum err open_all(struct server *server, struct msg *why)
{
    struct net_options net = {.now = clock_now};
    int64_t saved_seq;
    limit_files();
    (void)umask(077);
    enum err err = add_names(server->options, &net.names, why);
    if (!err)
        err = open_port_and_data(server, &net.listen_fd, &saved_seq, why);
    if (!err)
        err = open_certificate(server, &net, why);
    if (!err)
        err = net_listen(net.listen_fd, server->options->port, why);
    if (err)
        return err;
    server->signal_fd = open_signals();
    net.watch_fd = server->signal_fd;
    net.hub = server->hub;
    server->desk = desk_start(server->options->data, embed_find(ONE_FILE_PAGE), wake, server);
    net.slow = desk_slow(server->desk);
    server->net = net_open(&net);
    if (!server->net)
        return err_set(why, ERR_DATA, "TLS does not take the certificate in %s: the lines above say why.",
                       net.tls_chain);
    server->writer = log_writer_start(server->log, server->options->data, wake, server);
    if (server->options->spare)
        server->spare = spare_start(server->options->data, server->options->spare, saved_seq, wake, server);
    return ERR_NONE;
}

/* The log first; the stick may catch up then, and is waited for only so long. false: the log's disk hangs, and its thread was left
 * behind in it: log and hub are that thread's until the process has ended. */
static bool close_writers(struct server *server)
{
    int64_t behind = 0;
    bool ended = !server->writer || log_writer_stop(server->writer);
    if (!ended) {
        struct msg words = {.text = ""};
        (void)err_set(&words, ERR_NONE, "The disk with the log in %.200s does not answer, and is waited for no longer.",
                      server->options->data);
        complain(words.text);
    }
    if (server->spare)
        spare_stop(server->spare, &behind);
    if (behind > 0) {
        struct msg words = {.text = ""};
        (void)err_set(&words, ERR_NONE, "The spare copy in %.200s lacks the last %lld entries of the log.",
                      server->options->spare, (long long)behind);
        complain(words.text);
    }
    return ended;
}

static void close_all(struct server *server)
{
    bool ended = close_writers(server);
    bool desk_ended = server->desk && desk_stop(server->desk);
    if (server->net)
        net_close(server->net);
    if (desk_ended)
        desk_free(server->desk);
    if (server->hub && ended)
        hub_free(server->hub);
    if (server->log && ended)
        log_close(server->log);
    free(server->rules);
    free(server->rows);
    free(server->keys);
}

/* ---- the loop ------------------------------------------------------------------------------------------------------ */

/* Tells the hub when the disk became slow, or is well again; a failure it has been told already. */
static void tell_disk(struct server *server, struct hub_time now)
{
    enum log_state state = log_writer_state(server->writer, now.boot_ms);
    if (state != server->told && !hub_lost(server->hub)) {
        server->told = state;
        hub_saved(server->hub, now, hub_saved_up_to(server->hub), state);
    }
}

/* The disk works again; what is told of it is seen to by tell_disk(). */
static void go_on(const struct server *server)
{
    if (hub_lost(server->hub))
        complain(
            "The disk works again, but more was seen meanwhile than could be kept: end the board and start it again.");
    else
        complain("The disk works again: saving goes on.");
}

static void take_news(struct server *server, struct hub_time now)
{
    struct log_report report;
    while (log_writer_take(server->writer, &report)) {
        switch (report.news) {
        case LOG_NEWS_SAVED:
            server->saving = false;
            server->told = LOG_OK;
            hub_saved(server->hub, now, report.up_to_seq, LOG_OK);
            if (server->spare)
                spare_saved(server->spare, report.up_to_seq, now.boot_ms);
            break;
        case LOG_NEWS_FAILED:
            server->saving = false;
            complain(report.why.text);
            complain("Nothing more is saved for now. The board goes on from memory; emergencies go round, other taps "
                     "wait on "
                     "their phones. It goes on by itself when the disk works again.");
            break;
        case LOG_NEWS_MENDED: go_on(server); break;
        case LOG_NEWS_DAMAGED:
        case LOG_NEWS_KEYS: complain(report.why.text); break;
        }
    }
    tell_disk(server, now);
}

static void take_spare_news(struct server *server, struct hub_time now)
{
    struct msg news;
    bool trouble;
    if (!server->spare)
        return;
    spare_tick(server->spare, now.boot_ms);
    while (spare_take(server->spare, &trouble, &news)) {
        if (trouble)
            complain(news.text);
        else if (!server->options->quiet)
            (void)printf("%s\n", news.text);
    }
    (void)fflush(stdout);
    hub_spare(server->hub, spare_state(server->spare, now.boot_ms));
}

static void give_work(struct server *server, struct hub_time now)
{
    if (!server->saving && server->told != LOG_FAILED) {
        size_t count = hub_batch(server->hub, server->rows, LIMIT_BATCH_ROWS);
        server->saving = count > 0 && log_writer_put(server->writer, server->rows, count, now.boot_ms);
    }
    if (hub_devices_changed(server->hub)) {
        load_keys(server->hub, server->keys);
        log_writer_put_keys(server->writer, server->keys);
    }
    log_writer_tick(server->writer, now.boot_ms);
}

/* The first few screens have their frames before the writer is woken, which would take the processor from whoever reads them; the rest
 * have theirs while the disk works. Never two turns in a row: a crowd that taps without end must not keep the rows from the disk. */
static void put_screens_first(struct server *server)
{
    int64_t seq = hub_last_seq(server->hub);
    server->screens_first = seq != server->seen_seq && !server->screens_first;
    server->seen_seq = seq;
}

/* How long the loop may wait for something to happen. Frames that are due leave without any wait, if a screen reads them. */
static int64_t wait_of(const struct server *server, int64_t due_ms)
{
    int64_t longest_ms = server->screens_first ? TURN_FRAMES_MS : server->stage == STAGE_OPEN ? TURN_MS : TURN_OUT_MS;
    int64_t wait_ms = due_ms - clock_now().boot_ms;
    wait_ms = wait_ms < 0 ? 0 : wait_ms;
    return wait_ms < longest_ms ? wait_ms : longest_ms;
}

static void enter_stage(struct server *server, enum stage stage, int64_t until_ms)
{
    server->stage = stage;
    server->stage_until_ms = until_ms;
}

static bool all_saved(const struct server *server)
{
    return hub_saved_up_to(server->hub) == hub_last_seq(server->hub);
}

/* Is there nothing more to wait for from the disk? */
static bool settled(const struct server *server)
{
    return all_saved(server) || server->told == LOG_FAILED;
}

/* One step on the way out, when it is time for one. */
static void step_out(struct server *server, bool signalled, int64_t now_ms)
{
    struct signalfd_siginfo signal;
    signalled = signalled && read(server->signal_fd, &signal, sizeof signal) == (ssize_t)sizeof signal;
    if (signalled && signal.ssi_signo == SIGUSR1) {
        read_rules(server);
        signalled = false;
    }
    switch (server->stage) {
    case STAGE_OPEN:
        if (signalled) {
            enter_stage(server, STAGE_SAVING, now_ms + STOP_SAVE_MS);
            notify_stopping(&server->notify);
        }
        break;
    case STAGE_SAVING:
        if (signalled || settled(server) || now_ms > server->stage_until_ms) {
            hub_pulse(server->hub, clock_now());
            net_stop(server->net);
            enter_stage(server, STAGE_CLOSING, now_ms + STOP_SCREEN_MS);
        }
        break;
    case STAGE_CLOSING:
        if ((net_count(server->net) == 0 && settled(server)) || now_ms > server->stage_until_ms)
            enter_stage(server, STAGE_DONE, 0);
        break;
    case STAGE_DONE: break;
    }
}

static void run(struct server *server)
{
    int64_t due_ms = 0;
    while (server->stage != STAGE_DONE) {
        bool signalled = net_service(server->net, wait_of(server, due_ms));
        struct hub_time now = clock_now();
        take_news(server, now);
        take_spare_news(server, now);
        due_ms = hub_tick(server->hub, now);
        step_out(server, signalled, now.boot_ms);
        notify_tick(&server->notify, now.boot_ms);
        put_screens_first(server);
        net_flush(server->net, server->screens_first ? SCREENS_FIRST : LIMIT_SOCKETS);
        if (!server->screens_first)
            give_work(server, now);
    }
}

/* The board is worth having without its service manager: what goes wrong with that is said, and no more. */
static void tell_manager(struct server *server)
{
    struct msg why;
    enum err err = notify_open(&server->notify, &why);
    if (!err)
        err = notify_ready(&server->notify, &why);
    if (err)
        complain(why.text);
}

/* Is everything on the disk that anybody was shown? */
static enum err result(const struct server *server, struct msg *why)
{
    if (all_saved(server))
        return ERR_NONE;
    return err_set(
        why, ERR_IO,
        "%lld entries were seen and are not saved: the screens keep them, and bring them back when the board starts "
        "again on a disk that works.",
        (long long)(hub_last_seq(server->hub) - hub_saved_up_to(server->hub)));
}

/* ---- what the person at the machine is told ------------------------------------------------------------------------ */

/* A certificate of the owner's seldom stands for a bare address: then the first name is where to join. */
static const char *join_at(const struct options *options, const char *address)
{
    return options->tls_cert && options->name_count > 0 ? options->names[0] : address;
}

/* What a phone says of a certificate made here, and what ends that. */
static void greet_tls(const struct server *server, const struct join_place *place)
{
    char link[JOIN_LINK_LEN];
    if (!server->certificate.authority[0])
        return;
    join_link(link, place, "/authority.crt", "");
    (void)printf("%sPhones warn that they don't know this board. Where the page opens all the same, the board works; "
                 "iPhones want\n"
                 "the board's own authority first: open\n  %s\ninstall it in the phone's settings, and let it be "
                 "trusted. It can speak "
                 "for this boat's own network alone.\nIts SHA-256 is %s\n",
                 server->certificate.authority_made
                     ? "\nThe board's authority was made just now: phones that had an older one need this one.\n"
                     : "\n",
                 link, server->certificate.fingerprint);
}

static void greet(const struct server *server)
{
    enum { ADDRESSES = 8 };
    const struct options *options = server->options;
    char addresses[ADDRESSES][JOIN_ADDRESS_LEN], link[JOIN_LINK_LEN], data[sizeof options->data];
    int32_t count = 1;
    if (options->address && strcmp(options->address, "0.0.0.0") != 0 && strcmp(options->address, "::") != 0)
        (void)snprintf(addresses[0], sizeof addresses[0], "%s", options->address);
    else
        count = join_addresses(addresses, ADDRESSES);
    struct join_place place = {options->tls, join_at(options, addresses[0]), options->port};
    join_link(link, &place, "/", server->keys->crew);
    (void)printf("sternboard %s\n\nThe crew joins by this code, or at\n  %s\n\n", STERNBOARD_VERSION, link);
    join_code(stdout, link, isatty(STDOUT_FILENO));
    for (int32_t i = 1; i < count; i++) {
        struct join_place other = {options->tls, addresses[i], options->port};
        join_link(link, &other, "/", server->keys->crew);
        (void)printf("%s  %s\n", i == 1 ? "\nThis machine has other addresses; the crew may join there as well:\n" : "",
                     link);
    }
    for (int32_t i = 0; i < options->name_count; i++)
        (void)printf("It also answers to the name %s\n", options->names[i]);
    join_link(link, &place, "/guest", server->keys->guest);
    (void)printf("\nGuests look on at\n  %s\n", link);
    join_link(link, &place, "/helm", server->keys->crew);
    (void)printf("\nThe helm's tablet is at\n  %s\nand takes the helm with the number %s\n", link, server->keys->helm);
    greet_tls(server, &place);
    memcpy(data, options->data, sizeof data);
    plain_line(data);
    (void)printf("\nLog and keys lie in %s\nEnd the board with Ctrl-C.\n\n", data);
    (void)printf("The board is no safety equipment and never the only alarm. Shout first, then press.\n");
    (void)fflush(stdout);
}

enum err serve(const struct options *options, struct msg *why)
{
    struct server server = {.options = options};
    server.rows = calloc(LIMIT_BATCH_ROWS, sizeof *server.rows);
    server.keys = calloc(1, sizeof *server.keys);
    server.rules = calloc(1, sizeof *server.rules);
    CHECK(server.rows && server.keys && server.rules);
    enum err err = open_all(&server, why);
    if (!err) {
        if (!options->quiet)
            greet(&server);
        read_rules(&server);
        tell_manager(&server);
        run(&server);
        notify_close(&server.notify);
        err = result(&server, why);
    }
    close_all(&server);
    return err;
}
