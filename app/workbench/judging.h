/* Judging in the background: one thread that judges the newest revision, and leaves one that is no longer the newest. Nobody
 * waits for it: it tells the sitting, which tells the pages. */
#ifndef WORKBENCH_JUDGING_H
#define WORKBENCH_JUDGING_H

#include "sitting.h"
#include <pthread.h>

typedef struct judging {
    sitting *sitting;
    pthread_t thread;
    bool is_running;
} judging;

bool judging_start(judging *j, sitting *s);
/* After sitting_end. */
void judging_stop(judging *j);

#endif
