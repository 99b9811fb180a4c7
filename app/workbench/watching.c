/* Watching the file for what others write. See watching.h. */
#include "watching.h"

#include <unistd.h>
#ifdef __linux__
#include <sys/inotify.h>
#endif

/* A descriptor that becomes readable when something happens in the folder; -1 where there is none to have. */
static int listen_to(const char *folder)
{
#ifdef __linux__
    int listener = inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
    if (listener >= 0 &&
        inotify_add_watch(listener, folder, IN_CLOSE_WRITE | IN_MODIFY | IN_MOVE | IN_CREATE | IN_DELETE) < 0) {
        close(listener);
        return -1;
    }
    return listener;
#else
    (void)folder;
    return -1;
#endif
}

static void look(void *context) { sitting_look(context, false); }

bool watching_start(ticker *t, sitting *s)
{
    *t = (ticker){.every_ms = 200, .listener = listen_to(sitting_where(s).folder), .run = look, .context = s};
    return ticker_start(t);
}

void watching_stop(ticker *t)
{
    ticker_stop(t);
    if (t->run && t->listener >= 0) close(t->listener);
    *t = (ticker){.listener = -1};
}
