/* Random entries of every kind: whatever comes, the rules hold, and the same entries give the same board.
 *
 * The journal is tried against a model that knows nothing of marks and copies: it asks of each entry anew whether a later one
 * voids or replaces it, and folds everything from the first entry.
 */
#include "board/journal.h"
#include "board_random.h"
#include "board_support.h"
#include "codec.h"
#include "proto_json.h"

enum { ENTRIES = 100000, TRIPS = 300, TRIP_ENTRIES = 240 };

/* ---- one board ---- */

/* Admit, apply and check, with the promises that hold of every entry. */
static enum outcome try_entry(struct board *b, const struct entry *e)
{
    struct board before = *b;
    struct about about;
    enum refusal_code code = board_admit(b, e, &about);
    assert_memory_equal(b, &before, sizeof before);
    enum outcome outcome = board_apply(b, e);
    if (code != REFUSAL_NONE && outcome != OUTCOME_MOOT)
        fail_msg("%s is refused (%s), and yet does something", kind_info(e->kind)->name, refusal_code_name(code));
    if (outcome == OUTCOME_MOOT)
        assert_memory_equal(b, &before, sizeof before);
    bool before_over =
        e->kind == KIND_STOP && e->instead_of.n == 0 && before.stop.id.n == 0 && e->at_ms < before.stop.over_ms;
    if (e->kind == KIND_OVERBOARD || e->kind == KIND_STOP || e->kind == KIND_HURT)
        assert_true(code == REFUSAL_NONE && outcome == (before_over ? OUTCOME_MOOT : OUTCOME_DONE));
    board_check(b);
    return outcome;
}

/* Every strike, raise and hook-up has one end in the counts, or none yet. */
static void expect_ends_add_up(const struct board *b)
{
    const struct board_counts *n = &b->counts;
    int32_t strikes = 0, fights = 0, raises = 0;
    for (int32_t i = 0; i < BOARD_STRIKES_MAX; i++)
        strikes += b->strikes[i].id.n != 0;
    for (int32_t i = 0; i < BOARD_FIGHTS_MAX; i++)
        fights += b->fights[i].id.n != 0;
    for (int32_t i = 0; i < BOARD_RAISES_MAX; i++)
        raises += b->raises[i].id.n != 0;
    assert_int_equal(n->strikes, strikes + n->hooked + n->knockdowns + n->gone + n->ends_not_known);
    assert_int_equal(n->hooked,
                     fights + n->boated + n->released + n->pulled + n->broke_off + n->bitten_off + n->fights_not_known);
    assert_int_equal(n->raises, raises + n->raises_bit + n->raises_left + n->raises_not_known);
}

/* But for the ends not known, one of which is told after all. */
static void expect_counts_rise(const struct board *before, const struct board *now)
{
    struct board_counts old = before->counts, new = now->counts;
    assert_true(new.ends_not_known >= old.ends_not_known - 1);
    assert_true(new.fights_not_known >= old.fights_not_known - 1);
    assert_true(new.raises_not_known >= old.raises_not_known - 1);
    old.ends_not_known = old.fights_not_known = old.raises_not_known = 0;
    for (size_t i = 0; i < sizeof new / sizeof(int32_t); i++)
        assert_true(((const int32_t *)&new)[i] >= ((const int32_t *)&old)[i]);
    expect_ends_add_up(now);
}

static void test_whatever_comes(void **state)
{
    struct chance chance;
    struct board b, again;
    int32_t done[KIND_COUNT_] = {0};
    (void)state;
    for (int pass = 0; pass < 2; pass++) {
        struct entry e;
        chance_open(&chance, 1);
        board_reset(&b);
        for (int32_t i = 0; i < ENTRIES; i++) {
            struct board before = b;
            chance_entry(&chance, &b, &e);
            enum outcome outcome = pass == 0 ? try_entry(&b, &e) : board_apply(&b, &e);
            done[e.kind] += outcome == OUTCOME_DONE;
            if (e.kind != KIND_TRIP_STARTED)
                expect_counts_rise(&before, &b);
        }
        if (pass == 0)
            again = b;
    }
    assert_memory_equal(&again, &b, sizeof b);
    for (int kind = 0; kind < KIND_COUNT_; kind++) {
        if (done[kind] == 0)
            fail_msg("no entry of the kind %s ever did anything", kind_info((enum entry_kind)kind)->name);
    }
}

/* ---- on the wire ---- */

/* A screen that is only ever sent what changed holds what the server holds. */
static void patch(cJSON *screen, const struct board *before, const struct board *now)
{
    struct part_change changes[BOARD_CHANGES_MAX];
    size_t count = board_diff(before, now, changes, BOARD_CHANGES_MAX);
    for (size_t i = 0; i < count; i++) {
        char id[64];
        board_part_id(changes[i].gone ? before : now, changes[i].part, changes[i].slot, id);
        cJSON_DeleteItemFromObjectCaseSensitive(screen, id);
        if (!changes[i].gone)
            cJSON_AddItemToObject(screen, id, board_part_to_json(now, changes[i].part, changes[i].slot));
    }
}

static void expect_same_board(const cJSON *screen, const struct board *b)
{
    struct board read;
    struct proto_error why;
    cJSON *json = board_to_json(b);
    char *text = json_text(json);
    assert_true(cJSON_Compare(screen, json, true));
    assert_true(strlen(text) < 16 * 1024);
    assert_true(board_from_json(json, &read, &why)); /* every value within its bounds */
    free(text);
    cJSON_Delete(json);
}

static void test_a_screen_sent_the_changes(void **state)
{
    struct chance chance;
    struct board b;
    (void)state;
    chance_open(&chance, 2);
    board_reset(&b);
    cJSON *screen = board_to_json(&b);
    for (int32_t i = 0; i < ENTRIES / 10; i++) {
        struct board before = b;
        struct entry e;
        chance_entry(&chance, &b, &e);
        (void)board_apply(&b, &e);
        patch(screen, &before, &b);
        if (i % 25 == 0)
            expect_same_board(screen, &b);
    }
    expect_same_board(screen, &b);
    cJSON_Delete(screen);
}

/* ---- the journal against the model ---- */

struct trial {
    struct journal journal;
    struct refold refold;
    struct board live;
    int32_t count;
    struct entry entries[TRIP_ENTRIES];
    struct board seen[TRIP_ENTRIES + 1]; /* seen[k]: what the screens had after k entries */
};

static bool corrects(const struct entry *e, const struct entry *target)
{
    bool voids = e->kind == KIND_VOIDED;
    struct entry_id id = voids ? e->body.voided.target : e->instead_of;
    if (!id_is(id, target->id) || !kind_info(target->kind)->voidable)
        return false;
    return voids ? e->instead_of.n == 0 : e->kind == target->kind;
}

/* Is the entry voided by one that is not voided itself, among the first count? */
static bool model_void(const struct trial *t, int32_t index, int32_t count)
{
    for (int32_t i = index + 1; i < count; i++) {
        bool voids = t->entries[i].kind == KIND_VOIDED && corrects(&t->entries[i], &t->entries[index]);
        if (voids && !model_void(t, i, count))
            return true;
    }
    return false;
}

/* The body that stands in the entry's place: of its last amendment that is not void, and of that one's last one. */
static const struct entry *model_body(const struct trial *t, int32_t index, int32_t count)
{
    for (int32_t i = count - 1; i > index; i--) {
        bool amends = t->entries[i].kind != KIND_VOIDED && corrects(&t->entries[i], &t->entries[index]);
        if (amends && !model_void(t, i, count))
            return model_body(t, i, count);
    }
    return &t->entries[index];
}

static void model_fold(const struct trial *t, int32_t count, struct board *b)
{
    board_reset(b);
    for (int32_t i = 0; i < count; i++) {
        struct entry e = t->entries[i];
        if (e.kind == KIND_VOIDED || e.instead_of.n != 0 || model_void(t, i, count))
            continue;
        e.body = model_body(t, i, count)->body;
        (void)board_apply(b, &e);
    }
}

static void trial_take(struct trial *t, const struct entry *e, struct chance *chance)
{
    struct journal *j = &t->journal;
    enum outcome outcome = try_entry(&t->live, e);
    while (journal_needs(j))
        journal_give(j, calloc(1, JOURNAL_CHUNK_BYTES));
    int32_t index = journal_append(j, e, outcome);
    int32_t first = journal_corrects(e) ? journal_correct(j, index) : j->count;
    if (first < j->count) {
        journal_refold_begin(j, &t->refold, first);
        while (!journal_refold_step(j, &t->refold, 1 + chance_below(chance, 50)))
            continue;
        t->live = t->refold.board;
        board_check(&t->live);
    }
    journal_keep(j, &t->live);
    t->entries[t->count++] = *e;
    t->seen[t->count] = t->live;
}

/* In the order in which it happened; an entry that only notes what others did has no order of its own to keep. */
static void fold_by_time(const struct trial *t)
{
    int32_t order[TRIP_ENTRIES];
    struct board b;
    board_reset(&b);
    for (int32_t i = 0; i < t->count; i++) {
        int32_t k = i;
        for (; k > 0 && t->entries[order[k - 1]].at_ms > t->entries[i].at_ms; k--)
            order[k] = order[k - 1];
        order[k] = i;
    }
    for (int32_t i = 0; i < t->count; i++) {
        (void)journal_apply(&t->journal, order[i], &b);
        board_check(&b);
    }
}

static void trial_judge(struct trial *t, struct chance *chance)
{
    struct board b;
    struct moot_report report;
    model_fold(t, t->count, &b);
    assert_memory_equal(&t->live, &b, sizeof b);
    journal_correct_all(&t->journal);
    board_reset(&b);
    journal_fold(&t->journal, &b, 0, t->journal.count);
    assert_memory_equal(&t->live, &b, sizeof b);
    for (int i = 0; i < 5; i++) {
        int32_t to = chance_below(chance, t->count + 1);
        journal_at(&t->journal, &b, to);
        assert_memory_equal(&t->seen[to], &b, sizeof b);
        journal_dry_void(&t->journal, chance_below(chance, t->count), &report);
        assert_true(report.shown <= report.count);
    }
    board_reset(&b);
    journal_fold(&t->journal, &b, 0, t->journal.count); /* a dry run leaves no trace */
    assert_memory_equal(&t->live, &b, sizeof b);
    fold_by_time(t);
}

static void test_corrections_against_the_model(void **state)
{
    struct chance chance;
    struct trial *t = calloc(1, sizeof *t);
    void *chunk;
    (void)state;
    assert_non_null(t);
    chance_open(&chance, 3);
    for (int trip = 0; trip < TRIPS; trip++) {
        struct entry e;
        journal_reset(&t->journal);
        board_reset(&t->live);
        board_reset(&t->seen[0]);
        t->count = 0;
        chance.corrections_percent = 0;
        chance_trip(&chance, &e);
        trial_take(t, &e, &chance);
        chance.corrections_percent = 5 + trip % 20;
        while (t->count < TRIP_ENTRIES) {
            chance_entry(&chance, &t->live, &e);
            trial_take(t, &e, &chance);
        }
        trial_judge(t, &chance);
    }
    while ((chunk = journal_take_back(&t->journal)) != NULL)
        free(chunk);
    free(t);
}

/* The entry and its void together are as if neither had come. */
static void test_a_void_leaves_no_trace(void **state)
{
    struct chance chance;
    struct board with, without;
    struct trial *t = calloc(1, sizeof *t);
    void *chunk;
    (void)state;
    assert_non_null(t);
    chance_open(&chance, 4);
    for (int trip = 0; trip < TRIPS; trip++) {
        struct entry e;
        journal_reset(&t->journal);
        board_reset(&t->live);
        board_reset(&without);
        t->count = 0;
        chance_trip(&chance, &e);
        trial_take(t, &e, &chance);
        (void)board_apply(&without, &e);
        int32_t target = 1 + chance_below(&chance, 20);
        while (t->count < 40) {
            chance_entry(&chance, &t->live, &e);
            if (e.kind == KIND_VOIDED || (t->count == target && !kind_info(e.kind)->voidable))
                continue;
            if (t->count != target)
                (void)board_apply(&without, &e);
            trial_take(t, &e, &chance);
        }
        memset(&e, 0, sizeof e);
        e.kind = KIND_VOIDED;
        e.id = (struct entry_id){55, 1, LANE_ORDINARY};
        e.body.voided.target = t->entries[target].id;
        trial_take(t, &e, &chance);
        with = t->live;
        assert_memory_equal(&with, &without, sizeof with);
    }
    while ((chunk = journal_take_back(&t->journal)) != NULL)
        free(chunk);
    free(t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_whatever_comes),
        cmocka_unit_test(test_a_screen_sent_the_changes),
        cmocka_unit_test(test_corrections_against_the_model),
        cmocka_unit_test(test_a_void_leaves_no_trace),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
