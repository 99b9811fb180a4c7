/* Every rule of the judge has a van that trips it and a near twin that does not: tests/checks/RULE.trips.yaml and
 * RULE.clean.yaml. The first line of the former says what must be raised:
 *
 *     # raises: RULE | GRADE | WHERE
 *
 * The clean twin must leave all gates open, so it is also a proof against false alarms. */
#include "judge/judge.h"
#include "read/read.h"
#include "ref/device.h"

#include "tap.h"
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *folder, *page; /* tests/checks and docs/checks.md */

static const char *const grade_words[] = {
#define X(NAME, word) [GRADE_##NAME] = word,
    GRADES(X)
#undef X
};

static char *file_text(arena *a, const char *path, size_t *n)
{
    FILE *f = fopen(path, "rb");
    ck_assert_msg(f != NULL, "%s is missing", path);
    sink s = sink_in(a);
    char chunk[4096];
    size_t got;
    while ((got = fread(chunk, 1, sizeof chunk, f)) > 0) sink_add_n(&s, chunk, got);
    fclose(f);
    *n = s.n;
    return s.at;
}

static judgement *judged(arena *a, const char *rule_id, const char *which, char **text)
{
    const char *path = arena_printf(a, "%s/%s.%s.yaml", folder, rule_id, which);
    size_t n;
    *text = file_text(a, path, &n);
    report *r = report_create(a, path);
    van *v = read_van(a, path, *text, n, r);
    ck_assert_msg(v != NULL, "%s", report_text(r, a));
    const study_options quick = {.most_plain = 4096}; /* unproven-positions needs a limit that a test can reach */
    return judge(a, study_run(a, v, &quick));
}

static bool has_where(const finding *n, const char *where)
{
    for (int i = 0; i < n->n_where; i++)
        if (!strcmp(n->where[i], where)) return true;
    return !*where;
}

/* All findings, for the message of a case that fails. */
static const char *told(arena *a, const judgement *j)
{
    sink s = sink_in(a);
    int n;
    for (int i = 0; i < j->n_findings && i < 12; i++) {
        const finding *f = &j->findings[i];
        sink_printf(&s, "\n#   %s (%s) at %s: %s", rules(&n)[f->rule].id, grade_words[f->grade],
                    f->n_where ? f->where[0] : "-", f->says);
    }
    return sink_text(&s);
}

static void trim(char *text)
{
    size_t n = strlen(text);
    while (n && (text[n - 1] == ' ' || text[n - 1] == '\n')) text[--n] = 0;
}

START_TEST(trips)
{
    arena *a = arena_create();
    int n;
    const rule *r = &rules(&n)[_i];
    char *text, id[80] = "", grade_word[20] = "", where[80] = "";
    const judgement *j = judged(a, r->id, "trips", &text);
    text[strcspn(text, "\n")] = 0; /* its first line */
    const int n_read = sscanf(text, "# raises: %79s | %19s | %79[^\n]", id, grade_word, where);
    trim(where);
    ck_assert_msg(n_read >= 2 && !strcmp(id, r->id), "%s.trips.yaml does not say what it raises", r->id);
    bool is_raised = false;
    for (int i = 0; i < j->n_findings; i++) {
        const finding *f = &j->findings[i];
        if (f->rule != _i || strcmp(grade_words[f->grade], grade_word) || !has_where(f, where)) continue;
        is_raised = true;
        ck_assert_msg(*f->says && *f->remedy, "%s says nothing or mends nothing", r->id);
        if (f->grade != GRADE_NOTE) ck_assert(!j->is_open[f->gate]);
    }
    ck_assert_msg(is_raised, "%s (%s) is not raised at %s:%s", r->id, grade_word, where, told(a, j));
    arena_destroy(a);
}
END_TEST

START_TEST(clean)
{
    arena *a = arena_create();
    int n;
    const rule *r = &rules(&n)[_i];
    char *text;
    const judgement *j = judged(a, r->id, "clean", &text);
    for (int i = 0; i < j->n_findings; i++)
        ck_assert_msg(j->findings[i].rule != _i || j->findings[i].is_decided, "%s is raised:%s", r->id, told(a, j));
    for (int g = 0; g < N_GATES; g++) ck_assert_msg(j->is_open[g], "%s: a gate is shut:%s", r->id, told(a, j));
    arena_destroy(a);
}
END_TEST

START_TEST(every_rule_is_told)
{
    arena *a = arena_create();
    int n;
    const rule *r = rules(&n);
    for (int i = 0; i < n; i++) {
        const char *text = rule_text(i, a);
        ck_assert_int_eq(rule_by_id(r[i].id), i);
        ck_assert(strstr(text, r[i].id) && strstr(text, r[i].means) && strstr(text, r[i].matters));
        size_t n_limits = 0;
        for (const char *at = r[i].limits; *at;) {
            const size_t word = strcspn(at, " ");
            ck_assert_msg(strstr(text, arena_text_n(a, at, word)) != NULL, "%s: a limit is not printed", r[i].id);
            at += word + (at[word] == ' ');
            n_limits++;
        }
        ck_assert(!n_limits == !strstr(text, "source:"));
    }
    ck_assert_int_eq(rule_by_id("no-such-rule"), -1);
    arena_destroy(a);
}
END_TEST

static const char *const gate_words[] = {
#define X(NAME, word) [GATE_##NAME] = word,
    GATES(X)
#undef X
};

/* What docs/checks.md says below its marker: one paragraph a rule, from the table. `test_checks --print` writes it. */
#define MARKER "<!-- From here on the page is printed from the table of rules. -->\n"

static const char *rules_page(arena *a)
{
    int n;
    const rule *r = rules(&n);
    sink s = sink_in(a);
    for (int g = 0; g < N_GATES; g++) {
        sink_printf(&s, "\n## Gate: %s\n", gate_words[g]);
        for (int i = 0; i < n; i++) {
            if ((int)r[i].gate != g) continue;
            sink_printf(&s, "\n### %s (%s)\n\n%s %s To mend it: %c%s\n", r[i].id, grade_words[r[i].grade], r[i].means,
                        r[i].matters, r[i].mends[0] | 0x20, r[i].mends + 1);
            bool is_for[2];
            for (int k = 0; limit_row(k, is_for); k++) {
                const limit *l = limit_row(k, is_for);
                const char *at = strstr(r[i].limits, l->name);
                const size_t n_name = strlen(l->name);
                while (at && ((at > r[i].limits && at[-1] != ' ') || (at[n_name] && at[n_name] != ' ')))
                    at = strstr(at + 1, l->name);
                if (!at) continue;
                sink_printf(&s, "\n- `%s`, %s: %s, %s. Source: %s.", l->name,
                            is_for[0] && is_for[1] ? "both practices"
                            : is_for[0]            ? "North America"
                                                   : "Europe",
                            limit_printed(l), l->says, source_text(&l->from, a));
            }
            if (*r[i].limits) sink_add(&s, "\n");
        }
    }
    return sink_text(&s);
}

START_TEST(page_is_in_step)
{
    arena *a = arena_create();
    size_t n;
    const char *text = file_text(a, page, &n), *below = strstr(text, MARKER);
    ck_assert_msg(below != NULL, "%s has no marker", page);
    ck_assert_msg(!strcmp(below + strlen(MARKER), rules_page(a)),
                  "%s is out of step with the table: print it anew with test_checks --print", page);
    arena_destroy(a);
}
END_TEST

int main(int argc, char **argv)
{
    int n;
    rules(&n);
    if (argc == 2 && !strcmp(argv[1], "--print")) {
        arena *a = arena_create();
        fputs(rules_page(a), stdout);
        arena_destroy(a);
        return 0;
    }
    if (argc != 3) {
        fputs("usage: test_checks FOLDER PAGE, or test_checks --print\n", stderr);
        return 2;
    }
    folder = argv[1];
    page = argv[2];
    Suite *s = suite_create("checks");
    TCase *t = tcase_create("pairs");
    tcase_set_timeout(t, 120);
    tcase_add_loop_test(t, trips, 0, n);
    tcase_add_loop_test(t, clean, 0, n);
    tcase_add_test(t, every_rule_is_told);
    tcase_add_test(t, page_is_in_step);
    suite_add_tcase(s, t);
    return tap_run(s);
}
