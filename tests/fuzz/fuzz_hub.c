/* Whatever connections may say to the hub, in any order and from any of them, while time passes, the disk stalls and the server dies.
 *
 * One act a line. The first letter says which, the second which of the pages (0 the helm, 1 and 2 crew, 3 a guest, 4 a page without
 * a key); the rest is text.
 *
 *   s1{...}   page 1 says this                    n {...}   a new connection says this before any hello, and goes
 *   h1        page 1 connects and says hello      c1        page 1 is cut off
 *   w 1500    so many ms pass                     d         the disk stalls, or goes on
 *   r         the server dies and comes back      R         and the machine has booted anew
 *
 * In what is said @ stands for the page's id, # for its next number in the lane that the text names, $ for the entry that this page
 * was last sent; so that changing or dropping a line leaves the others in force.
 *
 * After each act (hub_support.h): every screen's board, kept from patches alone, is the hub's; the hub's invariants hold; the folded
 * journal is the live board. At the end the server dies once more and comes back to the same.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../unit/hub_support.h"
#include "board/check.h"
#include "fuzz.h"
#include "limit.h"

enum { PAGES = 5, ACTS_MAX = 48, PASS_MAX_MS = 60000, GROWTH = 40 };

struct scene {
    struct bench bench;
    struct page *page[PAGES];
};

static const char *key_of(int page)
{
    return page < 3 ? CREW_KEY : page == 3 ? GUEST_KEY : NULL;
}

/* The text with what its signs stand for; room is GROWTH times as long as the line. */
static size_t fill_in(const struct page *page, const char *line, size_t len, char *room)
{
    enum lane lane = memmem(line, len, ".e.", 3) ? LANE_EMERGENCY : LANE_ORDINARY;
    char id[40], *at = room;
    for (size_t i = 0; i < len; i++) {
        if (line[i] == '@')
            at += sprintf(at, "%016llx", (unsigned long long)page->id);
        else if (line[i] == '#')
            at += sprintf(at, "%d", page->top[lane] + 1);
        else if (line[i] == '$')
            at += sprintf(at, "%s", id_text(page->patched.id, id));
        else
            *at++ = line[i];
    }
    return (size_t)(at - room);
}

/* A tap that was taken moves the page's own count on, as in a browser. */
static void count_on(struct page *page)
{
    struct entry_id id = page->answer.id;
    if ((page->answer.is == ANSWER_IS_SEEN || page->answer.is == ANSWER_IS_REFUSED) && id.sender == page->id &&
        id.n > page->top[id.lane])
        page->top[id.lane] = id.n;
}

static void say(struct scene *scene, struct page *page, const char *line, size_t len)
{
    if (page->conn < 0)
        return;
    char *text = malloc(len * GROWTH + 1);
    CHECK(text != NULL);
    size_t filled = fill_in(page, line, len, text);
    if (filled <= LIMIT_MESSAGE_BYTES)
        hub_recv(scene->bench.hub, scene->bench.now, page->conn, text, filled);
    free(text);
    bench_settle(&scene->bench);
    count_on(page);
}

static void say_unmet(struct scene *scene, const char *line, size_t len)
{
    struct hub *hub = scene->bench.hub;
    struct peer peer = {.address = 99};
    int conn = hub_join(hub, scene->bench.now, &peer), code = 0;
    if (conn < 0)
        return;
    hub_recv(hub, scene->bench.now, conn, line, len);
    for (struct frame *frame; (frame = hub_next(hub, conn, &code)) != NULL;)
        frame_drop(frame);
    hub_gone(hub, scene->bench.now, conn);
    bench_settle(&scene->bench);
}

static void connect_page(struct page *page, int index)
{
    if (page->conn < 0)
        page_hello(page, page->token[0] ? NULL : key_of(index), NULL);
}

static int64_t read_ms(const char *text, size_t len)
{
    int64_t ms = 0;
    for (size_t i = 0; i < len && ms < PASS_MAX_MS; i++)
        if (text[i] >= '0' && text[i] <= '9')
            ms = ms * 10 + (text[i] - '0');
    return ms < PASS_MAX_MS ? ms : PASS_MAX_MS;
}

static void act(struct scene *scene, const char *line, size_t len)
{
    if (len < 2)
        return;
    int index = (unsigned char)line[1] % PAGES;
    struct page *page = scene->page[index];
    switch (line[0]) {
    case 's': say(scene, page, line + 2, len - 2); break;
    case 'n': say_unmet(scene, line + 2, len - 2); break;
    case 'h': connect_page(page, index); break;
    case 'c':
        if (page->conn >= 0)
            page_cut(page);
        break;
    case 'w': bench_pass(&scene->bench, read_ms(line + 2, len - 2)); break;
    case 'd': scene->bench.disk_stalls = !scene->bench.disk_stalls; break;
    case 'r':
    case 'R': bench_restart(&scene->bench, line[0] == 'R'); break;
    default: break;
    }
}

static void open_scene(struct scene *scene)
{
    bench_open_trip(&scene->bench, &scene->page[0], &scene->page[1], &scene->page[2]);
    scene->page[3] = page_open(&scene->bench, key_of(3), VIEW_GUEST, 0);
    scene->page[4] = page_open(&scene->bench, key_of(4), VIEW_NONE, 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t len)
{
    static struct scene scene;
    const char *text = (const char *)bytes, *line;
    size_t left = len, line_len;
    open_scene(&scene);
    for (int i = 0; i < ACTS_MAX && fuzz_line(&text, &left, &line, &line_len); i++)
        act(&scene, line, line_len);
    scene.bench.disk_stalls = false;
    bench_settle(&scene.bench);
    bench_restart(&scene.bench, false);
    bench_settle(&scene.bench);
    bench_close(&scene.bench);
    return 0;
}
