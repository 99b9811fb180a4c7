/* Threads that work on requests. See workers.h. */
#include "workers.h"

#include <pthread.h>
#include <stdlib.h>

enum { most_threads = 8 };

struct workers {
    pthread_mutex_t lock;
    pthread_cond_t has_job;
    job *first, **last;
    bool is_over;
    pthread_t threads[most_threads];
    int n_threads;
};

static job *take(workers *w)
{
    pthread_mutex_lock(&w->lock);
    while (!w->first && !w->is_over) pthread_cond_wait(&w->has_job, &w->lock);
    job *next = w->first;
    if (next) {
        w->first = next->next;
        if (!w->first) w->last = &w->first;
    }
    pthread_mutex_unlock(&w->lock);
    return next;
}

static void *run(void *context)
{
    workers *w = context;
    for (job *next; (next = take(w));) next->run(next);
    return NULL;
}

workers *workers_create(int n_threads)
{
    workers *w = calloc(1, sizeof *w);
    if (!w) return NULL;
    pthread_mutex_init(&w->lock, NULL);
    pthread_cond_init(&w->has_job, NULL);
    w->last = &w->first;
    while (w->n_threads < n_threads && w->n_threads < most_threads &&
           pthread_create(&w->threads[w->n_threads], NULL, run, w) == 0)
        w->n_threads++;
    if (w->n_threads > 0) return w;
    workers_destroy(w);
    return NULL;
}

void workers_add(workers *w, job *added)
{
    pthread_mutex_lock(&w->lock);
    added->next = NULL;
    *w->last = added;
    w->last = &added->next;
    pthread_cond_signal(&w->has_job);
    pthread_mutex_unlock(&w->lock);
}

void workers_destroy(workers *w)
{
    if (!w) return;
    pthread_mutex_lock(&w->lock);
    w->is_over = true;
    pthread_cond_broadcast(&w->has_job);
    pthread_mutex_unlock(&w->lock);
    for (int i = 0; i < w->n_threads; i++) pthread_join(w->threads[i], NULL);
    pthread_cond_destroy(&w->has_job);
    pthread_mutex_destroy(&w->lock);
    free(w);
}
