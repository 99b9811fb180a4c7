/* base: memory by lifetime, reports, numbers as text, nearest word. */
#include "base/json.h"
#include "base/report.h"

#include "tap.h"
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void take_too_much(void *context) { arena_take(context, SIZE_MAX / 2, 4); }
static void take_a_little(void *context) { memset(arena_take(context, 10, 100), 1, 1000); }
static void try_inside(void *context)
{
    ck_assert(!arena_try(context, take_too_much, context));
    ck_assert(arena_try(context, take_a_little, context));
}

START_TEST(arena_leaves_to_its_guard)
{
    arena *a = arena_create();
    ck_assert(arena_try(a, take_a_little, a));
    ck_assert(!arena_try(a, take_too_much, a));
    ck_assert(arena_try(a, try_inside, a));
    arena_destroy(a);
    arena_destroy(NULL);
}
END_TEST

static int order;
static void note_order(void *what) { order = order * 10 + *(int *)what; }

START_TEST(arena_runs_deferred_last_first)
{
    static int one = 1, two = 2;
    arena *a = arena_create();
    arena_defer(a, note_order, &one);
    arena_defer(a, note_order, &two);
    arena_destroy(a);
    ck_assert_int_eq(order, 21);
}
END_TEST

START_TEST(arrays_grow_and_keep)
{
    arena *a = arena_create();
    ARRAY(int) xs = {0};
    for (int i = 0; i < 1000; i++) *ARRAY_ADD(a, &xs) = i;
    for (int i = 0; i < 1000; i++) ck_assert_int_eq(xs.at[i], i);
    arena_destroy(a);
}
END_TEST

START_TEST(report_sorts_by_place_and_counts_what_it_drops)
{
    arena *a = arena_create();
    report *r = report_create(a, "x.yaml");
    report_error(r, (place){3, 1}, "late", "mend it");
    report_error(r, (place){1, 2}, "early", "mend it");
    report_error(r, (place){0, 0}, "whole", "mend it");
    ck_assert_str_eq(report_text(r, a), "x.yaml: error: whole; mend it\nx.yaml:1:2: error: early; mend it\n"
                                        "x.yaml:3:1: error: late; mend it\n");
    for (int i = 0; i < 1010; i++) report_error(r, (place){9, 1}, "again", "mend it");
    ck_assert_uint_eq(report_count(r), 1013);
    ck_assert_ptr_nonnull(strstr(report_text(r, a), "x.yaml: error: 13 more faults; mend these first\n"));
    arena_destroy(a);
}
END_TEST

START_TEST(exact_numbers_read_back)
{
    char out[number_room];
    ck_assert_str_eq(number_exact(0.1, out), "0.1");
    ck_assert_str_eq(number_exact(-12, out), "-12");
    ck_assert_str_eq(number_exact(NAN, out), "null");
    ck_assert_str_eq(number_exact(-0.0, out), "0");
    srand(1);
    for (int i = 0; i < 10000; i++) {
        double x = ((double)rand() / RAND_MAX - 0.5) * pow(10, rand() % 40 - 20);
        ck_assert(strtod(number_exact(x, out), NULL) == x);
    }
}
END_TEST

START_TEST(short_numbers_round_for_people)
{
    char out[number_room];
    ck_assert_str_eq(number_short(12.649, 3, out), "12.6");
    ck_assert_str_eq(number_short(9.9996, 3, out), "10");
    ck_assert_str_eq(number_short(1234.5, 3, out), "1230");
    ck_assert_str_eq(number_short(0.00123456, 3, out), "0.00123");
    ck_assert_str_eq(number_short(0, 3, out), "0");
}
END_TEST

START_TEST(nearest_word_suggests_only_what_is_near)
{
    static const char *const words[] = {"length", "size", "colour", "sheathed"};
    ck_assert_int_eq(nearest_word("lenght", words, 4), 0);
    ck_assert_int_eq(nearest_word("color", words, 4), 2);
    ck_assert_int_eq(nearest_word("voltage", words, 4), -1);
    ck_assert_int_eq(nearest_word("", words, 4), -1);
}
END_TEST

START_TEST(json_is_good_whatever_goes_in)
{
    arena *a = arena_create();
    sink s = sink_in(a);
    json_text(&s, "a\"\\\n\x01\xC3\xA4\xED\xA0\x80\xFF");
    json_number(&s, 1e300 * 1e300);
    json_text_or_null(&s, NULL);
    ck_assert_str_eq(sink_text(&s), "\"a\\\"\\\\\\n\\u0001\xC3\xA4\\ufffd\\ufffd\\ufffd\\ufffd\"nullnull");
    ck_assert(text_is_utf8("\xC3\xA4", 2));
    ck_assert(!text_is_utf8("\xC3\xA4", 1));
    ck_assert(!text_is_utf8("a\0b", 3));
    ck_assert(!text_is_utf8("\xC0\x80", 2));
    arena_destroy(a);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("base");
    TCase *t = tcase_create("base");
    suite_add_tcase(s, t);
    tcase_add_test(t, arena_leaves_to_its_guard);
    tcase_add_test(t, arena_runs_deferred_last_first);
    tcase_add_test(t, arrays_grow_and_keep);
    tcase_add_test(t, report_sorts_by_place_and_counts_what_it_drops);
    tcase_add_test(t, exact_numbers_read_back);
    tcase_add_test(t, short_numbers_round_for_people);
    tcase_add_test(t, nearest_word_suggests_only_what_is_near);
    tcase_add_test(t, json_is_good_whatever_goes_in);
    return tap_run(s);
}
