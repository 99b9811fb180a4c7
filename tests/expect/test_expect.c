/* The runner of cases: what it refuses, and that a wrong figure fails. */
#include "expect.h"

#include "tap.h"
#include <check.h>
#include <stdlib.h>
#include <string.h>

/* given double of=3_m: expect twice 6 m; expect sort even */
static answer answer_double(expect_case *c, const char *wanted)
{
    double of_m = given_SI(c, 0, "of", DIMENSION_LENGTH, NULL);
    if (strcmp(wanted, "sort") == 0) return answer_word(given_word(c, 0, "odd") ? "odd" : "even");
    if (strcmp(wanted, "lines") == 0) return answer_number(c->n_givens, DIMENSION_NUMBER);
    if (strcmp(wanted, "twice") != 0) return answer_unknown(c, wanted);
    return answer_number(2 * of_m, DIMENSION_LENGTH);
}

static const subject double_only[] = {{"double", "twice a length", answer_double}};

typedef struct outcome {
    tally tally;
    char *printed;
} outcome;

static outcome run(const char *text)
{
    outcome o = {0};
    size_t n = 0;
    FILE *out = open_memstream(&o.printed, &n);
    expect_run("x.expect", text, double_only, 1, out, &o.tally);
    fclose(out);
    return o;
}

static void expect_counts(const char *text, int passed, int failed, int refused)
{
    outcome o = run(text);
    ck_assert_msg(o.tally.passed[CASE_HAND] == passed && o.tally.failed[CASE_HAND] == failed &&
                      o.tally.refused == refused,
                  "%s\n%s", text, o.printed);
    ck_assert_int_eq(o.tally.n_lines, passed + failed + refused);
    free(o.printed);
}

START_TEST(meets_and_misses)
{
    expect_counts("from 2 * 3: hand\ngiven double of=3_m\nexpect twice 6 m tolerance 0 %\n", 1, 0, 0);
    expect_counts("from 2 * 3: hand\ngiven double of=3_m\nexpect twice 6.1 m tolerance 1 %\n", 0, 1, 0);
    expect_counts("from 2 * 3: hand\ngiven double of=3_m\nexpect twice 6.1 m tolerance 2 %\n", 1, 0, 0);
    expect_counts("from 2 * 3: hand\ngiven double of=3_m\nexpect twice 6.1 m tolerance 11 cm\n", 1, 0, 0);
    expect_counts("from 2 * 3: hand\ngiven double of=3_m\nexpect twice 6.1 m tolerance 9 cm\n", 0, 1, 0);
    expect_counts("from 2 * 3: hand\ngiven double of=3_m\nexpect twice 6 V tolerance 50 %\n", 0, 1, 0);
    expect_counts("from 2 * 3: hand\ngiven double of=3_m\nexpect twice 6 m\n", 0, 1, 0);
    expect_counts("from 2 * 3: hand\ngiven double of=3_m odd\nexpect sort odd\nexpect twice 6 m tolerance 0 m\n", 2, 0,
                  0);
    expect_counts("from 2 * 3: hand\ngiven double of=3_m\nexpect sort odd\n", 0, 1, 0);
    expect_counts("# nothing\n\n", 0, 0, 0);
    expect_counts("from a: hand\ngiven double of=3_m\ngiven double\nexpect lines 2 tolerance 0 %\n", 1, 0, 0);
}
END_TEST

START_TEST(refuses)
{
    static const char *const texts[] = {
        "hello\n",
        "from 2 * 3\n",
        "from 2 * 3: guess\n",
        ": hand\n",
        "from 2 * 3: hand\ngiven triple of=3_m\n",
        "from 2 * 3: hand\ngiven double of=3_m\n",
        "from 2 * 3: hand\nexpect twice 6 m tolerance 0 %\n",
        "given double of=3_m\nexpect twice 6 m tolerance 0 %\n",
        "from 2 * 3: hand\ngiven double\nexpect twice 6 m tolerance 0 %\n",
        "from 2 * 3: hand\ngiven double of=3_V\nexpect twice 6 m tolerance 0 %\n",
        "from 2 * 3: hand\ngiven double of=3_mm3\nexpect twice 6 m tolerance 0 %\n",
        "from 2 * 3: hand\ngiven double of=3_m\nexpect half 6 m tolerance 0 %\n",
        "from 2 * 3: hand\ngiven double of=3_m\nexpect twice six m tolerance 0 %\n",
        "from 2 * 3: hand\ngiven double of=3_m\nexpect twice 6 m tolerance 1 V\n",
        "from 2 * 3: hand\ngiven double of=3_m\nexpect twice\n",
        "from 2 * 3: hand\ngiven double of=3_m odd=1\nexpect sort odd\n",
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) expect_counts(texts[i], 0, 0, 1);
    /* The case is met, and its unknown word refused. */
    expect_counts("from 2 * 3: hand\ngiven double of=3_m sise=2\nexpect twice 6 m tolerance 0 %\n", 1, 0, 1);
}
END_TEST

START_TEST(names_the_line)
{
    outcome o = run("from 2 * 3: hand\n\ngiven double of=3_m sise=2\nexpect twice 7 m tolerance 0 %\n");
    ck_assert_str_eq(o.printed, "not ok 1 - x.expect:4 double twice 7 m (hand)\n"
                                "  # expected 7 m, found 6 m\n"
                                "not ok 2 - x.expect:3: refused: `sise` is not a word that double takes here\n");
    free(o.printed);
}
END_TEST

START_TEST(counts_origins_apart)
{
    outcome o = run("from a: published\ngiven double of=3_m\nexpect twice 6 m tolerance 0 %\n"
                    "from b: memory\ngiven double of=3_m\nexpect twice 6 m tolerance 0 %\n"
                    "from c: recorded\ngiven double of=3_m\nexpect twice 7 m tolerance 0 %\n"
                    "from d: practice\ngiven double of=3_m\nexpect twice 6 m tolerance 0 %\n");
    ck_assert_int_eq(o.tally.passed[CASE_PUBLISHED], 1);
    ck_assert_int_eq(o.tally.passed[CASE_MEMORY], 1);
    ck_assert_int_eq(o.tally.failed[CASE_RECORDED], 1);
    ck_assert_int_eq(o.tally.passed[CASE_PRACTICE], 1);
    free(o.printed);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("expect");
    TCase *t = tcase_create("runner");
    tcase_add_test(t, meets_and_misses);
    tcase_add_test(t, refuses);
    tcase_add_test(t, names_the_line);
    tcase_add_test(t, counts_origins_apart);
    suite_add_tcase(s, t);
    return tap_run(s);
}
