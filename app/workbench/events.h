/* What the pages are told without asking: server-sent events (WHATWG HTML, 9.2). Each page has a short queue. A page that
 * does not read is dropped when its queue is full; it is never waited for. */
#ifndef WORKBENCH_EVENTS_H
#define WORKBENCH_EVENTS_H

#include <microhttpd.h>
#include <stdbool.h>

typedef struct events events;

events *events_create(void);
void events_destroy(events *e);

/* The answer to a request for events. NULL when there are too many pages. `drop(seat)` is called to close the connection of a
 * page that does not read. */
struct MHD_Response *events_answer(events *e, struct MHD_Connection *connection, void (*drop)(void *seat), void *seat);

/* "event: NAME", "data: DATA", to all pages. */
void events_tell(events *e, const char *name, const char *data);
/* A comment, so that a page whose connection broke is noticed. */
void events_beat(events *e);
/* Ends every stream; those that come later end at once. */
void events_end(events *e);

#endif
