/* The builder's browser. See browser.h. */
#include "browser.h"

#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

static bool is_set(const char *name)
{
    const char *value = getenv(name);
    return value && value[0];
}

static const char *opener(void)
{
#ifdef __APPLE__
    return "open";
#else
    if (is_set("BROWSER")) return getenv("BROWSER");
    return is_set("DISPLAY") || is_set("WAYLAND_DISPLAY") ? "xdg-open" : NULL;
#endif
}

/* A session of its own, without our signals and streams: it outlives the sitting. */
static void become(const char *program, const char *address)
{
    sigset_t none;
    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, NULL);
    signal(SIGPIPE, SIG_DFL);
    signal(SIGXFSZ, SIG_DFL);
    setsid();
    int nothing = open("/dev/null", O_RDWR);
    for (int stream = 0; stream <= 2; stream++) dup2(nothing, stream);
    execlp(program, program, address, (char *)NULL);
    _exit(127);
}

void browser_open(const char *address)
{
    const char *program = opener();
    if (!program) return;
    pid_t child = fork();
    if (child == 0) {
        pid_t grandchild = fork();
        if (grandchild == 0) become(program, address);
        _exit(0);
    }
    if (child > 0) waitpid(child, NULL, 0);
}
