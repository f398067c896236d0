#include "amend.h"

#include <stdio.h>
#include <string.h>

#include "board/parts.h"
#include "send.h"

/* Undo looks at what came since; after this many entries it is a matter for the log. */
#define UNDO_ENTRIES 4096

static struct entry_id target_of(const struct entry *entry)
{
    return entry->instead_of.n != 0 ? entry->instead_of : entry->body.voided.target;
}

enum refusal_code amend_target(const struct hub *hub, const struct entry *entry)
{
    int32_t index = journal_find(&hub->journal, target_of(entry));
    if (index < 0)
        return REFUSAL_TARGET_UNKNOWN;
    const struct journal_row *row = journal_row(&hub->journal, index);
    if (row->refused)
        return REFUSAL_TARGET_UNKNOWN;
    if (!kind_info(row->kind)->voidable || (row->kind == KIND_HAND_ADDED && entry->kind == KIND_VOIDED))
        return REFUSAL_NOT_VOIDABLE;
    if (row->voided)
        return REFUSAL_ALREADY_VOIDED;
    if (entry->instead_of.n != 0 && (row->kind != entry->kind || entry->kind == KIND_VOIDED))
        return REFUSAL_INSTEAD_KIND;
    return REFUSAL_NONE;
}

/* Is it a call that stands on the board? Somebody may be acting on it: it is called off, or taken down by the helm, where
 * everybody sees it, and does not vanish. */
static bool call_stands(const struct board *board, const struct journal_row *row)
{
    if (row->kind == KIND_STOP)
        return id_is(board->stop.id, row->id);
    if (row->kind == KIND_HURT)
        return hurt_find(board, row->id) != NULL && !hurt_find(board, row->id)->over;
    if (row->kind == KIND_CLEAR_CALLED)
        return id_is(board->clearing.id, row->id) && board->clearing.state == CLEAR_STATE_OPEN;
    const struct board_call *call = row->kind == KIND_CALL ? call_find(board, row->id) : NULL;
    return call != NULL && call->state != CALL_STATE_DONE && call->state != CALL_STATE_OFF;
}

/* Has this page done anything after the entry at index that still stands? */
static bool acted_since(const struct hub *hub, int32_t index, uint64_t sender)
{
    for (int32_t i = index + 1; i < hub->journal.count; i++) {
        const struct journal_row *row = journal_row(&hub->journal, i);
        bool act = kind_info(row->kind)->act && row->kind != KIND_VOIDED;
        if (row->id.sender == sender && act && !row->refused && !row->voided)
            return true;
    }
    return false;
}

/* The first entry that would do nothing any more, and whose it is. */
static enum refusal_code built_on(struct hub *hub, const struct moot_report *report, struct about *about)
{
    if (report->count == 0)
        return REFUSAL_NONE;
    journal_entry(&hub->journal, report->index[0], &hub->old_entry);
    about->entry = hub->old_entry.id;
    about->hand = hub->old_entry.by;
    return REFUSAL_BUILT_ON;
}

/* Both times are of the same page's clock, so an undo that was held up on the way is still an undo. */
static enum refusal_code undo_admit(struct hub *hub, const struct entry *entry, struct about *about)
{
    int32_t target = journal_find(&hub->journal, entry->body.voided.target);
    journal_entry(&hub->journal, target, &hub->old_entry);
    const struct kind_info *info = kind_info(hub->old_entry.kind);
    bool act = info->act && hub->old_entry.kind != KIND_VOIDED;
    if (act && !info->undoable)
        return REFUSAL_UNDO_CALL;
    if (hub->old_entry.id.sender != entry->id.sender)
        return REFUSAL_UNDO_NOT_YOURS;
    if (entry->at_ms - hub->old_entry.at_ms > LIMIT_UNDO_MS || hub->journal.count - target > UNDO_ENTRIES)
        return REFUSAL_UNDO_LATE;
    if (!act || acted_since(hub, target, entry->id.sender))
        return REFUSAL_UNDO_NOT_LAST;
    struct moot_report report;
    journal_dry_void(&hub->journal, target, &report);
    return built_on(hub, &report, about);
}

/* Its sender has not seen what it would make moot, as that of a void has, so it may make nothing moot: that takes a void, and the
 * act entered anew. */
static enum refusal_code instead_admit(struct hub *hub, const struct entry *entry, int32_t target, struct about *about)
{
    struct moot_report report;
    journal_dry_instead(&hub->journal, target, entry, &report);
    *about = report.about;
    if (report.refused != REFUSAL_NONE)
        return report.refused;
    if (entry->kind == KIND_HAND_ADDED && report.count > 0)
        return REFUSAL_NAME_TAKEN;
    return built_on(hub, &report, about);
}

enum refusal_code amend_admit(struct hub *hub, const struct entry *entry, struct about *about)
{
    enum refusal_code code = amend_target(hub, entry);
    struct moot_report report;
    if (code != REFUSAL_NONE)
        return code;
    int32_t target = journal_find(&hub->journal, target_of(entry));
    if (entry->instead_of.n != 0)
        return instead_admit(hub, entry, target, about);
    if (entry->body.voided.undo)
        return undo_admit(hub, entry, about);
    if (call_stands(&hub->board, journal_row(&hub->journal, target)))
        return REFUSAL_UNDO_CALL;
    journal_dry_void(&hub->journal, target, &report);
    return report.count == entry->body.voided.agreed ? REFUSAL_NONE : REFUSAL_MOOT_CHANGED;
}

static void preview_row(struct hub *hub, int32_t index, struct moot_row *row)
{
    journal_entry(&hub->journal, index, &hub->old_entry);
    row->id = hub->old_entry.id;
    row->by = hub->old_entry.by;
    (void)snprintf(row->kind, sizeof row->kind, "%s", kind_info(hub->old_entry.kind)->name);
}

void amend_preview(struct hub *hub, struct conn *conn, const struct msg_preview *preview)
{
    struct msg_preview_is is = {.target = preview->target};
    struct moot_report report;
    int32_t index = preview->target.n == 0 ? -1 : journal_find(&hub->journal, preview->target);
    if (conn->from != SOURCE_CREW) {
        send_refused(hub, conn, REFUSAL_NOT_ALLOWED);
        return;
    }
    if (index < 0) {
        send_refused(hub, conn, REFUSAL_TARGET_UNKNOWN);
        return;
    }
    journal_dry_void(&hub->journal, index, &report);
    is.count = report.count;
    is.rows_count = report.shown;
    for (int32_t i = 0; i < report.shown; i++)
        preview_row(hub, report.index[i], &is.rows[i]);
    msg_preview_is_encode(&is, send_begin(hub));
    send_one(hub, conn, LANE_ORDINARY);
}
