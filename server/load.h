/* From a log to a live hub: what a start does, and nothing else. */
#ifndef STERNBOARD_LOAD_H
#define STERNBOARD_LOAD_H

#include "err.h"
#include "hub/hub.h"
#include "log/keys.h"
#include "log/log.h"

/* A hub that knows the devices, what each page has sent before, and the current trip; started and live. Random numbers come from
 * the system. ERR_DATA: a row of the log cannot be read or does not follow. ERR_IO. On an error there is no hub. */
enum err load_hub(struct log *, const struct log_open_info *, const struct keys *, struct hub_time, struct hub **out,
                  struct msg *why) MUST_CHECK;

/* The log's part of it, into a hub just made: what each page has sent before, and the current trip. chain_id
 * is the log_open_info's. */
enum err load_log(struct log *, uint64_t chain_id, struct hub *, struct msg *why) MUST_CHECK;

/* The devices that the hub knows now, into the keys that are to be saved. */
void load_keys(struct hub *, struct keys *);

#endif
