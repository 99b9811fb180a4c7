/* What the reader says: each NAME.yaml of the folder, read, against the whole text in NAME.txt beside it. A folder with
 * only half a pair is a fault as well. */
#include "read/read.h"

#include "tap.h"
#include <check.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { most_files = 1000, longest_path = 4096 };

static const char *folder;
static char *stems[most_files];
static int n_stems;

static bool ends_with(const char *text, const char *end)
{
    size_t n = strlen(text), m = strlen(end);
    return n > m && strcmp(text + n - m, end) == 0;
}

static char *load(const char *stem, const char *ending, size_t *n)
{
    char path[longest_path];
    snprintf(path, sizeof path, "%s/%s%s", folder, stem, ending);
    FILE *f = fopen(path, "rb");
    ck_assert_msg(f != NULL, "%s is not there", path);
    size_t room = 1 << 20;
    char *text = malloc(room + 1);
    ck_assert(text != NULL);
    *n = fread(text, 1, room, f);
    text[*n] = 0;
    fclose(f);
    return text;
}

START_TEST(says_what_the_golden_says)
{
    const char *stem = stems[_i];
    size_t n, n_golden;
    char *text = load(stem, ".yaml", &n), *golden = load(stem, ".txt", &n_golden);
    arena *a = arena_create();
    char *name = arena_printf(a, "%s.yaml", stem);
    report *r = report_create(a, name);
    ck_assert_msg(read_van(a, name, text, n, r) == NULL, "%s: reads without a fault", stem);
    const char *said = report_text(r, a);
    ck_assert_msg(strcmp(said, golden) == 0, "%s\n--- said\n%s--- golden\n%s", stem, said, golden);
    arena_destroy(a);
    free(text);
    free(golden);
}
END_TEST

static int by_text(const void *a, const void *b) { return strcmp(*(char *const *)a, *(char *const *)b); }

static bool list_stems(void)
{
    DIR *d = opendir(folder);
    if (!d) return false;
    int n_golden = 0;
    for (const struct dirent *e; (e = readdir(d)) && n_stems < most_files;) {
        n_golden += ends_with(e->d_name, ".txt");
        if (!ends_with(e->d_name, ".yaml")) continue;
        stems[n_stems] = strndup(e->d_name, strlen(e->d_name) - strlen(".yaml"));
        if (!stems[n_stems++]) return false;
    }
    closedir(d);
    qsort(stems, (size_t)n_stems, sizeof *stems, by_text);
    return n_stems > 0 && n_stems == n_golden;
}

int main(int argc, char **argv)
{
    if (argc != 2) return fprintf(stderr, "usage: %s FOLDER\n", argv[0]), 2;
    folder = argv[1];
    if (!list_stems()) return fprintf(stderr, "%s: every .yaml needs its .txt\n", folder), 2;
    Suite *s = suite_create("messages");
    TCase *t = tcase_create("messages");
    tcase_add_loop_test(t, says_what_the_golden_says, 0, n_stems);
    suite_add_tcase(s, t);
    const int status = tap_run(s);
    for (int i = 0; i < n_stems; i++) free(stems[i]);
    return status;
}
