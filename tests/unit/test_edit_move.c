/* edit: an entry moved before another takes its lines and its own comments along, to the byte, and leaves all else. */
#include "read/edit.h"
#include "read/read.h"

#include "tap.h"
#include <check.h>
#include <string.h>

static arena *a;

static void setup(void) { a = arena_create(); }
static void teardown(void) { arena_destroy(a); }

#define HEAD "loomwall: 1\npractice: europe\nitems:\n"
#define ONE "  bank: {kind: battery,  capacity: 100 Ah}   # under the bench\n"
#define TWO "  lamp:\n    kind: led-light # warm\n    draws: '4 W'\n      # dim it\n"
#define THREE "  fuse: {kind: fuse, rating: 20 A}\n"

/* After HEAD. `after` NULL: `why` is in the refusal. */
typedef struct pair {
    const char *before, *id, *to, *after, *why;
} pair;

static const pair pairs[] = {
    {ONE TWO THREE, "fuse", "bank", THREE ONE TWO, NULL},
    {ONE TWO THREE, "fuse", "lamp", ONE THREE TWO, NULL},
    {ONE TWO THREE, "lamp", "bank", TWO ONE THREE, NULL},
    {ONE "  # ---- cabin ----\n" TWO THREE, "fuse", "lamp", ONE THREE "  # ---- cabin ----\n" TWO, NULL},
    /* It stands there already. */
    {ONE TWO THREE, "lamp", "fuse", ONE TWO THREE, NULL},
    {ONE TWO THREE, "lamp", "lamp", ONE TWO THREE, NULL},
    /* The last line has no end. */
    {ONE "  fuse: {kind: fuse, rating: 20 A}", "fuse", "bank", THREE ONE, NULL},
    {ONE TWO, "pump", "bank", NULL, "there is no `items.pump` to move"},
    {ONE TWO, "bank", "pump", NULL, "there is no `pump` beside it"},
};

START_TEST(moves)
{
    const pair *p = &pairs[_i];
    const char *text = arena_printf(a, HEAD "%s", p->before);
    report *r = report_create(a, "van.yaml");
    const van *v = read_van(a, "van.yaml", text, strlen(text), r);
    ck_assert_msg(v != NULL, "%s", report_text(r, a));
    edited_file file = {v, text, strlen(text)};
    edit what = {.verb = EDIT_MOVE, .path = (const char *[]){"items", p->id}, .n_path = 2, .to = p->to};
    edited out = edit_make(a, &file, &what, 1);
    if (!p->after) {
        ck_assert_ptr_null(out.text);
        ck_assert_msg(strstr(out.why, p->why) != NULL, "%s", out.why);
        return;
    }
    ck_assert_msg(out.text != NULL, "%s", out.why);
    ck_assert_str_eq(out.text + strlen(HEAD), p->after);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("edit-move");
    TCase *t = tcase_create("edit-move");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_loop_test(t, moves, 0, (int)(sizeof pairs / sizeof pairs[0]));
    suite_add_tcase(s, t);
    return tap_run(s);
}
