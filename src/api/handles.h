/* What stands behind the public handles: each owns one arena, in which it lives itself. */
#ifndef API_HANDLES_H
#define API_HANDLES_H

#include "judge/judge.h"
#include "loomwall/judge.h"

struct lw_van {
    arena *arena;
    const van *van;
    const char *text; /* that it was read from, with a NUL behind it */
    size_t n_bytes;
    const char *fingerprint; /* of the text: what tells two revisions of a file apart that don't say */
};

struct lw_judgement {
    arena *arena;
    const lw_van *van;
    const judgement *judgement;
    lw_finding *findings; /* the same, as the public sees them */
};

#endif
