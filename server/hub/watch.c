#include "watch.h"

#include "own.h"

static struct watch *find_page(struct hub *hub, uint64_t page)
{
    for (int32_t i = 0; i < hub->watch_end; i++)
        if (hub->watch[i].page == page)
            return &hub->watch[i];
    return NULL;
}

static struct watch *find_conn(struct hub *hub, int32_t conn)
{
    for (int32_t i = 0; i < hub->watch_end; i++)
        if (hub->watch[i].page != 0 && hub->watch[i].conn == conn)
            return &hub->watch[i];
    return NULL;
}

/* A free place, or that of the page longest without a connection; there are twice as many places as connections. */
static struct watch *add_page(struct hub *hub)
{
    struct watch *oldest = NULL;
    for (int32_t i = 0; i < hub->watch_end; i++) {
        struct watch *watch = &hub->watch[i];
        if (watch->page == 0)
            return watch;
        if (watch->conn < 0 && (oldest == NULL || watch->reach_ms < oldest->reach_ms))
            oldest = watch;
    }
    if (hub->watch_end < WATCH_MAX)
        return &hub->watch[hub->watch_end++];
    CHECK(oldest != NULL);
    return oldest;
}

static void set_reach(struct hub *hub, struct watch *watch, enum page_reach reach)
{
    if (watch->reach == reach)
        return;
    watch->reach = reach;
    watch->reach_ms = hub->now.boot_ms;
}

void watch_joined(struct hub *hub, int32_t conn_index)
{
    const struct conn *conn = &hub->conn[conn_index];
    struct watch *watch = find_page(hub, conn->page);
    if (watch == NULL) {
        watch = add_page(hub);
        *watch = (struct watch){.page = conn->page, .reach = PAGE_REACH_HERE, .reach_ms = hub->now.boot_ms};
    }
    set_reach(hub, watch, PAGE_REACH_HERE);
    watch->conn = conn_index;
    watch->device = conn->device;
    watch->view = conn->view;
    if (conn->hand != 0)
        watch->hand = conn->hand;
}

void watch_gone(struct hub *hub, int32_t conn)
{
    struct watch *watch = find_conn(hub, conn);
    if (watch == NULL)
        return;
    watch->conn = -1;
    watch->reach = PAGE_REACH_LOST;
    watch->reach_ms = hub->now.boot_ms;
}

void watch_heard(struct hub *hub, int32_t conn)
{
    struct watch *watch = find_conn(hub, conn);
    if (watch != NULL && watch->reach == PAGE_REACH_LOST)
        set_reach(hub, watch, PAGE_REACH_HERE);
}

void watch_visible(struct hub *hub, int32_t conn, bool visible)
{
    struct watch *watch = find_conn(hub, conn);
    if (watch != NULL)
        set_reach(hub, watch, visible ? PAGE_REACH_HERE : PAGE_REACH_ASLEEP);
}

void watch_hand(struct hub *hub, uint64_t page, int32_t hand)
{
    struct watch *watch = find_page(hub, page);
    if (watch == NULL)
        return;
    watch->hand = hand;
    watch->told_hand = hand;
}

static bool told_page(const struct watch *watch)
{
    return watch->told && watch->told_device == watch->device && watch->told_hand == watch->hand &&
           watch->told_view == watch->view;
}

/* Boot clock; INT64_MAX: the log knows all there is to know. */
static int64_t due_ms(const struct watch *watch)
{
    if (!watch->told)
        return 0;
    if (told_page(watch) && watch->told_reach == watch->reach)
        return INT64_MAX;
    int64_t due = watch->told_ms + LIMIT_PRESENCE_MS;
    bool gone = watch->reach == PAGE_REACH_LOST && watch->conn < 0;
    return gone && watch->reach_ms + LIMIT_GONE_MS > due ? watch->reach_ms + LIMIT_GONE_MS : due;
}

/* What the log is told. A page that the board has no room for is told of once too, and not again and again. */
static void note(struct hub *hub, struct watch *watch)
{
    if (told_page(watch)) {
        struct body_page_state *state = &own_begin(hub, KIND_PAGE_STATE)->page_state;
        state->page = watch->page;
        state->state = watch->reach;
    } else {
        struct body_page_joined *joined = &own_begin(hub, KIND_PAGE_JOINED)->page_joined;
        joined->page = watch->page;
        joined->device = watch->device;
        joined->hand = watch->hand;
        joined->view = watch->view;
        joined->state = watch->reach;
    }
    watch->told_ms = hub->now.boot_ms;
    watch->told = true;
    if (own_take(hub) == OWN_NO_ROOM)
        return;
    watch->told_device = watch->device;
    watch->told_hand = watch->hand;
    watch->told_view = watch->view;
    watch->told_reach = watch->reach;
}

void watch_all(struct hub *hub)
{
    for (int32_t i = 0; i < hub->watch_end; i++) {
        struct watch *watch = &hub->watch[i];
        watch->told = watch->told && watch->conn < 0;
        if (watch->page != 0 && watch->conn >= 0 && watch->reach != PAGE_REACH_LOST)
            note(hub, watch);
    }
}

/* Silence is measured from the last message, so a page becomes lost at a time that can be told ahead. */
static int64_t silence(struct hub *hub, struct watch *watch)
{
    if (watch->conn < 0 || watch->reach == PAGE_REACH_LOST)
        return INT64_MAX;
    int64_t due = hub->conn[watch->conn].heard_ms + LIMIT_SILENT_MS;
    if (hub->now.boot_ms < due)
        return due;
    set_reach(hub, watch, PAGE_REACH_LOST);
    return INT64_MAX;
}

/* The helm is a device's: loaded anew, its page at the helm is another one, and the board names the one that is there. */
static void helm_follows(struct hub *hub)
{
    const struct board_helm *helm = &hub->board.helm;
    const struct watch *known = find_page(hub, helm->page);
    if (helm->device == 0 || (known != NULL && known->conn >= 0))
        return;
    for (int32_t i = 0; i < hub->watch_end; i++) {
        const struct watch *watch = &hub->watch[i];
        bool there = watch->page != 0 && watch->conn >= 0 && watch->told && watch->view == VIEW_HELM;
        if (!there || watch->device != helm->device)
            continue;
        (void)own_helm(hub, watch->page, watch->device, watch->hand != 0 ? watch->hand : helm->hand);
        return;
    }
}

/* Does this device show another page now? Then what it showed before is never coming back: a page that is loaded anew is a new
 * one. One whose connection stands is only silent, behind another tab. The helm's own page stays to be seen, for its being lost
 * is what the crew has to know. */
static bool left_behind(const struct hub *hub, const struct board_page *page)
{
    bool other = false;
    if (page->page == 0 || page->state != PAGE_REACH_LOST || page->page == hub->board.helm.page)
        return false;
    for (int32_t i = 0; i < hub->watch_end; i++) {
        const struct watch *watch = &hub->watch[i];
        if (watch->page == 0 || watch->conn < 0)
            continue;
        if (watch->page == page->page)
            return false;
        other = other || watch->device == page->device;
    }
    return other;
}

/* Takes such pages off the board; they would fill it in a day. One that comes back all the same joins anew. */
static void leave(struct hub *hub)
{
    for (int32_t i = 0; i < BOARD_PAGES_MAX; i++) {
        const struct board_page *page = &hub->board.pages[i];
        if (!left_behind(hub, page))
            continue;
        struct watch *watch = find_page(hub, page->page);
        struct body_page_state *state = &own_begin(hub, KIND_PAGE_STATE)->page_state;
        state->page = page->page;
        state->state = PAGE_REACH_LEFT;
        if (own_take(hub) == OWN_TAKEN && watch != NULL)
            *watch = (struct watch){0};
    }
}

/* A page that is gone for good makes room. */
static bool forget(struct hub *hub, struct watch *watch)
{
    if (watch->conn >= 0 || (watch->told && hub->now.boot_ms < watch->reach_ms + LIMIT_KEEP_PAGE_MS))
        return false;
    *watch = (struct watch){0};
    return true;
}

int64_t watch_run(struct hub *hub)
{
    int64_t next = INT64_MAX;
    for (int32_t i = 0; i < hub->watch_end; i++) {
        struct watch *watch = &hub->watch[i];
        if (watch->page == 0 || forget(hub, watch))
            continue;
        int64_t silent_ms = silence(hub, watch);
        if (due_ms(watch) <= hub->now.boot_ms)
            note(hub, watch);
        int64_t due = due_ms(watch) < silent_ms ? due_ms(watch) : silent_ms;
        next = due < next ? due : next;
    }
    helm_follows(hub);
    leave(hub);
    while (hub->watch_end > 0 && hub->watch[hub->watch_end - 1].page == 0)
        hub->watch_end--;
    return next;
}
