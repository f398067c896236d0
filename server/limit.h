/* Every limit of the server, in one place. The sizes of the board's own tables stand in shared-proto/schema/board.json.
 *
 * A limit is what keeps memory bounded whatever the clients do. Each says what happens over it.
 */
#ifndef STERNBOARD_LIMIT_H
#define STERNBOARD_LIMIT_H

/* Sockets. Over LIMIT_CONNS a connection is answered "full"; the reserve is for pages with a known token, and a small pool is
 * all that pages without a key can ever take. */
#define LIMIT_CONNS             220
#define LIMIT_CONNS_RESERVE     20
#define LIMIT_CONNS_KEYLESS     12
#define LIMIT_CONNS_PER_ADDRESS 64

/* Connections that have not said hello, of all addresses together. Over it the oldest of them is closed: a page says hello as soon
 * as it is connected, and silent ones must not keep the crew's pages out. */
#define LIMIT_CONNS_NEW 40

/* TCP connections, page loads among them, in all and from one address. Over it one is answered 503 and closed. */
#define LIMIT_SOCKETS             320
#define LIMIT_SOCKETS_PER_ADDRESS 96

/* One message from a page. Over it: close code 1009. */
#define LIMIT_MESSAGE_BYTES (32 * 1024)

/* What may wait for one screen. Over it the queue is dropped and the screen gets a fresh board when it can read again. */
#define LIMIT_QUEUE_FRAMES 256
#define LIMIT_QUEUE_BYTES  (256 * 1024)

/* Messages that wait for a screen leave together, as the lines of one text of at most this length. What has begun to leave cannot be
 * overtaken: an alarm may have to wait for so much, beside what lies in the kernel (net/door.c). */
#define LIMIT_LINES_BYTES (8 * 1024)

/* Alarms, and answers to emergency taps, that may wait for one screen. Over it the oldest goes, and a fresh board follows. */
#define LIMIT_ALARM_FRAMES 64
#define LIMIT_ALARM_BYTES  (64 * 1024)

/* What may be seen and not yet saved. Over it ordinary taps are answered NOT NOW; the reserve is for emergencies. */
#define LIMIT_UNSAVED_ROWS    8192
#define LIMIT_UNSAVED_BYTES   (8 * 1024 * 1024)
#define LIMIT_UNSAVED_RESERVE 512

/* Rows in one commit. */
#define LIMIT_BATCH_ROWS 1024

/* Pages that first send a tap in one run of the server (40 bytes each). None that has a row in the log is ever forgotten, or a
 * tap could be taken twice; over the limit the taps of further pages are NOT NOW. The reserve is for emergencies. */
#define LIMIT_SENDERS         65536
#define LIMIT_SENDERS_RESERVE 8192

/* First answers kept for repeats. */
#define LIMIT_ANSWERS 4096

/* Devices with a token. Over it the one longest unused is forgotten. */
#define LIMIT_DEVICES 1024

/* Taps of one page in a second, averaged over ten; a phone that comes back with forty waiting taps stays below it. */
#define LIMIT_TAPS_PER_SECOND 40
#define LIMIT_TAPS_BURST      400

/* Emergency taps of one page in a second, and at once. Over it NOT NOW; a page's first overboard call is far below it. */
#define LIMIT_EMERGENCIES_PER_SECOND 1
#define LIMIT_EMERGENCIES_BURST      30

/* And from all pages without the crew's key together, while an emergency is open. */
#define LIMIT_STRANGERS_PER_SECOND 2
#define LIMIT_STRANGERS_BURST      64

/* What a correction would do, asked by one connection. */
#define LIMIT_PREVIEWS_PER_SECOND 1
#define LIMIT_PREVIEWS_BURST      10

/* Entries offered by one screen to a new run, in a second and at once: all that may have been unsaved. Over it NOT NOW. */
#define LIMIT_OFFERS_PER_SECOND 500
#define LIMIT_OFFERS_BURST      8192

/* Messages of any sort from one connection. Over it the connection is closed. */
#define LIMIT_MESSAGES_PER_SECOND 500
#define LIMIT_MESSAGES_BURST      10000

/* Numbers that a page may have left out before a tap. Beyond it the tap is an error: no page counts like that. */
#define LIMIT_GAP           1024
#define LIMIT_GAP_EMERGENCY 64

/* Room that a trip's first entry needs for those that follow it at once (run, clock, helm, the pages that are open). */
#define LIMIT_TRIP_ROWS 256

/* Entries folded again at once after a correction; more are folded a slice at a time. */
#define LIMIT_REFOLD_NOW   20000
#define LIMIT_REFOLD_SLICE 5000

/* Times, in milliseconds. */
#define LIMIT_HELLO_MS      5000   /* a connection that has not said hello by then is closed */
#define LIMIT_PULSE_MS      400    /* a page calls the link lost after 1 s of silence */
#define LIMIT_SILENT_MS     8000   /* a page unheard this long is lost */
#define LIMIT_WAIT_MS       30000  /* a tap may wait this long for the entry it names */
#define LIMIT_RETRY_MS      500    /* a page told NOT NOW or WAIT tries again after this */
#define LIMIT_UNDO_MS       20000  /* undo is for this long */
#define LIMIT_STRIKE_MS     60000  /* a strike that nobody ended lapses */
#define LIMIT_RAISE_MS      300000 /* a raise of which nothing was told this long lapses */
#define LIMIT_ON_MS         300000 /* a strike that lapsed may still turn out to be on for so long after it began */
#define LIMIT_JOIN_MS       15000  /* a second strike within this joins the event */
#define LIMIT_UNHEARD_MS    10000  /* a call unanswered this long is logged as not heard */
#define LIMIT_WAKE_MS       60000  /* a wake of one hand unanswered this long is not heard: it rings on every device */
#define LIMIT_OVERBOARD_MS  10000  /* one overboard entry of a page in this time */
#define LIMIT_GONE_MS       2000   /* a page that comes back within this was never away */
#define LIMIT_PRESENCE_MS   5000   /* at most one entry on one page's presence in this time */
#define LIMIT_KEEP_PAGE_MS  60000  /* a lost page is remembered this long: back within it, it only wakes */
#define LIMIT_HOLD_ALARM_MS 500    /* an alarm brought back by a screen waits this long for the entry that ended it */
#define LIMIT_CLOCK_MS      2000   /* a jump of the time of day from here on is logged */
#define LIMIT_LATE_MS       10000  /* a tap older than this is said to be late */

/* The clock of an accident report: 48 hours (33 CFR 173.55). A HURT is kept on the board over the start of a trip for so long. */
#define LIMIT_REPORT_MS 172800000

#endif
