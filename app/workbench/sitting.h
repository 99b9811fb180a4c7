/* The sitting: one van file while it is open in the workbench, whoever writes to it.
 *
 * The file on the disk is the truth. Before each change it is read again; what another program wrote is taken in first, as a
 * revision of its own that can be undone like any other, and then the change is tried against it. Nothing is written that
 * can't be read as a van, and nothing is written over what was not seen.
 *
 * Two locks: `hand` is held through a whole change with its writing, so that changes come one after another; `lock` only for
 * a moment, so that whoever reads never waits for the disk. All functions may be called from any thread. */
#ifndef WORKBENCH_SITTING_H
#define WORKBENCH_SITTING_H

#include "history.h"
#include "snapshot.h"

typedef struct sitting sitting;

typedef enum sitting_event { SITTING_FILE, SITTING_JUDGED, SITTING_CONFLICT } sitting_event;
typedef struct sitting_listener {
    void (*tell)(void *context, sitting_event event, unsigned revision);
    void *context;
} sitting_listener;

/* `path` may be NULL, or name a file that is not there yet: the sitting then has no file until sitting_start. NULL when the
 * file can't be read at all, or is none, with the reason in errno. */
sitting *sitting_open(const char *path, sitting_listener listener);
void sitting_close(sitting *s);

/* The present revision, held for the caller. */
snapshot *sitting_now(sitting *s);
/* The newest that was judged, held for the caller, or NULL. */
snapshot *sitting_judged(sitting *s);
/* Waits for a revision that is not judged yet, holds and gives it; NULL when the sitting ends. For one thread. */
snapshot *sitting_await_unjudged(sitting *s);
/* Whether a revision is the newest that could be read: judging any other is for nothing. */
bool sitting_is_newest(sitting *s, const snapshot *judged);
/* The judgement, of what sitting_await_unjudged gave, moves to the snapshot. */
void sitting_note_judgement(sitting *s, snapshot *of, lw_judgement *judgement);
/* Ends the waiting. */
void sitting_end(sitting *s);

/* Where the file is. The texts live as long as the sitting. */
typedef struct sitting_place {
    const char *path;   /* NULL while there is no file */
    const char *folder; /* that it is in, or will be */
    const char *name;   /* without the folder; "" when none was given */
} sitting_place;
sitting_place sitting_where(sitting *s);

/* What would be undone and redone; NULL when there is nothing. In the arena. */
void sitting_turns(sitting *s, arena *a, const char **undo, const char **redo);

/* Looks at the disk, and takes in what another wrote. A text that can't be read may be half written yet: unless `is_sure`, it
 * is left for the next look while it is younger than a moment. */
void sitting_look(sitting *s, bool is_sure);

/* --- changing it --- */

/* CHANGE_REFUSED: `make` said no. UNREADABLE: the van could not be read from the new text: see `result`. STALE: no such
 * revision. CONTESTED: another program writes all the time. FAILED: errno says why. Nothing is changed but by DONE. */
typedef enum change_outcome {
    CHANGE_DONE,
    CHANGE_REFUSED,
    CHANGE_UNREADABLE,
    CHANGE_STALE,
    CHANGE_CONTESTED,
    CHANGE_FAILED
} change_outcome;

typedef struct change {
    arena *arena;
    unsigned revision; /* that whoever asks has seen */
    bool is_dry;       /* only ask */
    /* Makes the new text from the present one, or refuses. `base` is the text of `revision`. Called while no other change can
     * come between; more than once when the file changes on the disk meanwhile. */
    bool (*make)(struct change *change, text base, const snapshot *now);
    void *context;
    text made;
    lw_van *van;      /* that was read from it, if it was: moves to the sitting */
    const char *says; /* what was done, in the builder's words: what undo will name */
    /* Of the answer: the revision that came of it, or, after UNREADABLE, the one that would have. Held for the caller. */
    snapshot *result;
} change;

change_outcome sitting_change(sitting *s, change *c);
/* `change.make` is not used, and `says` is set. REFUSED when there is nothing to undo or redo, or when it would be another step
 * than the caller has seen. */
change_outcome sitting_undo(sitting *s, change *c, bool is_undo);
/* Writes a new file, which becomes the sitting's; for a sitting without one. DONE, UNREADABLE, FAILED; REFUSED: it has a file, or
 * there is one of that name. `name` is plain, without a folder. */
change_outcome sitting_start(sitting *s, change *c, const char *name);

#endif
