/* Who has the helm's buttons: taken with the helm's number while no trip runs, by one tap of any crew page after. Also when nothing can
 * be saved: an emergency needs somebody who may end it. */
#ifndef STERNBOARD_HUB_HELM_H
#define STERNBOARD_HUB_HELM_H

#include "hub_internal.h"

void helm_take(struct hub *, struct conn *, const struct msg_take_helm *);

#endif
