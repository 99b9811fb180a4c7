/* read: memory that runs out. Every allocation of the reader, libyaml's among them, fails once; each time the reader
 * must leave through arena_try, with nothing lost and nothing half-read, and the next attempt must go well.
 *
 * malloc, calloc and realloc are replaced by these, which pass on to the next ones (the C library's, or a
 * sanitizer's) until the number of allocations that was chosen. */
#include "read/edit.h"
#include "read/read.h"

#include "tap.h"
#include <check.h>
#include <dlfcn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static long n_taken, fails_at; /* fails_at 0: never */

/* These run before a sanitizer has set itself up. */
#define BARE __attribute__((no_sanitize("address", "undefined")))

BARE static bool fails_now(void) { return fails_at > 0 && ++n_taken == fails_at; }

static void *(*next_malloc)(size_t);
static void *(*next_calloc)(size_t, size_t);
static void *(*next_realloc)(void *, size_t);

/* dlsym itself may allocate before it has found anything: that comes from here, and is never given back. */
static char first_bytes[16384];
static size_t n_first;
static bool is_looking;

BARE static void *from_first(size_t n)
{
    n = (n + 15) / 16 * 16;
    if (n > sizeof first_bytes - n_first) abort();
    n_first += n;
    return first_bytes + n_first - n;
}

BARE static void look_up(void)
{
    if (next_calloc || is_looking) return;
    is_looking = true;
    *(void **)&next_malloc = dlsym(RTLD_NEXT, "malloc");
    *(void **)&next_realloc = dlsym(RTLD_NEXT, "realloc");
    *(void **)&next_calloc = dlsym(RTLD_NEXT, "calloc");
    is_looking = false;
}

BARE void *malloc(size_t n)
{
    look_up();
    if (!next_malloc || is_looking) return from_first(n);
    return fails_now() ? NULL : next_malloc(n);
}

BARE void *calloc(size_t n, size_t size)
{
    look_up();
    if (!next_calloc || is_looking) return from_first(n * size);
    return fails_now() ? NULL : next_calloc(n, size);
}

BARE void *realloc(void *at, size_t n)
{
    look_up();
    return fails_now() ? NULL : next_realloc(at, n);
}

static const char sound[] =
    "loomwall: 1\npractice: europe\nkinds:\n"
    "  k: {says: K, terminals: [p, n], inside: {f: {kind: fan, joins: {pos: p, neg: n}, draws: 4 W}}}\n"
    "items:\n  bank: {kind: battery, capacity: 100 Ah}\n  f: {kind: k}\n"
    "  a: {kind: switch, never-with: [b.on]}\n  b: {kind: switch, panel: left}\n"
    "wires:\n  P1: {from: bank.pos, to: f.p, length: 1 m, size: 2.5 mm2}\n"
    "decided:\n  - {rule: r, where: wire P1, why: \"it is\", date: 2026-11-25}\n";
/* An edit that touches every part of the file. */
static const char *const item_path[] = {"items", "f"};

static const char faulty[] = "loomwall: 1\npractice: mars\nitems:\n  bank: {kind: batery, capacity: 100 A}\n"
                             "  s: {kind: switch, positions: [onn], x: 1}\n"
                             "wires:\n  P1: {from: bnk.pos, to: s.feed, lenght: 1, size: 3 mm2}\n";
static const char broken[] = "loomwall: 1\nitems: {bank: {kind: battery, capacity: 100 Ah\n";

typedef struct attempt {
    arena *arena;
    bool is_edit, is_edited;
    const char *text;
    van *van;
    const char *said;
} attempt;

static void try_to_read(void *context)
{
    attempt *t = context;
    report *r = report_create(t->arena, "van.yaml");
    t->van = read_van(t->arena, "van.yaml", t->text, strlen(t->text), r);
    t->said = report_text(r, t->arena);
    if (!t->is_edit) return;
    edit edits[] = {{EDIT_RENAME, item_path, 2, NULL, "fan-1"},
                    {EDIT_PUT, (const char *[]){"conditions", "hottest"}, 2, draft_scalar(t->arena, "a: b"), NULL},
                    {EDIT_DROP, (const char *[]){"wires", "P1"}, 2, NULL, NULL}};
    edited out = edit_make(t->arena, &(edited_file){t->van, t->text, strlen(t->text)}, edits, 3);
    t->is_edited = out.text != NULL;
}

/* Whether the reader came through while allocation number `n` failed; n 0: none fails, n_taken counts them. */
static bool read_while_failing(const char *text, long n, bool is_van, bool is_edit)
{
    attempt t = {.arena = arena_create(), .text = text, .is_edit = is_edit};
    ck_assert(t.arena != NULL);
    n_taken = 0;
    fails_at = n;
    bool is_done = arena_try(t.arena, try_to_read, &t);
    fails_at = 0;
    if (is_done) ck_assert((t.van != NULL) == is_van && (*t.said == 0) == is_van);
    ck_assert(t.is_edited == (is_done && is_edit));
    arena_destroy(t.arena);
    return is_done;
}

static long count_allocations(const char *text, bool is_van, bool is_edit)
{
    static const long never = 1L << 40;
    ck_assert(read_while_failing(text, never, is_van, is_edit));
    return n_taken;
}

/* All of the first and then, where each block of the arena is a malloc of its own, an even choice of the rest. */
static void fail_each(const char *text, bool is_van, bool is_edit)
{
    enum { n_first_ones = 100, n_others = 400 };
    long n = count_allocations(text, is_van, is_edit), step = n / n_others + 1;
    ck_assert_int_gt(n, 20);
    for (long i = 1; i <= n; i += i < n_first_ones ? 1 : step)
        ck_assert_msg(!read_while_failing(text, i, is_van, is_edit), "%ld", i);
    ck_assert(!read_while_failing(text, n, is_van, is_edit));
    ck_assert(read_while_failing(text, n + 1, is_van, is_edit));
}

START_TEST(a_sound_file) { fail_each(sound, true, false); }
END_TEST
START_TEST(a_file_with_faults) { fail_each(faulty, false, false); }
END_TEST
START_TEST(an_edit) { fail_each(sound, true, true); }
END_TEST
START_TEST(a_file_that_is_no_yaml) { fail_each(broken, false, false); }
END_TEST

int main(void)
{
    Suite *s = suite_create("read-memory");
    TCase *t = tcase_create("read-memory");
    tcase_set_timeout(t, 240);
    tcase_add_test(t, a_sound_file);
    tcase_add_test(t, a_file_with_faults);
    tcase_add_test(t, a_file_that_is_no_yaml);
    tcase_add_test(t, an_edit);
    suite_add_tcase(s, t);
    return tap_run(s);
}
