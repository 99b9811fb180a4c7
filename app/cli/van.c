/* What the commands that take a van file share. See van.h. */
#include "van.h"
#include "files.h"
#include "say.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void complain_of_each(const char *lines)
{
    while (*lines) {
        size_t n = strcspn(lines, "\n");
        complain("%.*s", (int)n, lines);
        lines += n + (lines[n] == '\n');
    }
}

int complain_of(lw_status status, char *const *why)
{
    if (status == LW_OK) return EXIT_OPEN;
    complain_of_each(why && *why ? *why : lw_status_text(status));
    return status == LW_REFUSED ? EXIT_UNREAD : EXIT_FAILED;
}

int complain_of_edit(const lw_edited *edited, lw_status status)
{
    if (status == LW_REFUSED && edited->report) return complain_text(lw_report_text(edited->report)), EXIT_UNREAD;
    char *why = (char *)(edited->refusal ? edited->refusal : lw_status_text(status));
    return complain_of(status, &why);
}

int say_given(lw_status given, char *text, int status)
{
    int told = given == LW_OK ? say(text, status) : complain_of(given, NULL);
    lw_free(text);
    return told;
}

int load_van(const arguments *arguments, lw_van **van)
{
    const char *path = arguments->operands[0];
    if (is_given(arguments, OPTION_WRITE) && strcmp(path, "-") == 0) {
        complain("standard input can't be changed; name the van file, or leave `--write` out");
        return EXIT_UNREAD;
    }
    size_t n_bytes;
    const char *text = file_read(arguments->arena, path, &n_bytes);
    if (!text) return EXIT_UNREAD;
    lw_report *report = NULL;
    lw_status status = lw_van_read(strcmp(path, "-") == 0 ? "standard input" : path, text, n_bytes, van, &report);
    if (status != LW_REFUSED) return complain_of(status, NULL);
    complain_text(lw_report_text(report));
    lw_report_free(report);
    return EXIT_UNREAD;
}

int write_back(const arguments *arguments, const lw_van *van, const char *text)
{
    if (!is_given(arguments, OPTION_WRITE)) return EXIT_OPEN;
    size_t n_bytes;
    const char *old = lw_van_text(van, &n_bytes);
    bool is_same = strcmp(old, text) == 0;
    return is_same || file_replace(arguments->arena, arguments->operands[0], old, text) ? EXIT_OPEN : EXIT_FAILED;
}

enum { most_threads = 16, most_unasked = 8 };

/* 0, having complained, when --threads is not a number of threads. */
static int n_threads(const arguments *arguments)
{
    const char *asked = argument(arguments, OPTION_THREADS);
    if (!asked) {
        long n = sysconf(_SC_NPROCESSORS_ONLN);
        return n < 1 ? 1 : n > most_unasked ? most_unasked : (int)n;
    }
    char *end;
    long n = strtol(asked, &end, 10);
    if (end != asked && *end == '\0' && n >= 1 && n <= most_threads) return (int)n;
    complain("`%s` is not a number of threads; give one from 1 to %d", asked, most_threads);
    return 0;
}

int load_and_judge(const arguments *arguments, lw_van **van, lw_judgement **judgement)
{
    lw_judge_options options = {.n_threads = n_threads(arguments), .progress = say_progress};
    if (options.n_threads == 0) return EXIT_UNREAD;
    int status = load_van(arguments, van);
    if (status != EXIT_OPEN) return status;
    say_progress(NULL, 0);
    status = complain_of(lw_judge(*van, &options, judgement), NULL);
    say_progress_over();
    return status;
}
