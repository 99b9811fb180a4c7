/* Replacing a file that others write to as well: nothing that anybody wrote is lost, and nothing is left beside it. And the
 * texts that a history remembers. */
#include "common/disk.h"
#include "history.h"

#include "tap.h"
#include <check.h>
#include <dirent.h>
#include <errno.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static arena *a;
static char folder[] = "/tmp/loomwall-disk-XXXXXX";
static const char *path;

static void set_up(void)
{
    strcpy(folder + strlen(folder) - 6, "XXXXXX");
    a = arena_create();
    ck_assert_ptr_nonnull(mkdtemp(folder));
    path = arena_printf(a, "%s/van.yaml", folder);
}

static int n_in_folder(void)
{
    int n = 0;
    DIR *in = opendir(folder);
    while (readdir(in)) n++;
    closedir(in);
    return n - 2;
}

static void take_down(void)
{
    unlink(path);
    ck_assert_int_eq(n_in_folder(), 0);
    rmdir(folder);
    arena_destroy(a);
}

static disk_text text_of(const char *words) { return (disk_text){words, strlen(words), true}; }
static const disk_text nothing = {"", 0, false};

static disk_outcome replace(disk_text old, disk_text fresh, disk_text *found)
{
    return disk_replace(a, path, &old, &fresh, found);
}

static void holds(const char *words)
{
    disk_text is, wanted = text_of(words);
    ck_assert(disk_read(a, path, &is));
    ck_assert_msg(disk_same(&is, &wanted), "`%s`, wanted `%s`", is.bytes, words);
}

START_TEST(replaces_what_is_expected_alone)
{
    disk_text found;
    ck_assert_int_eq(replace(nothing, text_of("one"), &found), DISK_DONE);
    ck_assert_int_eq(replace(nothing, text_of("two"), &found), DISK_OTHER);
    ck_assert_str_eq(found.bytes, "one");
    ck_assert_int_eq(replace(text_of("one"), text_of("two"), &found), DISK_DONE);
    holds("two");
    ck_assert_int_eq(replace(text_of("one"), text_of("three"), &found), DISK_OTHER);
    ck_assert_str_eq(found.bytes, "two");
    holds("two");
    unlink(path);
    ck_assert_int_eq(replace(text_of("two"), text_of("three"), &found), DISK_OTHER);
    ck_assert(!found.is_there);
}
END_TEST

/* Another program puts numbered texts in place, each once. */
typedef struct writer {
    int n;
    atomic_bool is_done;
} writer;

static void put(const char *beside, int number)
{
    FILE *out = fopen(beside, "w");
    fprintf(out, "theirs %d", number);
    fclose(out);
    rename(beside, path);
}

static void *run_writer(void *context)
{
    writer *w = context;
    char beside[64];
    snprintf(beside, sizeof beside, "%s/editor", folder);
    for (int i = 1; i <= w->n; i++) put(beside, i);
    w->is_done = true;
    return NULL;
}

/* A text of theirs that we wrote over is one that we had seen; so the last of theirs is either there, or was seen. */
START_TEST(loses_nothing_to_a_race)
{
    writer w = {.n = 2000};
    pthread_t thread;
    disk_text seen = nothing, found;
    int n_ours = 0, n_raced = 0;
    bool has_seen_last = false;
    char last[32];
    snprintf(last, sizeof last, "theirs %d", w.n);
    pthread_create(&thread, NULL, run_writer, &w);
    for (bool is_over = false; !is_over;) {
        is_over = w.is_done;
        disk_text fresh = text_of(arena_printf(a, "ours %d after %s", n_ours, seen.bytes));
        disk_outcome outcome = replace(seen, fresh, &found);
        ck_assert_msg(outcome != DISK_FAILED, "%s", strerror(errno));
        n_ours += outcome == DISK_DONE;
        n_raced += outcome == DISK_OTHER;
        seen = outcome == DISK_DONE ? fresh : found;
        has_seen_last = has_seen_last || strcmp(seen.bytes, last) == 0;
    }
    pthread_join(thread, NULL);
    disk_text is;
    ck_assert(disk_read(a, path, &is));
    ck_assert_msg(has_seen_last || strcmp(is.bytes, last) == 0, "`%s` is there, `%s` was lost", is.bytes, last);
    ck_assert_int_gt(n_ours, 0);
    ck_assert_int_gt(n_raced, 0);
}
END_TEST

static text random_text(unsigned *dice)
{
    size_t n = (size_t)(rand_r(dice) % 40);
    char *at = arena_take(a, n + 1, 1);
    for (size_t i = 0; i < n; i++) at[i] = "ab\n"[rand_r(dice) % 3];
    return (text){at, n};
}

START_TEST(history_knows_every_revision)
{
    enum { n_turns = 500 };
    unsigned dice = 7;
    history h = {.arena = a};
    text texts[n_turns + 1] = {{"", 0}};
    for (unsigned turn = 1; turn <= n_turns; turn++) {
        const step *step = rand_r(&dice) % 2 ? history_undo(&h) : history_redo(&h);
        bool is_undo = step == history_undo(&h);
        if (step && rand_r(&dice) % 3) {
            texts[turn] = history_text_turned(&h, a, step, is_undo, texts[turn - 1]);
            history_turn(&h, is_undo);
        } else {
            texts[turn] = random_text(&dice);
            history_mark mark = history_now(&h);
            history_edit(&h, texts[turn - 1], random_text(&dice), "not written");
            history_return(&h, mark);
            history_edit(&h, texts[turn - 1], texts[turn], "an edit");
        }
    }
    for (unsigned turn = 0; turn <= n_turns; turn++) {
        text was = history_text_at(&h, a, turn + 1, texts[n_turns]);
        ck_assert_uint_eq(was.n, texts[turn].n);
        ck_assert_int_eq(memcmp(was.at, texts[turn].at, was.n), 0);
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("disk");
    TCase *t = tcase_create("disk");
    suite_add_tcase(s, t);
    tcase_set_timeout(t, 120);
    tcase_add_checked_fixture(t, set_up, take_down);
    tcase_add_test(t, replaces_what_is_expected_alone);
    tcase_add_test(t, loses_nothing_to_a_race);
    tcase_add_test(t, history_knows_every_revision);
    return tap_run(s);
}
