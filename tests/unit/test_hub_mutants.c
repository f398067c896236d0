/* Messages that are almost right: thousands of good ones with a few bytes changed, dropped, doubled or swapped, from a seed. Each
 * gets at most one answer, the hub stays sound after every one, and every screen keeps the hub's board. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "hub_support.h"
#include "limit.h"

enum { MUTANTS = 3000, TEXT_MAX = 4096 };

static uint64_t chance = 20260101;

/* xorshift64 (Marsaglia 2003) */
static uint64_t next_chance(uint64_t below)
{
    chance ^= chance << 13;
    chance ^= chance >> 7;
    chance ^= chance << 17;
    return chance % below;
}

/* ' stands for ", @ for the page's id, # for the number. */
static const char *const good[] = {
    "{'t':'tap','id':'@.o.#','kind':'strike','v':1,'ago_ms':0,'by':2,'body':{'line':1}}",
    "{'t':'tap','id':'@.o.#','kind':'line_is','v':1,'ago_ms':9,'body':{'line':2,'state':'out'}}",
    "{'t':'tap','id':'@.o.#','kind':'clear_called','v':1,'ago_ms':0,'body':{'scope':'all','kept':[1,5]}}",
    "{'t':'tap','id':'@.o.#','kind':'hand_added','v':1,'ago_ms':0,'body':{'name':'J\\u00f6rn'}}",
    "{'t':'tap','id':'@.e.#','kind':'overboard','v':1,'ago_ms':0,'body':{}}",
    "{'t':'tap','id':'@.e.#','kind':'stop','v':1,'ago_ms':0,'body':{}}",
    "{'t':'beat','rev':#,'visible':true,'waiting':3}",
    "{'t':'fresh'}",
    "{'t':'preview','target':'@.o.#'}",
    "{'t':'take_helm','hand':2}",
};

static size_t fill_in(const char *form, uint64_t id, int32_t number, char *out)
{
    char *at = out;
    for (; *form != '\0'; form++)
        if (*form == '@')
            at += snprintf(at, 20, "%016llx", (unsigned long long)id);
        else if (*form == '#')
            at += snprintf(at, 20, "%d", number);
        else
            *at++ = *form == '\'' ? '"' : *form;
    return (size_t)(at - out);
}

static size_t mutate(char *text, size_t len)
{
    for (uint64_t times = 1 + next_chance(3); times > 0 && len > 2 && len < TEXT_MAX - 2; times--) {
        size_t at = (size_t)next_chance(len), other = (size_t)next_chance(len);
        char kept = text[at];
        switch (next_chance(5)) {
        case 0: text[at] = (char)next_chance(256); break;
        case 1: memmove(text + at, text + at + 1, len-- - at - 1); break;
        case 2: memmove(text + at + 1, text + at, len++ - at); break;
        case 3: text[at] = text[other], text[other] = kept; break;
        case 4: text[at] = "0123456789\"{}[]:,-e."[next_chance(20)]; break;
        }
    }
    return len;
}

static int32_t answers_of(const struct page *page)
{
    return page->answers + page->tolds + page->nos + page->previews;
}

static void test_mutants(void **state)
{
    (void)state;
    static struct bench bench;
    struct page *helm, *port, *star;
    char text[TEXT_MAX];
    int32_t answered = 0;
    bench_open_trip(&bench, &helm, &port, &star);
    for (int i = 0; i < MUTANTS; i++) {
        struct page *page = next_chance(2) ? port : star;
        const char *form = good[next_chance(sizeof good / sizeof *good)];
        enum lane lane = strstr(form, ".e.") ? LANE_EMERGENCY : LANE_ORDINARY;
        size_t mutant = mutate(text, fill_in(form, page->id, page->top[lane] + 1, text));
        int32_t before = answers_of(page);
        hub_recv(bench.hub, bench.now, page->conn, text, mutant);
        bench_settle(&bench);
        assert_true(page->conn >= 0);
        assert_true(answers_of(page) - before <= 1);
        answered += answers_of(page) - before;
        if (page->answer.is == ANSWER_IS_SEEN || page->answer.is == ANSWER_IS_REFUSED)
            page->top[page->answer.id.lane] = page->answer.id.sender == page->id ? page->answer.id.n : page->top[lane];
        bench_pass(&bench, 30);
    }
    assert_true(answered > MUTANTS / 2);
    page_say(port, "{\"t\":\"sail\"}");
    assert_string_equal(port->told.code, "message_unknown");
    bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_mutants)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
