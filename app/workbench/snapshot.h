/* One revision of the file: its text, the van that it says, and what was judged of that. It never changes, so that requests
 * read it without waiting for anybody; it goes when the last that holds it lets go. Only two
 * things about it are learned later: its judgement, once, and whether the file is still there. */
#ifndef WORKBENCH_SNAPSHOT_H
#define WORKBENCH_SNAPSHOT_H

#include "loomwall/judge.h"
#include <stdatomic.h>

typedef struct snapshot snapshot;
struct snapshot {
    atomic_int n_holders;
    unsigned revision;
    atomic_bool is_on_disk; /* false when the file was deleted, or is not written yet */
    const char *text;
    size_t n;
    lw_van *van;        /* NULL when the text can't be read as a van */
    lw_report *faults;  /* then */
    snapshot *readable; /* the newest that could be read: itself, an earlier one, or NULL */
    _Atomic(lw_judgement *) judgement;
};

/* `text`, from malloc, with a NUL behind it, and `van`, which may be NULL, move to the snapshot; they are freed on failure too.
 * Without a van it is read from the text. `before` may be NULL. `file` is how messages name it. NULL when there is no memory. The
 * caller holds it. */
snapshot *snapshot_create(const char *file, char *text, size_t n, lw_van *van, const snapshot *before);
snapshot *snapshot_take(snapshot *s);
void snapshot_drop(snapshot *s); /* NULL is nothing */

#endif
