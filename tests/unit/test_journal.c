/* The journal: entries in and out, corrections and their chains, copies, slices, the past, dry runs, and its limits. */
#include "board/journal.h"
#include "board_support.h"

/* A scene with its journal, kept as the hub keeps it live. */
struct book {
    struct scene scene;
    struct journal journal;
    struct refold refold;
};

static void give(struct journal *j)
{
    while (journal_needs(j)) {
        void *chunk = malloc(JOURNAL_CHUNK_BYTES);
        assert_non_null(chunk);
        journal_give(j, chunk);
    }
}

static struct book *book_open(void)
{
    struct book *book = calloc(1, sizeof *book);
    assert_non_null(book);
    journal_reset(&book->journal);
    scene_open(&book->scene);
    return book;
}

static void book_close(struct book *book)
{
    void *chunk;
    while ((chunk = journal_take_back(&book->journal)) != NULL)
        free(chunk);
    assert_int_equal(book->journal.count, 0);
    free(book);
}

/* The table of identities grows with the trip: in every state of it each entry is found, and no other. */
static void test_found_by_identity(void **state)
{
    enum { ENTRIES = 3 * JOURNAL_BUCKETS + 7 };
    struct book *book = book_open();
    struct entry *e = calloc(1, sizeof *e);
    (void)state;
    assert_non_null(e);
    for (int32_t i = 0; i < ENTRIES; i++) {
        struct entry_id id = {.sender = (uint64_t)(i % 5 + 1) * 0x9e3779b97f4a7c15u,
                              .n = i / 5 + 1,
                              .lane = i % 2 ? LANE_ORDINARY : LANE_EMERGENCY};
        *e = (struct entry){.id = id, .seq = i + 1, .kind = KIND_STOP};
        give(&book->journal);
        assert_int_equal(journal_find(&book->journal, id), -1);
        assert_int_equal(journal_append(&book->journal, e, OUTCOME_DONE), i);
        assert_int_equal(journal_find(&book->journal, id), i);
    }
    for (int32_t i = 0; i < ENTRIES; i++)
        assert_int_equal(journal_find(&book->journal, journal_row(&book->journal, i)->id), i);
    journal_reset(&book->journal);
    assert_int_equal(journal_find(&book->journal, e->id), -1);
    free(e);
    book_close(book);
}

/* Enters what the scene sent last, and folds again what a correction reaches. */
static int32_t note(struct book *book)
{
    struct journal *j = &book->journal;
    give(j);
    int32_t index = journal_append(j, &book->scene.entry, book->scene.outcome);
    if (journal_corrects(&book->scene.entry)) {
        int32_t first = journal_correct(j, index);
        if (first < j->count) {
            journal_refold_begin(j, &book->refold, first);
            while (!journal_refold_step(j, &book->refold, 3))
                continue;
            book->scene.board = book->refold.board;
            board_check(&book->scene.board);
        }
    }
    journal_keep(j, &book->scene.board);
    return index;
}

static int32_t note_line(struct book *book, int32_t line, enum line_state state)
{
    (void)line_is(&book->scene, line, state);
    return note(book);
}

static int32_t void_entry(struct book *book, int32_t target)
{
    tap(&book->scene, KIND_VOIDED)->body.voided.target = journal_row(&book->journal, target)->id;
    (void)send(&book->scene);
    return note(book);
}

static struct entry *amended(struct book *book, int32_t target, int32_t line, enum line_state state)
{
    struct entry *e = tap(&book->scene, KIND_LINE_IS);
    e->instead_of = journal_row(&book->journal, target)->id;
    e->body.line_is.line = line;
    e->body.line_is.state = state;
    return e;
}

static int32_t amend(struct book *book, int32_t target, int32_t line, enum line_state state)
{
    (void)amended(book, target, line, state);
    (void)send(&book->scene);
    return note(book);
}

static int32_t begin(struct book *book)
{
    (void)trip_tap(&book->scene);
    (void)send(&book->scene);
    return note(book);
}

static enum line_state line_state(const struct book *book, int32_t line)
{
    return state_of(&book->scene, line);
}

/* All at once from an empty board, as at a start: the same bytes as live. */
static void expect_same_when_folded(struct book *book)
{
    struct board folded;
    board_reset(&folded);
    journal_correct_all(&book->journal);
    journal_fold(&book->journal, &folded, 0, book->journal.count);
    assert_memory_equal(&folded, &book->scene.board, sizeof folded);
}

static void test_in_and_out(void **state)
{
    struct book *book = book_open();
    struct journal *j = &book->journal;
    struct entry out;
    (void)state;
    int32_t trip = begin(book);
    struct entry trip_entry = book->scene.entry;
    int32_t index = note_line(book, SHOTGUN, LINE_STATE_OUT);
    assert_int_equal(index, 1);
    assert_int_equal(journal_find(j, book->scene.entry.id), index);
    assert_int_equal(journal_find(j, (struct entry_id){77, 1, LANE_ORDINARY}), -1);
    journal_entry(j, index, &out);
    assert_memory_equal(&out, &book->scene.entry, sizeof out);
    journal_entry(j, trip, &out);
    assert_memory_equal(&out, &trip_entry, sizeof out);
    assert_int_equal(journal_row(j, index)->kind, KIND_LINE_IS);
    assert_int_equal(journal_row(j, index)->outcome, OUTCOME_DONE);
    assert_int_equal(journal_find_seq(j, 0), -1);
    assert_int_equal(journal_find_seq(j, 1), 0);
    assert_int_equal(journal_find_seq(j, 2), 1);
    assert_int_equal(journal_find_seq(j, 99), 1);
    expect_same_when_folded(book);
    book_close(book);
}

static void test_a_refused_entry_is_a_row_and_no_more(void **state)
{
    struct book *book = book_open();
    (void)state;
    (void)begin(book);
    struct board before = book->scene.board;
    (void)tap(&book->scene, KIND_LINE_IS);
    memcpy(book->scene.entry.refused, "line_unknown", sizeof "line_unknown");
    book->scene.outcome = OUTCOME_MOOT;
    int32_t refused = note(book);
    assert_true(journal_row(&book->journal, refused)->refused);
    tap(&book->scene, KIND_VOIDED)->body.voided.target = journal_row(&book->journal, refused)->id;
    memcpy(book->scene.entry.refused, "built_on", sizeof "built_on");
    int32_t index = note(book); /* a refused void voids nothing */
    assert_false(journal_row(&book->journal, refused)->voided);
    assert_int_equal(journal_correct(&book->journal, index), book->journal.count);
    expect_same_when_folded(book);
    assert_memory_equal(&book->scene.board, &before, sizeof before);
    book_close(book);
}

static void test_void_of_a_void(void **state)
{
    struct book *book = book_open();
    (void)state;
    (void)begin(book);
    struct board before = book->scene.board;
    int32_t out = note_line(book, SHOTGUN, LINE_STATE_OUT);
    struct board with = book->scene.board;
    int32_t first = void_entry(book, out);
    assert_memory_equal(&book->scene.board, &before, sizeof before);
    assert_true(journal_row(&book->journal, out)->voided);
    assert_int_equal(journal_row(&book->journal, out)->outcome, OUTCOME_MOOT);
    int32_t second = void_entry(book, first);
    assert_memory_equal(&book->scene.board, &with, sizeof with);
    assert_false(journal_row(&book->journal, out)->voided);
    (void)void_entry(book, second);
    assert_memory_equal(&book->scene.board, &before, sizeof before);
    expect_same_when_folded(book);
    book_close(book);
}

/* The strike goes, and what was built on it has nothing to stand on. */
static void test_a_void_takes_what_was_built_on_it(void **state)
{
    struct book *book = book_open();
    (void)state;
    (void)begin(book);
    struct entry_id id = strike(&book->scene, SHOTGUN);
    int32_t struck = note(book);
    (void)strike_ended(&book->scene, id, STRIKE_END_ON);
    int32_t on = note(book);
    (void)void_entry(book, struck);
    assert_int_equal(journal_row(&book->journal, on)->outcome, OUTCOME_MOOT);
    assert_int_equal(book->scene.board.counts.hooked, 0);
    assert_int_equal(line_state(book, SHOTGUN), LINE_STATE_IN);
    expect_same_when_folded(book);
    book_close(book);
}

static void test_amended_in_its_place(void **state)
{
    struct book *book = book_open();
    (void)state;
    (void)begin(book);
    int32_t out = note_line(book, SHOTGUN, LINE_STATE_OUT);
    int64_t at_ms = book->scene.now_ms;
    book->scene.by = RUTH;
    int32_t amendment = amend(book, out, PORT_FLAT, LINE_STATE_FOULED);
    assert_int_equal(line_state(book, SHOTGUN), LINE_STATE_IN);
    assert_int_equal(line_state(book, PORT_FLAT), LINE_STATE_FOULED);
    assert_int_equal(line_of(&book->scene, PORT_FLAT)->since_ms, at_ms);
    assert_int_equal(line_of(&book->scene, PORT_FLAT)->by, TOBIAS);
    assert_int_equal(journal_row(&book->journal, out)->replaced_by, amendment);
    int32_t again = amend(book, amendment, PORT_FLAT, LINE_STATE_SETTING); /* an amendment amended */
    assert_int_equal(line_state(book, PORT_FLAT), LINE_STATE_SETTING);
    int32_t other = amend(book, out, SHOTGUN, LINE_STATE_NOT_KNOWN); /* of two amendments the later holds */
    assert_int_equal(line_state(book, PORT_FLAT), LINE_STATE_IN);
    assert_int_equal(line_state(book, SHOTGUN), LINE_STATE_NOT_KNOWN);
    (void)void_entry(book, other);
    assert_int_equal(line_state(book, PORT_FLAT), LINE_STATE_SETTING);
    (void)void_entry(book, again);
    assert_int_equal(line_state(book, PORT_FLAT), LINE_STATE_FOULED);
    (void)void_entry(book, amendment);
    assert_int_equal(line_state(book, PORT_FLAT), LINE_STATE_IN);
    assert_int_equal(line_state(book, SHOTGUN), LINE_STATE_OUT);
    (void)void_entry(book, out);
    assert_int_equal(line_state(book, SHOTGUN), LINE_STATE_IN);
    expect_same_when_folded(book);
    book_close(book);
}

/* A voided amendment that was amended itself: the first correction is gone, so the second stands in no place. */
static void test_an_amendment_of_a_void_one(void **state)
{
    struct book *book = book_open();
    (void)state;
    (void)begin(book);
    int32_t out = note_line(book, SHOTGUN, LINE_STATE_OUT);
    int32_t first = amend(book, out, SHOTGUN, LINE_STATE_FOULED);
    (void)amend(book, first, SHOTGUN, LINE_STATE_SETTING);
    (void)void_entry(book, first);
    assert_int_equal(line_state(book, SHOTGUN), LINE_STATE_OUT);
    expect_same_when_folded(book);
    book_close(book);
}

/* Whatever a log says: what cannot be taken back stands, an amendment keeps the kind, and a void is not amended. */
static void test_what_corrects_nothing(void **state)
{
    struct book *book = book_open();
    (void)state;
    (void)begin(book);
    (void)tap(&book->scene, KIND_OVERBOARD);
    (void)send(&book->scene);
    int32_t overboard = note(book);
    int32_t out = note_line(book, SHOTGUN, LINE_STATE_OUT);
    struct board before = book->scene.board;
    int32_t index = void_entry(book, overboard);
    assert_int_equal(journal_row(&book->journal, index)->target, -1);
    (void)tap(&book->scene, KIND_STRIKE);
    book->scene.entry.instead_of = journal_row(&book->journal, out)->id;
    (void)send(&book->scene);
    (void)note(book);
    tap(&book->scene, KIND_VOIDED)->body.voided.target = journal_row(&book->journal, out)->id;
    book->scene.entry.instead_of = journal_row(&book->journal, index)->id;
    (void)send(&book->scene);
    (void)note(book);
    tap(&book->scene, KIND_VOIDED)->body.voided.target = (struct entry_id){99, 1, LANE_ORDINARY};
    (void)send(&book->scene);
    index = note(book);
    assert_memory_equal(&book->scene.board, &before, sizeof before);
    expect_same_when_folded(book);
    assert_int_equal(journal_row(&book->journal, index)->outcome, OUTCOME_MOOT);
    book_close(book);
}

/* Past thousands of entries: copies are kept, thinned, dropped by a correction and taken again. */
static void test_copies(void **state)
{
    struct book *book = book_open();
    struct journal *j = &book->journal;
    int32_t marked = 0;
    (void)state;
    (void)begin(book);
    for (int32_t i = 1; i < 70000; i++) {
        int32_t index = note_line(book, 1 + i % 5, i % 2 == 0 ? LINE_STATE_IN : LINE_STATE_OUT);
        marked = i == 40000 ? index : marked;
    }
    assert_int_equal(j->stride, 2 * JOURNAL_STRIDE);
    assert_int_equal(j->copy_count, 70000 / j->stride + 1);
    (void)void_entry(book, marked);
    assert_int_equal(j->copy_count, 70000 / j->stride + 1);
    expect_same_when_folded(book);
    book_close(book);
}

/* Entries that come while the fold goes on are folded with the rest; the board that is behind is not copied. */
static void test_a_fold_in_slices(void **state)
{
    struct book *book = book_open();
    struct journal *j = &book->journal;
    (void)state;
    (void)begin(book);
    int32_t out = note_line(book, SHOTGUN, LINE_STATE_OUT);
    for (int32_t i = 0; i < JOURNAL_STRIDE - 3; i++)
        (void)note_line(book, PORT_FLAT, LINE_STATE_OUT);
    tap(&book->scene, KIND_VOIDED)->body.voided.target = journal_row(j, out)->id;
    (void)send(&book->scene);
    give(j);
    int32_t first = journal_correct(j, journal_append(j, &book->scene.entry, OUTCOME_DONE));
    assert_int_equal(first, out);
    journal_refold_begin(j, &book->refold, first);
    assert_false(journal_refold_step(j, &book->refold, 10));
    assert_true(j->refolding);
    assert_int_equal(j->count, JOURNAL_STRIDE);
    journal_keep(j, &book->scene.board);
    assert_int_equal(j->copy_count, 1);
    (void)line_is(&book->scene, PORT_TEASER, LINE_STATE_OUT);
    give(j);
    (void)journal_append(j, &book->scene.entry, OUTCOME_DONE);
    struct moot_report report;
    journal_dry_void(j, JOURNAL_STRIDE, &report); /* from the copy that is left */
    assert_int_equal(report.count, 0);
    assert_true(journal_refold_step(j, &book->refold, JOURNAL_MAX));
    assert_int_equal(j->copy_count, 2);
    book->scene.board = book->refold.board;
    assert_int_equal(line_state(book, SHOTGUN), LINE_STATE_IN);
    assert_int_equal(line_state(book, PORT_TEASER), LINE_STATE_OUT);
    expect_same_when_folded(book);
    book_close(book);
}

static void test_the_past_as_it_was_seen(void **state)
{
    struct book *book = book_open();
    struct board seen[8], past;
    (void)state;
    board_reset(&seen[0]);
    (void)begin(book);
    seen[1] = book->scene.board;
    int32_t out = note_line(book, SHOTGUN, LINE_STATE_OUT);
    seen[2] = book->scene.board;
    (void)note_line(book, PORT_FLAT, LINE_STATE_OUT);
    seen[3] = book->scene.board;
    int32_t gone = void_entry(book, out);
    seen[4] = book->scene.board;
    (void)void_entry(book, gone);
    seen[5] = book->scene.board;
    (void)amend(book, out, SHOTGUN, LINE_STATE_FOULED);
    seen[6] = book->scene.board;
    for (int32_t to = 0; to <= 6; to++) {
        journal_at(&book->journal, &past, to);
        assert_memory_equal(&past, &seen[to], sizeof past);
    }
    expect_same_when_folded(book);
    book_close(book);
}

/* ---- dry runs ---- */

static void test_dry_void(void **state)
{
    struct book *book = book_open();
    struct moot_report report;
    (void)state;
    (void)begin(book);
    struct entry_id id = strike(&book->scene, SHOTGUN);
    int32_t struck = note(book);
    (void)strike_ended(&book->scene, id, STRIKE_END_ON);
    int32_t on = note(book);
    int32_t other = note_line(book, PORT_FLAT, LINE_STATE_OUT);
    (void)fight_ended(&book->scene, id, FIGHT_END_BOATED);
    int32_t boated = note(book);
    struct board before = book->scene.board;
    journal_dry_void(&book->journal, struck, &report);
    assert_int_equal(report.count, 2);
    assert_int_equal(report.shown, 2);
    assert_int_equal(report.index[0], on);
    assert_int_equal(report.index[1], boated);
    journal_dry_void(&book->journal, other, &report);
    assert_int_equal(report.count, 0);
    assert_false(journal_row(&book->journal, struck)->voided);
    expect_same_when_folded(book);
    assert_memory_equal(&book->scene.board, &before, sizeof before);
    book_close(book);
}

static void test_dry_void_counts_more_than_it_shows(void **state)
{
    struct book *book = book_open();
    struct moot_report report;
    (void)state;
    (void)begin(book);
    struct entry_id id = hook(&book->scene, SHOTGUN);
    book->scene.entry.id = id;
    book->scene.entry.kind = KIND_STRIKE;
    memset(&book->scene.entry.body, 0, sizeof book->scene.entry.body);
    book->scene.entry.body.strike.line = SHOTGUN;
    int32_t struck = note(book);
    tap(&book->scene, KIND_STRIKE_ENDED)->body.strike_ended.strike = id;
    book->scene.entry.body.strike_ended.end = STRIKE_END_ON;
    book->scene.outcome = OUTCOME_DONE;
    (void)note(book);
    for (int i = 0; i < 20; i++) {
        tap(&book->scene, KIND_FIGHT_ANGLER)->body.fight_angler.fight = id;
        book->scene.entry.body.fight_angler.hand = RUTH;
        (void)send(&book->scene);
        (void)note(book);
    }
    journal_dry_void(&book->journal, struck, &report);
    assert_int_equal(report.count, 21);
    assert_int_equal(report.shown, MOOT_ROWS_MAX);
    book_close(book);
}

/* What only the server or a page noted is not counted: it follows by itself. */
static void test_dry_void_counts_acts(void **state)
{
    struct book *book = book_open();
    struct moot_report report;
    (void)state;
    (void)begin(book);
    struct entry_id id = strike(&book->scene, SHOTGUN);
    int32_t struck = note(book);
    tap(&book->scene, KIND_STRIKE_LAPSED)->body.strike_lapsed.strike = id;
    (void)send(&book->scene);
    expect_done(&book->scene);
    (void)note(book);
    journal_dry_void(&book->journal, struck, &report);
    assert_int_equal(report.count, 0);
    book_close(book);
}

static void test_dry_void_of_a_correction(void **state)
{
    struct book *book = book_open();
    struct moot_report report;
    (void)state;
    (void)begin(book);
    struct entry_id id = strike(&book->scene, SHOTGUN);
    int32_t struck = note(book);
    int32_t gone = void_entry(book, struck);
    (void)strike(&book->scene, SHOTGUN);
    int32_t anew = note(book);
    journal_dry_void(&book->journal, gone, &report); /* the first strike again: the second is told twice */
    assert_int_equal(report.count, 1);
    assert_int_equal(report.index[0], anew);
    assert_true(journal_row(&book->journal, struck)->voided);
    assert_int_equal(journal_find(&book->journal, id), struck);
    book_close(book);
}

static void test_dry_amendment(void **state)
{
    struct book *book = book_open();
    struct moot_report report;
    (void)state;
    (void)begin(book);
    int32_t out = note_line(book, SHOTGUN, LINE_STATE_OUT);
    (void)hook(&book->scene, SHOTGUN); /* noted nowhere: today's board has it, the one of then has not */
    (void)amended(book, out, SHOTGUN, LINE_STATE_IN);
    journal_dry_instead(&book->journal, out, &book->scene.entry, &report);
    assert_int_equal(report.refused, REFUSAL_NONE);
    assert_int_equal(report.count, 0);
    (void)amended(book, out, 20, LINE_STATE_IN);
    journal_dry_instead(&book->journal, out, &book->scene.entry, &report);
    assert_int_equal(report.refused, REFUSAL_LINE_UNKNOWN);
    assert_int_equal(report.about.line, 20);
    assert_int_equal(journal_row(&book->journal, out)->replaced_by, -1);
    book_close(book);
}

static void test_dry_amendment_and_what_it_makes_moot(void **state)
{
    struct book *book = book_open();
    struct moot_report report;
    (void)state;
    (void)begin(book);
    (void)note_line(book, SHOTGUN, LINE_STATE_OUT);
    (void)line_taken(&book->scene, SHOTGUN);
    int32_t taken = note(book);
    int32_t fouled = note_line(book, SHOTGUN, LINE_STATE_FOULED);
    (void)line_taken(&book->scene, SHOTGUN);
    int32_t again = note(book);
    (void)amended(book, fouled, SHOTGUN, LINE_STATE_IN);
    journal_dry_instead(&book->journal, fouled, &book->scene.entry, &report);
    assert_int_equal(report.count, 1);
    assert_int_equal(report.index[0], again);
    struct entry wrong = book->scene.entry;
    journal_dry_instead(&book->journal, taken, &wrong, &report);
    assert_int_equal(report.refused, REFUSAL_INSTEAD_KIND);
    /* an amendment voided with its target is judged by nobody */
    (void)void_entry(book, fouled);
    journal_dry_instead(&book->journal, fouled, &wrong, &report);
    assert_int_equal(report.refused, REFUSAL_NONE);
    book_close(book);
}

static void test_dry_amendment_of_what_stands(void **state)
{
    struct book *book = book_open();
    struct moot_report report;
    (void)state;
    int32_t trip = begin(book);
    struct entry again = book->scene.entry;
    journal_dry_instead(&book->journal, trip, &again, &report);
    assert_int_equal(report.refused, REFUSAL_NOT_VOIDABLE);
    int32_t gone = void_entry(book, note_line(book, SHOTGUN, LINE_STATE_OUT));
    again = book->scene.entry;
    journal_dry_instead(&book->journal, gone, &again, &report);
    assert_int_equal(report.refused, REFUSAL_INSTEAD_KIND);
    book_close(book);
}

/* ---- limits ---- */

static void test_chunks_stay_for_the_next_trip(void **state)
{
    struct book *book = book_open();
    struct journal *j = &book->journal;
    (void)state;
    assert_true(journal_needs(j));
    (void)begin(book);
    int32_t given = j->chunk_count;
    assert_int_equal(j->chunk_used, 2);
    journal_reset(j);
    assert_int_equal(j->count, 0);
    assert_int_equal(j->chunk_used, 0);
    assert_int_equal(j->chunk_count, given);
    assert_false(journal_needs(j));
    assert_int_equal(journal_find(j, book->scene.entry.id), -1);
    book_close(book);
}

static void test_full(void **state)
{
    struct book *book = book_open();
    struct journal *j = &book->journal;
    (void)state;
    assert_false(journal_full(j));
    j->count = JOURNAL_MAX;
    assert_true(journal_full(j));
    j->count = 0;
    j->chunk_count = JOURNAL_CHUNKS_MAX;
    j->chunk_used = JOURNAL_CHUNKS_MAX - 1;
    assert_true(journal_full(j));
    assert_false(journal_needs(j));
    j->chunk_count = 0;
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_found_by_identity),
        cmocka_unit_test(test_in_and_out),
        cmocka_unit_test(test_a_refused_entry_is_a_row_and_no_more),
        cmocka_unit_test(test_void_of_a_void),
        cmocka_unit_test(test_a_void_takes_what_was_built_on_it),
        cmocka_unit_test(test_amended_in_its_place),
        cmocka_unit_test(test_an_amendment_of_a_void_one),
        cmocka_unit_test(test_what_corrects_nothing),
        cmocka_unit_test(test_copies),
        cmocka_unit_test(test_a_fold_in_slices),
        cmocka_unit_test(test_the_past_as_it_was_seen),
        cmocka_unit_test(test_dry_void),
        cmocka_unit_test(test_dry_void_counts_more_than_it_shows),
        cmocka_unit_test(test_dry_void_counts_acts),
        cmocka_unit_test(test_dry_void_of_a_correction),
        cmocka_unit_test(test_dry_amendment),
        cmocka_unit_test(test_dry_amendment_and_what_it_makes_moot),
        cmocka_unit_test(test_dry_amendment_of_what_stands),
        cmocka_unit_test(test_chunks_stay_for_the_next_trip),
        cmocka_unit_test(test_full),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
