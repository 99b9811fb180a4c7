/* What the routes share: the sitting, and what it takes to tell about it. */
#ifndef WORKBENCH_INSIDE_H
#define WORKBENCH_INSIDE_H

#include "call.h"
#include "events.h"
#include "loomwall/scene.h"
#include "server.h"
#include "sitting.h"
#include <pthread.h>

struct workbench {
    sitting *sitting;
    events *events;
    server *server;
    pthread_mutex_t pen; /* of the faces: one scene is drawn at a time */
    lw_faces *faces;     /* NULL until the first is drawn */
};

/* The present revision, or what it was last that could be read: held until the call ends. */
snapshot *call_now(call *c);
/* NULL, having answered 422, when no van could be read yet. */
snapshot *call_readable(call *c);
/* The newest judged revision, up to `now`; NULL while there is none. */
const snapshot *call_judged(call *c, const snapshot *now);
/* Keeps a text of the library until the call ends. */
const char *call_keep(call *c, char *text);
/* True when the status is LW_OK; else, having answered with *why (kept until the call ends): 422, or 503 for want of memory. */
bool call_is_good(call *c, lw_status status, char *why);
/* The answer is JSON that the library made, or why it did not. */
void answer_library(call *c, lw_status status, char *json);

/* What each route does, by subject. */
void route_van(call *c);
void route_kinds(call *c);
void route_why(call *c);
void route_meter(call *c);
void route_judgement(call *c);
void route_scenes(call *c);
void route_scene(call *c);
void route_sheets(call *c);
void route_sheet(call *c);
void route_book(call *c);
void route_edit(call *c);
void route_mend(call *c);
void route_undo(call *c);
void route_redo(call *c);
void route_text(call *c);
void route_text_put(call *c);
void route_circuits(call *c);
void route_circuit(call *c);
void route_start(call *c);

/* "faults": [...] of a report, which may be NULL; `edit_of`, which may be NULL, tells the edit of each. */
void json_faults(sink *s, const lw_report *report, const int *edit_of);

#endif
