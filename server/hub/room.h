/* Who asks for room in a bounded table. Each leaves a reserve for those below it: a stalled disk or a flood of strangers never
 * takes the place of the crew's emergencies. */
#ifndef STERNBOARD_HUB_ROOM_H
#define STERNBOARD_HUB_ROOM_H

enum room_for { ROOM_FOR_ORDINARY, ROOM_FOR_STRANGER, ROOM_FOR_EMERGENCY };

#endif
