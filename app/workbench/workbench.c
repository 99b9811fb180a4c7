/* The workbench: puts the parts together, and ends when it is told to. See workbench.h. */
#include "workbench.h"
#include "browser.h"
#include "inside.h"
#include "judging.h"
#include "watching.h"

#include <errno.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif
#include <signal.h>
#include <stdio.h>
#include <string.h>

/* Those that end the sitting wait for sigwait in this thread; those that a broken pipe or a full disk sends are errors of calls. */
static void choose_signals(sigset_t *ends)
{
    sigemptyset(ends);
    sigaddset(ends, SIGINT);
    sigaddset(ends, SIGTERM);
    sigaddset(ends, SIGHUP);
    pthread_sigmask(SIG_BLOCK, ends, NULL);
    signal(SIGPIPE, SIG_IGN);
    signal(SIGXFSZ, SIG_IGN);
}

static void tell_pages(void *context, sitting_event event, unsigned revision)
{
    static const char *const names[] = {"file", "judged", "conflict"};
    char data[64];
    snprintf(data, sizeof data, "{\"revision\": %u}", revision);
    events_tell(((workbench *)context)->events, names[event], data);
}

static void tell_address(const workbench *w, const workbench_options *options)
{
    const guard *g = server_guard(w->server);
    char address[128];
    snprintf(address, sizeof address, "http://127.0.0.1:%d/#%s", g->port, g->token);
    if (options->tell(address) && options->opens_browser) browser_open(address);
}

static workbench_end serve(workbench *w, const workbench_options *options, const sigset_t *ends)
{
    judging judge = {0};
    ticker watch = {.listener = -1};
    w->server = server_start(w, w->events, options->port);
    if (!w->server) {
        options->complain("the address can't be served: %s; choose another port with --port, or leave it out",
                          strerror(errno));
        return WORKBENCH_FAILED;
    }
    bool is_up = judging_start(&judge, w->sitting) && watching_start(&watch, w->sitting);
    if (is_up) {
        int came;
        tell_address(w, options);
        sigwait(ends, &came);
    } else {
        options->complain("no thread could be started; end other programs and try again");
    }
    watching_stop(&watch);
    server_stop(w->server);
    sitting_end(w->sitting);
    judging_stop(&judge);
    return is_up ? WORKBENCH_ENDED : WORKBENCH_FAILED;
}

/* Each thread would get a heap of its own, and what one gives back stays with that: a long sitting would grow by what all
 * of them ever held at once. */
static void share_heaps(void)
{
#ifdef __GLIBC__
    mallopt(M_ARENA_MAX, 2);
#endif
}

workbench_end workbench_run(const workbench_options *options)
{
    share_heaps();
    sigset_t ends;
    choose_signals(&ends);
    workbench w = {.events = events_create()};
    workbench_end end = WORKBENCH_FAILED;
    pthread_mutex_init(&w.pen, NULL);
    if (w.events) {
        w.sitting = sitting_open(options->path, (sitting_listener){tell_pages, &w});
        if (w.sitting) {
            end = serve(&w, options, &ends);
        } else {
            options->complain("%s can't be opened: %s; name a van file, or none to start one",
                              options->path ? options->path : "the folder", strerror(errno));
            end = WORKBENCH_UNREADABLE;
        }
    } else {
        options->complain("there is not enough memory");
    }
    sitting_close(w.sitting);
    events_destroy(w.events);
    lw_faces_close(w.faces);
    pthread_mutex_destroy(&w.pen);
    return end;
}
