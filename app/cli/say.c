/* Words to the builder. See say.h. */
#include "say.h"
#include "command.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <time.h>
#include <unistd.h>

static bool is_coloured;

int say(const char *text, int status)
{
    if (fputs(text, stdout) >= 0 && fflush(stdout) == 0) return status;
    complain("standard output could not be written: %s", strerror(errno));
    return EXIT_FAILED;
}

void complain(const char *format, ...)
{
    va_list list;
    va_start(list, format);
    fputs("loomwall: ", stderr);
    vfprintf(stderr, format, list);
    fputs("\n", stderr);
    va_end(list);
}

void complain_text(const char *text) { fputs(text, stderr); }

bool say_choose_colour(const char *when)
{
    if (!when || strcmp(when, "auto") == 0) {
        const char *no = getenv("NO_COLOR"), *term = getenv("TERM");
        is_coloured = isatty(STDOUT_FILENO) && !(no && no[0]) && !(term && strcmp(term, "dumb") == 0);
        return true;
    }
    is_coloured = strcmp(when, "always") == 0;
    if (is_coloured || strcmp(when, "never") == 0) return true;
    complain("`%s` is not a way to colour; it is auto, always or never", when);
    return false;
}

void sink_painted(sink *s, paint paint, const char *text)
{
    static const char *const codes[] = {"",           "\033[1m",    "\033[2m",   "\033[1;31m",
                                        "\033[1;33m", "\033[1;34m", "\033[1;32m"};
    if (!is_coloured || paint == PAINT_PLAIN) {
        sink_add(s, text);
    } else {
        sink_printf(s, "%s%s\033[0m", codes[paint], text);
    }
}

int say_width(void)
{
    struct winsize size;
    if (!isatty(STDOUT_FILENO) || ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0) return 80;
    return size.ws_col < 40 ? 40 : size.ws_col > 120 ? 120 : size.ws_col;
}

static int n_code_points(const char *text, size_t n)
{
    int count = 0;
    for (size_t i = 0; i < n; i++) count += ((unsigned char)text[i] & 0xC0) != 0x80;
    return count;
}

void sink_wrapped(sink *s, const char *text, int at, int indent)
{
    int width = say_width();
    bool is_first = true;
    while (*text) {
        size_t n_spaces = strspn(text, " \n");
        size_t n = strcspn(text + n_spaces, " \n");
        if (n == 0) break;
        int length = n_code_points(text + n_spaces, n);
        if (!is_first && at + 1 + length > width) {
            sink_printf(s, "\n%*s", indent, "");
            at = indent;
        } else if (!is_first) {
            sink_add(s, " ");
            at++;
        }
        sink_add_n(s, text + n_spaces, n);
        at += length;
        text += n_spaces + n;
        is_first = false;
    }
}

/* Where the words of a line that was broken go on: below its second column if it has one, else two further in. */
static int hanging_indent(const char *line, size_t n)
{
    size_t start = strspn(line, " ");
    for (size_t i = start; i + 2 < n; i++) {
        if (line[i] == ' ' && line[i + 1] == ' ') return (int)(i + strspn(line + i, " "));
    }
    return (int)start;
}

static void sink_broken_line(sink *s, const char *line, size_t n)
{
    int indent = hanging_indent(line, n);
    size_t n_kept = (size_t)indent < n ? (size_t)indent : n; /* the first column is left as it is */
    sink_add_n(s, line, n_kept);
    sink_wrapped(s, arena_text_n(s->arena, line + n_kept, n - n_kept), indent, indent);
    sink_add(s, "\n");
}

int say_broken(arena *a, const char *text, int status)
{
    if (!isatty(STDOUT_FILENO)) return say(text, status);
    sink s = sink_in(a);
    while (*text) {
        size_t n = strcspn(text, "\n");
        sink_broken_line(&s, text, n);
        text += n + (text[n] == '\n');
    }
    return say(sink_text(&s), status);
}

/* --- progress --- */

static struct {
    bool is_started, is_shown;
    struct timespec start;
    int percent;
} progress;

static double seconds_since(struct timespec start)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - start.tv_sec) + 1e-9 * (double)(now.tv_nsec - start.tv_nsec);
}

void say_progress(void *context, double done)
{
    (void)context;
    if (!progress.is_started) {
        progress.is_started = true;
        clock_gettime(CLOCK_MONOTONIC, &progress.start);
    }
    int percent = (int)(100 * done);
    if (!isatty(STDERR_FILENO) || percent == progress.percent || seconds_since(progress.start) < 1) return;
    progress.percent = percent;
    progress.is_shown = true;
    fprintf(stderr, "\rexamining switch positions: %d %%", percent);
    fflush(stderr);
}

void say_progress_over(void)
{
    if (progress.is_shown) fprintf(stderr, "\r%*s\r", (int)sizeof "examining switch positions: 100 %", "");
    progress.is_shown = false;
}

void sink_words(sink *s, const char *const *words, size_t n)
{
    for (size_t i = 0; i < n; i++) sink_printf(s, "%s%s", i ? ", " : "", words[i]);
}
