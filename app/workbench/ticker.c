/* A thread that does something every so often. See ticker.h. */
#include "ticker.h"

#include <fcntl.h>
#include <poll.h>
#include <unistd.h>

enum { settle_ms = 10 };

static void drain(int listener)
{
    char said[4096];
    while (read(listener, said, sizeof said) > 0) {
    }
}

static void *run(void *context)
{
    ticker *t = context;
    struct pollfd on[] = {{.fd = t->stop[0], .events = POLLIN}, {.fd = t->listener, .events = POLLIN}};
    while (poll(on, 2, t->every_ms), on[0].revents == 0) {
        if (on[1].revents) {
            poll(on, 1, settle_ms); /* what is said comes in parts */
            drain(t->listener);
        }
        t->run(t->context);
    }
    return NULL;
}

bool ticker_start(ticker *t)
{
    if (pipe2(t->stop, O_CLOEXEC) != 0) return false;
    t->is_running = pthread_create(&t->thread, NULL, run, t) == 0;
    if (t->is_running) return true;
    close(t->stop[0]);
    close(t->stop[1]);
    return false;
}

void ticker_stop(ticker *t)
{
    if (!t->is_running) return;
    close(t->stop[1]);
    pthread_join(t->thread, NULL);
    close(t->stop[0]);
    t->is_running = false;
}
