/* A plan into the text of a van file, every byte that need not change as it was. */
#ifndef READY_WRITE_H
#define READY_WRITE_H

#include "ready/plan.h"

typedef struct written_file {
    const char *text; /* with a NUL behind it */
    size_t n;
} written_file;

/* A plan_writer; the context is the written_file that the plan's van was read from. */
const char *plan_written(plan *p, void *file);

#endif
