/* edit: labels written into a file, and labels retired. Hand-written pairs of before and after; then many files of odd
 * styles, of which every byte that need not move is looked for. */
#include "read/edit.h"
#include "read/read.h"

#include "tap.h"
#include <check.h>
#include <stdlib.h>
#include <string.h>

static arena *a;

static void setup(void) { a = arena_create(); }
static void teardown(void) { arena_destroy(a); }

#define HEAD                                                                                                           \
    "loomwall: 1\npractice: europe\nitems:\n  bank: {kind: battery, capacity: 100 Ah}\n  fuse: {kind: fuse, rating: "  \
    "20 A}\n"
#define ENDS "from: bank.pos, to: fuse.in"

static edited_file file_of(const char *text)
{
    report *r = report_create(a, "van.yaml");
    const van *v = read_van(a, "van.yaml", text, strlen(text), r);
    ck_assert_msg(v != NULL, "%s%s", report_text(r, a), text);
    return (edited_file){v, text, strlen(text)};
}

/* ---- pairs ---- */

/* After HEAD. `after` NULL: `why` is in the refusal. */
typedef struct pair {
    const char *before, *after, *why;
} pair;

static const pair labelled[] = {
    /* Nothing to do. */
    {"wires:\n  P1: {" ENDS "}\n", "wires:\n  P1: {" ENDS "}\n", NULL},
    {"unlabelled:\n", "unlabelled:\n", NULL},
    /* Lines into lines: comments go with their wires, those around stay. */
    {"wires:   # mine\n    P1: {" ENDS "}  # first\n  # last\n\nunlabelled: # new\n# one\n-   {" ENDS
     "}  # tail - lamp\n\n  # two\n"
     "- {" ENDS ", says: 'a # b'}\n# end\ndecided: []\n",
     "wires:   # mine\n    P1: {" ENDS "}  # first\n    # one\n    W2:   {" ENDS "}  # tail - lamp\n\n      # two\n"
     "    W3: {" ENDS ", says: 'a # b'}\n  # last\n\nunlabelled: # new\n# end\ndecided: []\n",
     NULL},
    /* From the right to the left, and from below `unlabelled`. */
    {"unlabelled:\n        - {" ENDS "}\nwires:\n  P7: {" ENDS "}\n",
     "unlabelled:\nwires:\n  P7: {" ENDS "}\n  W8: {" ENDS "}\n", NULL},
    /* Wires without braces. */
    {"wires:\n  P1:\n    from: bank.pos\n    to: fuse.in   # end\nunlabelled:\n  - from: bank.pos\n    to: fuse.in # "
     "other end\n"
     "  -   # why\n      from: bank.pos\n      to: fuse.in\n      says: |\n        one\n\n          two\n  - {" ENDS
     "}\n",
     "wires:\n  P1:\n    from: bank.pos\n    to: fuse.in   # end\n  W2:\n    from: bank.pos\n    to: fuse.in # other "
     "end\n"
     "  W3:   # why\n      from: bank.pos\n      to: fuse.in\n      says: |\n        one\n\n          two\n  W4: {" ENDS
     "}\n"
     "unlabelled:\n",
     NULL},
    /* Behind a block of text. */
    {"wires:\n  P1:\n    from: bank.pos\n    to: fuse.in\n    says: |\n      one\n\n# between\nunlabelled:\n- {" ENDS
     "}",
     "wires:\n  P1:\n    from: bank.pos\n    to: fuse.in\n    says: |\n      one\n\n  W2: {" ENDS
     "}\n# between\nunlabelled:\n",
     NULL},
    /* The last line has no end. */
    {"unlabelled:\n- {" ENDS "}\nwires:\n  P1: {" ENDS "}", "unlabelled:\nwires:\n  P1: {" ENDS "}\n  W2: {" ENDS "}\n",
     NULL},
    /* No wires yet. */
    {"unlabelled: # new\n# one\n- {" ENDS "}\n# end\n", "unlabelled: # new\nwires:\n  # one\n  W1: {" ENDS "}\n# end\n",
     NULL},
    {"unlabelled: [{" ENDS "}] # new\nname: x\n", "unlabelled: [] # new\nwires:\n  W1: {" ENDS "}\nname: x\n", NULL},
    {"wires: {}\nunlabelled: [{" ENDS "}]\n", "wires: {W1: {" ENDS "}}\nunlabelled: []\n", NULL},
    /* Brackets. */
    {"wires:\n  P1: {" ENDS "}\nunlabelled: [ {" ENDS "},\n  {" ENDS "} ,]\n",
     "wires:\n  P1: {" ENDS "}\n  W2: {" ENDS "}\n  W3: {" ENDS "}\nunlabelled: []\n", NULL},
    {"wires: {P1: {" ENDS "},   # red\n  P2: {" ENDS "}  # black\n  }\nunlabelled:\n  - {" ENDS "}\n  - {" ENDS "}\n",
     "wires: {P1: {" ENDS "},   # red\n  P2: {" ENDS "}, W3: {" ENDS "}, W4: {" ENDS "}  # black\n  }\nunlabelled:\n",
     NULL},
    {"wires: {P1: {" ENDS "},}\nunlabelled: [{" ENDS "}]\n",
     "wires: {P1: {" ENDS "}, W2: {" ENDS "},}\nunlabelled: []\n", NULL},
    {"wires: {P1: {" ENDS "}}\nunlabelled:\n  - {" ENDS "} # red\n", NULL, "comment"},
    {"wires:\n  P1: {" ENDS "}\nunlabelled: [\n  {" ENDS "}, # red\n]\n", NULL, "comment"},
    {"wires: {P1: {" ENDS "}}\nunlabelled:\n  - from: bank.pos\n    to: fuse.in\n", NULL, "braces"},
    /* Ways to write that nobody needs: refused, by what was compared. */
    {"wires:\n  P1: {" ENDS "}\n? unlabelled\n: - {" ENDS "}\n", NULL, "by hand"},
    {"? wires\n: P1: {" ENDS "}\nunlabelled:\n- {" ENDS "}\n",
     "? wires\n: P1: {" ENDS "}\n  W2: {" ENDS "}\nunlabelled:\n", NULL},
};

static const pair retired[] = {
    {"wires:\n  P1: {" ENDS "}  # one\n# end\nname: x\n",
     "wires:\n  P1: {" ENDS "}  # one\nretired: [P7]\n# end\nname: x\n", NULL},
    {"wires: {P1: {" ENDS "}}", "wires: {P1: {" ENDS "}}\nretired: [P7]\n", NULL},
    {"name: x # y\n# end\n", "retired: [P7]\nname: x # y\n# end\n", NULL},
    {"retired:   # gone\nname: x\n", "retired: [P7]   # gone\nname: x\n", NULL},
    {"retired: [ ]\n", "retired: [ P7]\n", NULL},
    {"retired: [P5, N3 ]  # gone\n", "retired: [P5, N3, P7 ]  # gone\n", NULL},
    {"retired:\n  - P5   # gone\n  # and\nname: x\n", "retired:\n  - P5   # gone\n  - P7\n  # and\nname: x\n", NULL},
    {"retired:\n- P5", "retired:\n- P5\n- P7\n", NULL},
    {"retired: [P7]\n", "retired: [P7]\n", NULL},
    {"unlabelled:\n- {" ENDS "}\nwires:\n  P1: {" ENDS "}\n",
     "unlabelled:\n- {" ENDS "}\nwires:\n  P1: {" ENDS "}\nretired: [P7]\n", NULL},
    {"? retired\n: - P5\n", "? retired\n: - P5\n  - P7\n", NULL},
    {"? retired\nname: x\n", NULL, "by hand"},
};

static const char *with_crlf(const char *text)
{
    sink s = sink_in(a);
    for (; *text; text++) sink_add_n(&s, *text == '\n' ? "\r\n" : text, *text == '\n' ? 2 : 1);
    return sink_text(&s);
}

static void check_pair(const pair *p, bool is_retired)
{
    for (int style = 0; style < 4; style++) { /* with CRLF, and with a byte-order mark */
        const char *mark = style & 2 ? "\xEF\xBB\xBF" : "";
        const char *before = arena_printf(a, "%s%s%s", mark, HEAD, p->before);
        const char *after = arena_printf(a, "%s%s%s", mark, HEAD, p->after ? p->after : "");
        if (style & 1) before = with_crlf(before), after = with_crlf(after);
        edited_file file = file_of(before);
        const char *why = NULL;
        const char *got = is_retired ? edit_retire(a, &file, "P7", &why) : edit_give_labels(a, &file, &why);
        if (p->after)
            ck_assert_msg(got && strcmp(got, after) == 0, "%s\n--- before\n%s--- got\n%s--- wanted\n%s", why, before,
                          got, after);
        else
            ck_assert_msg(!got && why && strstr(why, p->why), "%s\n--- before\n%s--- got\n%s", why, before, got);
    }
}

START_TEST(gives_labels) { check_pair(&labelled[_i], false); }
END_TEST

START_TEST(retires) { check_pair(&retired[_i], true); }
END_TEST

/* A file that is JSON stays JSON. */
START_TEST(keeps_json)
{
    const char *start = "{\"loomwall\": 1, \"practice\": \"europe\", \"items\": {\"b\": {\"kind\": \"battery\", "
                        "\"capacity\": \"9 Ah\"}}, ";
    const char *ends = "{\"from\": \"b.pos\", \"to\": \"b.neg\"}", *why = NULL;
    edited_file file = file_of(arena_printf(a, "%s\"unlabelled\": [%s, %s]}", start, ends, ends));
    ck_assert_str_eq(edit_give_labels(a, &file, &why),
                     arena_printf(a, "%s\"wires\": {\"W1\": %s, \"W2\": %s}, \"unlabelled\": []}", start, ends, ends));
    file = file_of(arena_printf(a, "%s\"wires\": {\"P1\": %s}, \"unlabelled\": [%s]}\n", start, ends, ends));
    ck_assert_str_eq(
        edit_give_labels(a, &file, &why),
        arena_printf(a, "%s\"wires\": {\"P1\": %s, \"W2\": %s}, \"unlabelled\": []}\n", start, ends, ends));
    ck_assert_str_eq(edit_retire(a, &file, "P7", &why),
                     arena_printf(a, "%s\"wires\": {\"P1\": %s}, \"unlabelled\": [%s], \"retired\": [\"P7\"]}\n", start,
                                  ends, ends));
}
END_TEST

/* ---- files of odd styles ---- */

static unsigned long long state;

static int any(int n)
{
    state = state * 6364136223846793005ULL + 1442695040888963407ULL;
    return (int)((state >> 33) % (unsigned)n);
}

#define ONE_OF(...)                                                                                                    \
    (((const char *const[]){__VA_ARGS__})[any((int)(sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *)))])

static const char *comment(void) { return ONE_OF("", "", "  # red - or black", " # {x: [y]}", "\t# ü 車 '\""); }

static void add_line_between(sink *s)
{
    sink_add(s, ONE_OF("", "", "", "\n", "# - {a: b}\n", "      # deep\n", "  # W9: no\n", "   \n"));
}

/* A wire behind its dash or label; `column` is where it starts, if it starts there. */
static void add_wire(sink *s, int column)
{
    const char *c = comment();
    switch (any(6)) {
    case 0:
        sink_printf(s, "{from: bank.pos,%*sto: \"fuse.in\", says: 'it''s # 5'}%s\n", any(9), "", c);
        break;
    case 1:
        sink_printf(s, "{from: bank.pos,   # why\n%*sto: fuse.in,\n\n%*slength: 2 m}%s\n", column, "", column + any(5),
                    "", c);
        break;
    case 2:
        sink_printf(s, "from: bank.pos%s\n%*s# in between\n%*sto:   fuse.in%s\n", comment(), any(9), "", column, "", c);
        break;
    case 3:
        sink_printf(s, "to: fuse.in\n%*ssays: %s\n%*sfolded ü\n\n%*s  deeper: {\n%*sfrom: bank.pos%s\n", column, "",
                    ONE_OF("|", ">-", "|+", ">"), column + 2, "", column + 2, "", column, "", c);
        break;
    case 4:
        sink_printf(s, "\"from\": bank.pos\n%*s'to' : fuse.in\n%*scolour: plain over\n%*stwo lines%s\n", column, "",
                    column, "", column + 1 + any(4), "", c);
        break;
    default:
        sink_printf(s, "from: bank.pos\n%*sto: fuse.in\n%*ssays: |\n%*slast\n%s", column, "", column, "",
                    column + 1 + any(4), "", ONE_OF("", "\n", "\n\n"));
    }
}

static const char *any_wires(void)
{
    sink s = sink_in(a);
    int indent = 1 + any(6), n = 1 + any(4);
    for (int i = 1; i <= n; i++) {
        if (i > 1) add_line_between(&s);
        const char *key = ONE_OF("P%d", "\"P%d\"", "'P%d'");
        sink_printf(&s, "%*s%.*s%d%.*s:", indent, "", *key == 'P' ? 1 : 2, key, i, *key == 'P' ? 0 : 1, key);
        sink_printf(&s, "\n%*s", indent + 2, "");
        add_wire(&s, indent + 2);
    }
    return sink_text(&s);
}

static const char *any_list(void)
{
    sink s = sink_in(a);
    int indent = any(7), n = 1 + any(4);
    for (int i = 0; i < n; i++) {
        add_line_between(&s);
        int gap = 1 + any(3);
        if (any(4))
            sink_printf(&s, "%*s-%*s", indent, "", gap, "");
        else
            sink_printf(&s, "%*s-%s\n%*s", indent, "", ONE_OF("", " # - here"), indent + 1 + gap, "");
        add_wire(&s, indent + 1 + gap);
    }
    return sink_text(&s);
}

/* Lines without what may change in those that move: spaces in front, dash or label, empty lines. */
static const char *essence(const char *lines)
{
    sink s = sink_in(a);
    while (*lines) {
        size_t n = strcspn(lines, "\r\n");
        const char *at = lines, *end = lines + n;
        while (at < end && *at == ' ') at++;
        if (at < end && *at == '-' && (at + 1 == end || at[1] == ' ')) at++;
        const char *digits = at + 1 + strspn(at + 1, "0123456789");
        if (*at == 'W' && digits > at + 1 && *digits == ':') at = digits + 1;
        while (at < end && *at == ' ') at++;
        if (at < end) sink_add_n(&s, at, (size_t)(end - at)), sink_add(&s, "\n");
        lines = end + strspn(end, "\r\n");
    }
    return sink_text(&s);
}

static void check_same_wires(const van *was, const van *is)
{
    ck_assert_int_eq(was->n_wires, is->n_wires);
    for (int i = 0; i < was->n_wires; i++) {
        const wire *x = &was->wires[i], *y = &is->wires[i];
        ck_assert_str_eq(x->label, y->label);
        ck_assert(!y->is_label_proposed && x->from == y->from && x->to == y->to && x->length_m == y->length_m);
        ck_assert_str_eq(x->says, y->says);
        ck_assert((!x->colour && !y->colour) || strcmp(x->colour, y->colour) == 0);
    }
}

static bool starts_with(const char *text, const char *start) { return strncmp(text, start, strlen(start)) == 0; }

static bool ends_with(const char *text, const char *end)
{
    size_t n = strlen(text), m = strlen(end);
    return n >= m && strcmp(text + n - m, end) == 0;
}

enum { n_odd_files = 160 }; /* each is read three times, kinds and all */

/* Two parts, in either order, between others: what is in front of the new lines and behind them is known to the byte. */
START_TEST(changes_nothing_else)
{
    for (int turn = 0; turn < n_odd_files; turn++) {
        state = (unsigned long long)turn;
        const char *wires = any_wires(), *list = any_list();
        const char *wires_key = ONE_OF("wires:\n", "wires:   # by label\n", "\"wires\" :\n", "wires:\n\n");
        const char *list_key = ONE_OF("unlabelled:\n", "unlabelled:  # - {}\n", "'unlabelled':\n");
        const char *between = ONE_OF("", "decided: []   # none\n", "# alone\n", "retired: [X40]\nsays: >\n  a\n  b\n");
        const char *tail = ONE_OF("", "name: 'x'\n", "# the end\n", "conditions: {hottest: 45 degC}");
        bool is_list_first = any(2), is_crlf = any(2);
        const char *front =
            is_list_first ? arena_printf(a, HEAD "%s", list_key) : arena_printf(a, HEAD "%s%s", wires_key, wires);
        const char *text = is_list_first ? arena_printf(a, "%s%s%s%s%s%s", front, list, between, wires_key, wires, tail)
                                         : arena_printf(a, "%s%s%s%s%s", front, between, list_key, list, tail);
        if (is_list_first) front = arena_printf(a, "%s%s%s%s", front, between, wires_key, wires);
        const char *back = is_list_first ? tail : arena_printf(a, "%s%s%s", between, list_key, tail);
        const char *mark = any(2) ? "\xEF\xBB\xBF" : "";
        if (is_crlf) text = with_crlf(text), front = with_crlf(front), back = with_crlf(back);
        text = arena_printf(a, "%s%s", mark, text);
        front = arena_printf(a, "%s%s", mark, front);

        edited_file file = file_of(text);
        const char *why = NULL, *got = edit_give_labels(a, &file, &why);
        ck_assert_msg(got != NULL, "%d: %s\n%s", turn, why, text);
        check_same_wires(file.van, file_of(got).van);
        ck_assert_msg(starts_with(got, front) && ends_with(got, back) && strlen(got) > strlen(front) + strlen(back),
                      "%d\n--- before\n%s--- got\n%s", turn, text, got);
        const char *moved = arena_text_n(a, got + strlen(front), strlen(got) - strlen(front) - strlen(back));
        ck_assert_msg(strcmp(essence(moved), essence(list)) == 0, "%d\n--- moved\n%s--- from\n%s", turn, moved, list);
        ck_assert(!is_crlf || !strstr(essence(moved), "\r"));
        for (const char *c = moved; is_crlf && (c = strchr(c, '\n')); c++) ck_assert(c[-1] == '\r');
        teardown();
        setup();
    }
}
END_TEST

/* What was given stays given: asked again, the file is left as it is. */
START_TEST(gives_labels_once)
{
    edited_file file = file_of(HEAD "unlabelled:\n- {" ENDS "}\nretired: [P9, W12]\n");
    const char *why = NULL, *once = edit_give_labels(a, &file, &why);
    ck_assert_ptr_nonnull(once);
    ck_assert_ptr_nonnull(strstr(once, "  W13: {"));
    edited_file again = file_of(once);
    ck_assert_str_eq(edit_give_labels(a, &again, &why), once);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("edit");
    TCase *t = tcase_create("edit");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_set_timeout(t, 240);
    tcase_add_loop_test(t, gives_labels, 0, (int)(sizeof labelled / sizeof labelled[0]));
    tcase_add_loop_test(t, retires, 0, (int)(sizeof retired / sizeof retired[0]));
    tcase_add_test(t, keeps_json);
    tcase_add_test(t, changes_nothing_else);
    tcase_add_test(t, gives_labels_once);
    suite_add_tcase(s, t);
    return tap_run(s);
}
