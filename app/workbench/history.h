/* What the text was: each revision as a splice of the one before, so that ten thousand edits of a long file take little room.
 * The log only grows: an undo is a new revision whose splice is another's, turned round. Beside it the steps that can be
 * undone, in a row, of which the first `n_done` stand: an edit, or a change from outside, drops those behind. */
#ifndef WORKBENCH_HISTORY_H
#define WORKBENCH_HISTORY_H

#include "base/arena.h"

/* old[0..n_old) at `at` became fresh[0..n_fresh). */
typedef struct splice {
    size_t at, n_old, n_fresh;
    const char *old, *fresh;
} splice;

typedef struct step {
    size_t splice; /* in the log */
    const char *says;
} step;

typedef struct history {
    arena *arena;
    ARRAY(splice) log; /* [r - 1] led from revision r to r + 1 */
    ARRAY(step) steps;
    size_t n_done;
} history;

typedef struct text {
    const char *at;
    size_t n;
} text;

/* Notes that `was` became `is`: a revision, and a step that can be undone. `says` is copied. */
void history_edit(history *h, text was, text is, const char *says);
/* The revision that an undo or a redo makes, of the step that history_undo or history_redo gave. */
void history_turn(history *h, bool is_undo);
/* Takes back what came since, one call of those two at most: the text was not written, or memory ran out on the way. */
typedef struct history_mark {
    size_t n_log, n_steps, n_done;
    step next; /* that an edit overwrites */
} history_mark;
history_mark history_now(const history *h);
void history_return(history *h, history_mark mark);

/* Nothing that was can be undone any more. */
void history_forget_steps(history *h);

/* What would be undone or redone next; NULL when there is none. */
const step *history_undo(const history *h);
const step *history_redo(const history *h);
/* The text after it, in the arena, made from the present one. */
text history_text_turned(const history *h, arena *a, const step *step, bool is_undo, text now);
/* The text of an earlier revision, likewise; `revision` is at least 1 and at most the present one. */
text history_text_at(const history *h, arena *a, unsigned revision, text now);

#endif
