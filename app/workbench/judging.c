/* Judging in the background. See judging.h. */
#include "judging.h"

#include <sys/resource.h>
#include <unistd.h>

static int n_processors(void)
{
    enum { most = 8 };
    long n = sysconf(_SC_NPROCESSORS_ONLN);
    return n < 1 ? 1 : n > most ? most : (int)n;
}

typedef struct wish {
    sitting *sitting;
    const snapshot *of;
} wish;

static bool is_stale(void *context)
{
    const wish *w = context;
    return !sitting_is_newest(w->sitting, w->of);
}

static void judge_one(sitting *s, snapshot *next)
{
    wish w = {s, next};
    lw_judge_options options = {.n_threads = n_processors(), .is_stale = is_stale, .context = &w};
    lw_judgement *judgement = NULL;
    lw_status status = lw_judge(next->van, &options, &judgement);
    if (status == LW_OK) sitting_note_judgement(s, next, judgement);
    if (status == LW_NO_MEMORY) sleep(1); /* not now: it is still unjudged */
}

/* Who waits for an answer comes first. Only Linux knows of the patience of a thread, which those that it starts inherit. */
static void step_back(void)
{
#ifdef __linux__
    enum { patience = 10 };
    setpriority(PRIO_PROCESS, 0, patience);
#endif
}

static void *run(void *context)
{
    judging *j = context;
    step_back();
    for (snapshot *next; (next = sitting_await_unjudged(j->sitting));) {
        judge_one(j->sitting, next);
        snapshot_drop(next);
    }
    return NULL;
}

bool judging_start(judging *j, sitting *s)
{
    *j = (judging){.sitting = s};
    j->is_running = pthread_create(&j->thread, NULL, run, j) == 0;
    return j->is_running;
}

void judging_stop(judging *j)
{
    if (j->is_running) pthread_join(j->thread, NULL);
    j->is_running = false;
}
