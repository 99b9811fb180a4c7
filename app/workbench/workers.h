/* Threads that work on requests, so that one that takes long holds up no other, and the thread that serves the sockets never
 * works at all. */
#ifndef WORKBENCH_WORKERS_H
#define WORKBENCH_WORKERS_H

#include <stdbool.h>

typedef struct workers workers;

/* Something to be done; `run` may release it. */
typedef struct job {
    struct job *next;
    void (*run)(struct job *job);
} job;

workers *workers_create(int n_threads);
/* First come, first served. */
void workers_add(workers *w, job *job);
/* After all jobs were done. */
void workers_destroy(workers *w);

#endif
