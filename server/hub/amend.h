/* The rules of undo and correction. They are the hub's, because they are about who, when, and what else stands in the log; the
 * board only knows the present.
 *
 *     undo         this page's last act, within 20 s, when nothing was built on it; never a call that may have been heard
 *     correction   any crew page's, of any entry that may be taken back; who sends it has seen how many entries it makes moot
 *     instead_of   the same kind with another body, in the place of the first, when it makes no entry moot
 *
 * A call, a call to clear or a STOP is neither undone nor corrected away while it stands. A hand of the roster may be renamed
 * and never taken away: the hands after it would get other numbers, and what they did another's name.
 */
#ifndef STERNBOARD_HUB_AMEND_H
#define STERNBOARD_HUB_AMEND_H

#include "hub_internal.h"

/* For an entry that journal_corrects(), whose target is in the journal. */
enum refusal_code amend_admit(struct hub *, const struct entry *, struct about *);

/* The least that holds for a correction admitted by an earlier run and brought back by a screen. */
enum refusal_code amend_target(const struct hub *, const struct entry *);

void amend_preview(struct hub *, struct conn *, const struct msg_preview *);

#endif
