/* What edits mean: changes of a draft, with what hangs on them. */
#ifndef READ_EDIT_VERBS_H
#define READ_EDIT_VERBS_H

#include "read/edit.h"

typedef struct editing {
    arena *arena;
    draft *root;
    int edit;        /* the one at work */
    const char *why; /* it can't be done */
    ARRAY(const char *) labels;
} editing;

/* False, and e->why, when it can't be done; then the draft is of no more use. */
bool edit_do(editing *e, const edit *what);

/* One more label in `retired`, unless it is there. */
void retire_label(editing *e, const char *label);

#endif
