/* What the program offers to put into a van file: a circuit into one that is there, or a whole one to start from. */
#ifndef READY_READY_H
#define READY_READY_H

#include "ready/plan.h"

typedef struct wish {
    const char *circuit;
    int count;
    answers given;
} wish;

/* The text of a new van file; NULL, and *why, when an answer is wrong. */
const char *start_text(arena *a, const answers *given, const wish *wishes, int n_wishes, const char **why);

/* The plan of a circuit in a van, ratings and sizes chosen. `edited` makes the text of the file with the plan in it, and
 * is called several times; it gives NULL, and p->why, when it can't. NULL, and *why, when there is none. */
typedef const char *plan_writer(plan *p, void *context);
const plan *circuit_plan(arena *a, const van *v, const char *circuit, const answers *given, plan_writer *edited,
                         void *context, const char **text, const char **why);

/* Chooses ratings and sizes; the text with them, or NULL and p->why. */
const char *plan_finish(plan *p, plan_writer *written, void *context);

#endif
