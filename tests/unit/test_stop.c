/* A judging that is no longer wanted stops at whatever operating point it has come to, and one that goes on says what it
 * says without being asked. */
#include "loomwall/judge.h"

#include "tap.h"
#include <check.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>

enum { most_bytes = 1 << 20 };

static lw_van *van;
static const char *folder;

/* Stale from the given question on. */
typedef struct patience {
    pthread_mutex_t lock;
    long n_asked, most;
} patience;

static bool is_over(void *context)
{
    patience *p = context;
    pthread_mutex_lock(&p->lock);
    bool is_over = p->n_asked++ >= p->most;
    pthread_mutex_unlock(&p->lock);
    return is_over;
}

static void setup(void)
{
    static char path[4096], text[most_bytes];
    snprintf(path, sizeof path, "%s/starling/starling.yaml", folder);
    FILE *file = fopen(path, "rb");
    ck_assert_ptr_nonnull(file);
    size_t n = fread(text, 1, sizeof text, file);
    fclose(file);
    lw_report *report = NULL;
    ck_assert_int_eq(lw_van_read(path, text, n, &van, &report), LW_OK);
    lw_report_free(report);
}

static void teardown(void) { lw_van_free(van); }

static lw_status judge_with(patience *p, int n_threads, char **json)
{
    lw_judge_options o = {.n_threads = n_threads, .is_stale = p ? is_over : NULL, .context = p};
    lw_judgement *judgement = NULL;
    lw_status status = lw_judge(van, &o, &judgement);
    ck_assert((status == LW_OK) == (judgement != NULL));
    if (judgement) ck_assert_int_eq(lw_judgement_json(judgement, json), LW_OK);
    lw_judgement_free(judgement);
    return status;
}

/* One and two threads: the second season then runs beside the first. */
START_TEST(stops)
{
    char *plain = NULL, *asked = NULL;
    patience p = {PTHREAD_MUTEX_INITIALIZER, 0, 1L << 40};
    ck_assert_int_eq(judge_with(NULL, _i, &plain), LW_OK);
    ck_assert_int_eq(judge_with(&p, _i, &asked), LW_OK);
    ck_assert_str_eq(plain, asked);
    ck_assert_int_gt(p.n_asked, 20);
    long n = p.n_asked;
    for (long most = 0; most < n; most += most < 10 ? 1 : n / 7) {
        p.n_asked = 0;
        p.most = most;
        ck_assert_int_eq(judge_with(&p, _i, &asked), LW_STOPPED);
        ck_assert_int_le(p.n_asked, most + 5); /* each thread once, and lw_judge itself */
    }
    lw_free(plain);
    lw_free(asked);
}
END_TEST

int main(int n_words, char **words)
{
    if (n_words != 2) return EXIT_FAILURE;
    folder = words[1];
    Suite *s = suite_create("stop");
    TCase *t = tcase_create("stop");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_set_timeout(t, 240);
    tcase_add_loop_test(t, stops, 1, 3);
    suite_add_tcase(s, t);
    return tap_run(s);
}
