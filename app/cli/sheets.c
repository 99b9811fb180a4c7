/* `loomwall sheets`: every sheet and list and the build book into a folder, all of them or none. */
#include "loomwall/sheets.h"
#include "files.h"
#include "say.h"
#include "van.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static bool is_date(const char *text)
{
    if (strlen(text) != 10) return false;
    for (int i = 0; i < 10; i++) {
        bool is_dash = i == 4 || i == 7;
        if (is_dash ? text[i] != '-' : text[i] < '0' || text[i] > '9') return false;
    }
    int month = atoi(text + 5), day = atoi(text + 8);
    return month >= 1 && month <= 12 && day >= 1 && day <= 31;
}

/* --date, else SOURCE_DATE_EPOCH (reproducible-builds.org), else today. NULL, having complained, for what is none. */
static const char *sheet_date(const arguments *arguments)
{
    const char *given = argument(arguments, OPTION_DATE);
    if (given && is_date(given)) return given;
    if (given) {
        complain("`%s` is not a date; write YYYY-MM-DD", given);
        return NULL;
    }
    const char *epoch = getenv("SOURCE_DATE_EPOCH");
    char *end = NULL;
    errno = 0;
    long long seconds = epoch ? strtoll(epoch, &end, 10) : 0;
    bool is_fixed = epoch && end != epoch && *end == '\0' && errno == 0;
    time_t when = is_fixed ? (time_t)seconds : time(NULL);
    struct tm day;
    if (!(is_fixed ? gmtime_r(&when, &day) : localtime_r(&when, &day))) return "";
    return arena_printf(arguments->arena, "%04d-%02d-%02d", day.tm_year + 1900, day.tm_mon + 1, day.tm_mday);
}

static bool write_files(const lw_sheets *sheets, writing *w)
{
    for (size_t i = 0; i < lw_sheets_count(sheets); i++) {
        lw_sheet_file file = lw_sheets_file(sheets, i);
        if (!writing_add(w, file.name, file.bytes, file.n_bytes)) return false;
    }
    return writing_finish(w);
}

/* Each title once, beside the first of its files. */
static void add_paths(sink *s, const lw_sheets *sheets, const writing *w)
{
    int width = 0;
    for (size_t i = 0; i < writing_count(w); i++) {
        int length = (int)strlen(lw_sheets_file(sheets, i).title);
        if (length > width) width = length;
    }
    const char *sheet = "";
    for (size_t i = 0; i < writing_count(w); i++) {
        lw_sheet_file file = lw_sheets_file(sheets, i);
        bool is_same = strcmp(sheet, file.sheet) == 0;
        sink_printf(s, "%-*s  %s\n", width, is_same ? "" : file.title, writing_path(w, i));
        sheet = file.sheet;
    }
}

/* --- pages of an earlier run --- */

/* "diagram-3.svg" or "diagram.svg" of "diagram": a name under which a page of that sheet is written. */
static bool is_page_of(const char *sheet, const char *name)
{
    size_t n = strlen(sheet);
    if (strncmp(name, sheet, n) != 0) return false;
    const char *at = name + n;
    if (*at == '-' && at[1] >= '1' && at[1] <= '9')
        for (at++; *at >= '0' && *at <= '9';) at++;
    return strcmp(at, ".svg") == 0;
}

/* A page of a sheet that is drawn now, under a name that is not written now. */
static bool is_stale(const lw_sheets *sheets, const char *name)
{
    bool is_page = false;
    for (size_t i = 0; i < lw_sheets_count(sheets); i++) {
        lw_sheet_file file = lw_sheets_file(sheets, i);
        if (strcmp(file.name, name) == 0) return false;
        is_page = is_page || is_page_of(file.sheet, name);
    }
    return is_page;
}

static int by_name(const void *x, const void *y) { return strcmp(*(const char *const *)x, *(const char *const *)y); }

typedef ARRAY(const char *) names;

static names list_stale(const arguments *arguments, const lw_sheets *sheets)
{
    names stale = {0};
    DIR *in = opendir(argument(arguments, OPTION_OUT));
    for (const struct dirent *entry; in && (entry = readdir(in));)
        if (is_stale(sheets, entry->d_name))
            *ARRAY_ADD(arguments->arena, &stale) = arena_text(arguments->arena, entry->d_name);
    if (in) closedir(in);
    if (stale.n) qsort(stale.at, stale.n, sizeof *stale.at, by_name);
    return stale;
}

/* Takes away what would be mistaken for a page of this set, once the new pages are in place. */
static bool remove_stale(const arguments *arguments, const lw_sheets *sheets, sink *told)
{
    names stale = list_stale(arguments, sheets);
    bool is_done = true;
    for (size_t i = 0; i < stale.n; i++) {
        const char *path = arena_printf(arguments->arena, "%s/%s", argument(arguments, OPTION_OUT), stale.at[i]);
        struct stat status;
        if (lstat(path, &status) != 0 || !S_ISREG(status.st_mode)) continue;
        if (unlink(path) == 0) {
            sink_printf(told, "removed, a page of an earlier run: %s\n", path);
        } else {
            complain("%s is a page of an earlier run and can't be removed: %s; remove it", path, strerror(errno));
            is_done = false;
        }
    }
    return is_done;
}

static int write_and_tell(const arguments *arguments, const lw_sheets *sheets)
{
    writing *w = writing_begin(arguments->arena, argument(arguments, OPTION_OUT));
    if (!w || !write_files(sheets, w)) return EXIT_FAILED;
    sink s = sink_in(arguments->arena);
    add_paths(&s, sheets, w);
    bool is_clear = remove_stale(arguments, sheets, &s);
    return say(sink_text(&s), is_clear ? EXIT_OPEN : EXIT_FAILED);
}

/* The build book alone. */
static int write_book(const arguments *arguments, const lw_book_options *options, const lw_judgement *judgement)
{
    char *bytes = NULL, *why = NULL;
    size_t n_bytes = 0;
    int status = complain_of(lw_book_draw(judgement, options, &bytes, &n_bytes, &why), &why);
    if (status == EXIT_OPEN) {
        writing *w = writing_begin(arguments->arena, argument(arguments, OPTION_OUT));
        bool is_written = w && writing_add(w, "book.pdf", bytes, n_bytes) && writing_finish(w);
        status = is_written ? say(arena_printf(arguments->arena, "Build book  %s\n", writing_path(w, 0)), EXIT_OPEN)
                            : EXIT_FAILED;
    }
    lw_free(bytes);
    lw_free(why);
    return status;
}

static int draw(const lw_judgement *judgement, const lw_sheets_options *options, lw_sheets **sheets)
{
    char *why = NULL;
    int status = complain_of(lw_sheets_draw(judgement, options, sheets, &why), &why);
    lw_free(why);
    return status;
}

static int write_set(const arguments *arguments, const lw_sheets_options *options, const lw_judgement *judgement)
{
    lw_sheets *sheets = NULL;
    int status = draw(judgement, options, &sheets);
    if (status == EXIT_OPEN) status = write_and_tell(arguments, sheets);
    lw_sheets_free(sheets);
    return status;
}

static bool has_right_options(const arguments *arguments)
{
    if (!is_given(arguments, OPTION_OUT)) {
        return complain("`sheets` lacks the folder to write to; add --out FOLDER"), false;
    }
    if (is_given(arguments, OPTION_BOOK) && is_given(arguments, OPTION_ONLY)) {
        return complain("`--book` and `--only` exclude each other; give one of them"), false;
    }
    return true;
}

int run_sheets(const arguments *arguments)
{
    if (!has_right_options(arguments)) return EXIT_UNREAD;
    lw_sheets_options options = {.only = argument(arguments, OPTION_ONLY),
                                 .date = sheet_date(arguments),
                                 .paper = argument(arguments, OPTION_PAPER)};
    if (!options.date) return EXIT_UNREAD;
    lw_book_options book = {.date = options.date, .paper = options.paper};
    lw_van *van = NULL;
    lw_judgement *judgement = NULL;
    int status = load_and_judge(arguments, &van, &judgement);
    if (status == EXIT_OPEN) {
        bool is_book_alone = is_given(arguments, OPTION_BOOK);
        status = is_book_alone ? write_book(arguments, &book, judgement) : write_set(arguments, &options, judgement);
    }
    lw_judgement_free(judgement);
    lw_van_free(van);
    return status;
}
