/* A thread that does something every so often, and when a descriptor has something to say. */
#ifndef WORKBENCH_TICKER_H
#define WORKBENCH_TICKER_H

#include <pthread.h>
#include <stdbool.h>

typedef struct ticker {
    int every_ms;
    int listener; /* -1 for none; what is read there is thrown away */
    void (*run)(void *context);
    void *context;
    /* its own: */
    pthread_t thread;
    int stop[2]; /* a pipe: closed at one end to stop */
    bool is_running;
} ticker;

bool ticker_start(ticker *t);
void ticker_stop(ticker *t);

#endif
