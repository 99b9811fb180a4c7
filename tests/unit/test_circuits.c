/* The guided start and the ready-made circuits: whatever is sensibly answered, the van that comes out judges with all gates
 * open, and nothing is decided for its builder. */
#include "loomwall/loomwall.h"

#include "tap.h"
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const circuits[] = {
    "lamp-on-lit-switch", "lamps-on-dimmer", "pump-with-lamp", "dark-outlets", "fridge", "fan", "charger"};
enum { n_circuits = sizeof circuits / sizeof *circuits, all_circuits = (1 << n_circuits) - 1 };
static const char *const practices[] = {"north-america", "europe"}, *const voltages[] = {"12 V", "24 V"};
static const char *const chemistries[] = {"lfp", "agm", "flooded", "gel"};
static const char *const distances[] = {"0.5 m", "2 m", "5 m", "8 m"};
enum { n_bases = 2 * 2 * 4 };

static lw_van *van_of(const char *text)
{
    lw_van *v = NULL;
    lw_report *report = NULL;
    ck_assert_msg(lw_van_read("van", text, strlen(text), &v, &report) == LW_OK, "%s\n%s",
                  report ? lw_report_text(report) : "", text);
    return v;
}

/* With all gates open; `allowed` is a rule that may be raised, or NULL. */
static void judges_open(const char *text, const char *what)
{
    lw_van *v = van_of(text);
    lw_judgement *j = NULL;
    ck_assert_int_eq(lw_judge(v, NULL, &j), LW_OK);
    ck_assert_msg(!strstr(text, "decided:"), "%s: decisions are the builder's", what);
    for (size_t i = 0; i < lw_judgement_count(j); i++) {
        const lw_finding *f = lw_judgement_finding(j, i);
        ck_assert_msg(f->grade == LW_NOTE, "%s: %s at %s: %s\n%s", what, f->rule, f->n_where ? f->where[0] : "",
                      f->says, text);
    }
    for (lw_gate g = LW_CUT; g < LW_N_GATES; g++) ck_assert(lw_judgement_gate(j, g).is_open);
    lw_judgement_free(j);
    lw_van_free(v);
}

/* The circuits of a set of bits, with the run to each of them `run`. */
static char *started(int base, int set, const char *battery_run, const char *run)
{
    const lw_answer own[] = {{"practice", practices[base & 1]},
                             {"voltage", voltages[base >> 1 & 1]},
                             {"chemistry", chemistries[base >> 2 & 3]},
                             {"distance", battery_run}};
    const lw_answer runs[] = {{"distance", run}};
    lw_circuit_wish wishes[n_circuits];
    size_t n = 0;
    for (int i = 0; i < n_circuits; i++)
        if (set >> i & 1) wishes[n++] = (lw_circuit_wish){circuits[i], 1, runs, 1};
    char *text = NULL;
    const lw_status status = lw_start(own, sizeof own / sizeof *own, wishes, n, &text);
    ck_assert_msg(status == LW_OK, "%s", text ? text : "");
    return text;
}

static void start_judges_open(int base, int set, const char *battery_run, const char *run)
{
    char what[200], *text = started(base, set, battery_run, run);
    snprintf(what, sizeof what, "%s, %s, %s, circuits %02x, battery %s, run %s", practices[base & 1],
             voltages[base >> 1 & 1], chemistries[base >> 2 & 3], (unsigned)set, battery_run, run);
    judges_open(text, what);
    lw_free(text);
}

START_TEST(singles_and_all)
{
    for (size_t d = 0; d < sizeof distances / sizeof *distances; d++) {
        for (int i = 0; i < n_circuits; i++) start_judges_open(_i, 1 << i, distances[d], distances[d]);
        start_judges_open(_i, all_circuits, distances[d], distances[d]);
    }
    start_judges_open(_i, all_circuits, "8 m", "0.5 m");
    start_judges_open(_i, all_circuits, "0.5 m", "8 m");
}
END_TEST

START_TEST(pairs)
{
    for (int i = 0; i < n_circuits; i++)
        for (int k = i + 1; k < n_circuits; k++) start_judges_open(_i, 1 << i | 1 << k, "2 m", "3 m");
}
END_TEST

/* More than one block holds: the second comes with a main fuse and a bar of its own. */
START_TEST(many)
{
    const lw_answer own[] = {
        {"practice", practices[_i & 1]}, {"voltage", "12 V"}, {"capacity", "300 Ah"}, {"name", "Many"}};
    const lw_circuit_wish wishes[] = {
        {"lamp-on-lit-switch", 10, NULL, 0}, {"fan", 4, NULL, 0}, {"dark-outlets", 2, NULL, 0}};
    char *text = NULL;
    ck_assert_int_eq(lw_start(own, 4, wishes, 3, &text), LW_OK);
    ck_assert(strstr(text, "fuses-2:") && strstr(text, "main-fuse-2:") && strstr(text, "returns-2:"));
    judges_open(text, "many");
    lw_free(text);
}
END_TEST

/* ---- into a van that is there ---- */

static char *added(const char *text, const char *circuit, const lw_answer *answers, size_t n, size_t *n_wires)
{
    lw_van *v = van_of(text);
    lw_addition *addition = NULL;
    char *why = NULL;
    const lw_status status = lw_circuit_add(v, circuit, answers, n, &addition, &why);
    ck_assert_msg(status == LW_OK, "%s: %s", circuit, why ? why : "");
    char *out = strdup(lw_addition_text(addition));
    size_t n_items;
    const char *const *wires = lw_addition_wires(addition, n_wires), *const *items =
                                                                         lw_addition_items(addition, &n_items);
    ck_assert(*n_wires > 0 && n_items > 0 && strncmp(lw_addition_says(addition), "add ", 4) == 0);
    lw_van *now = van_of(out);
    ck_assert_uint_eq(lw_van_n_wires(now), lw_van_n_wires(v) + *n_wires);
    ck_assert_uint_eq(lw_van_n_items(now), lw_van_n_items(v) + n_items);
    for (size_t i = 0; i < *n_wires; i++) ck_assert(strstr(out, wires[i]));
    for (size_t i = 0; i < n_items; i++) ck_assert(strstr(out, items[i]));
    lw_van_free(now);
    lw_addition_free(addition);
    lw_van_free(v);
    return out;
}

/* Each circuit into a started van of each sort, twice: ids, labels, slots and studs never meet. */
START_TEST(circuits_add_to_a_van)
{
    for (int i = 0; i < n_circuits; i++) {
        char *text = started(_i, 1, "1 m", "2 m");
        for (int times = 0; times < 2; times++) {
            size_t n;
            char *longer = added(text, circuits[i], NULL, 0, &n);
            free(text);
            text = longer;
        }
        lw_van *v = van_of(text);
        lw_judgement *j = NULL;
        ck_assert_int_eq(lw_judge(v, NULL, &j), LW_OK);
        for (size_t k = 0; k < lw_judgement_count(j); k++) {
            const lw_finding *f = lw_judgement_finding(j, k);
            /* The van was made for one lamp: its main fuse and its cable may be too small now, and are not changed. */
            const bool is_of_supply = !strncmp(f->rule, "protector-too-", 14) || !strcmp(f->rule, "load-voltage-low") ||
                                      !strncmp(f->rule, "drop-", 5) || !strcmp(f->rule, "conductor-overloaded");
            ck_assert_msg(f->grade == LW_NOTE || is_of_supply, "%s: %s: %s", circuits[i], f->rule, f->says);
        }
        lw_judgement_free(j);
        lw_van_free(v);
        free(text);
    }
}
END_TEST

/* A van that has no circuit yet reads, and its comments stay where they are when it gets one. */
START_TEST(a_van_without_circuits)
{
    size_t n;
    char *text = started(_i, 0, "2 m", NULL);
    lw_van *v = van_of(text);
    ck_assert_uint_eq(lw_van_n_wires(v), 0);
    ck_assert_uint_eq(lw_van_n_items(v), 1);
    lw_van_free(v);
    char *longer = added(text, "fan", NULL, 0, &n);
    const char *head = strstr(text, "\nwires:"), *now = strstr(longer, "\nwires:");
    ck_assert_msg(head && now && !strncmp(now, head, strlen(head)), "%s", longer);
    judges_open(longer, "a first circuit");
    free(longer);
    lw_free(text);
}
END_TEST

static const char bare[] =
    "# mine\nloomwall: 1\nname: Bare\npractice: europe\nitems:\n"
    "  bank: {kind: battery, chemistry: agm, capacity: 80 Ah}   # under the seat\nwires: {}\n# end\n";

START_TEST(a_bare_battery_gets_a_supply)
{
    size_t n;
    const lw_answer answers[] = {{"draws", "1.2A"}, {"name", "Reading light: left"}};
    char *text = added(bare, "lamp-on-lit-switch", answers, 2, &n);
    ck_assert(strstr(text, "fuse-block") && strstr(text, "main-fuse") && strstr(text, "draws: 1.2 A"));
    ck_assert(strstr(text, "# under the seat\n") && strstr(text, "# end\n") && !strncmp(text, "# mine\n", 7));
    judges_open(text, "bare");
    free(text);
}
END_TEST

static void refused(const char *text, const char *circuit, lw_answer answer, const char *wanted)
{
    lw_van *v = van_of(text);
    lw_addition *addition = NULL;
    char *why = NULL;
    ck_assert_int_eq(lw_circuit_add(v, circuit, &answer, 1, &addition, &why), LW_REFUSED);
    ck_assert_msg(strstr(why, wanted) != NULL, "%s", why);
    lw_free(why);
    lw_van_free(v);
}

START_TEST(wrong_answers_are_refused)
{
    refused(bare, "fan", (lw_answer){"draws", "5 m"}, "length");
    refused(bare, "fan", (lw_answer){"draws", "900 W"}, "at most 200 W");
    refused(bare, "fan", (lw_answer){"colour", "red"}, "not asked");
    refused(bare, "fan", (lw_answer){"fuses", "nowhere"}, "nowhere");
    refused(bare, "lamps-on-dimmer", (lw_answer){"lamps", "99"}, "whole number");
    refused(bare, "fann", (lw_answer){"draws", "5 W"}, "no circuit");
    refused(bare, "supply", (lw_answer){"distance", "1 m"}, "no circuit");
    refused("loomwall: 1\nname: E\npractice: europe\nitems: {l: {kind: load, draws: 1 A}}\n", "fan",
            (lw_answer){"draws", "5 W"}, "no battery");
}
END_TEST

START_TEST(the_catalogue_is_told)
{
    char *json = NULL, *text = NULL;
    ck_assert_int_eq(lw_circuits_json(NULL, &json), LW_OK);
    ck_assert_int_eq(lw_circuits_text(NULL, &text), LW_OK);
    for (int i = 0; i < n_circuits; i++) ck_assert(strstr(json, circuits[i]) && strstr(text, circuits[i]));
    ck_assert(strstr(json, "\"start\"") && strstr(json, "\"chemistry\"") && !strstr(text, "supply\n"));
    lw_free(json);
    lw_free(text);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("circuits");
    TCase *t = tcase_create("circuits");
    tcase_set_timeout(t, 120);
    tcase_add_loop_test(t, singles_and_all, 0, n_bases);
    tcase_add_loop_test(t, pairs, 0, n_bases);
    tcase_add_loop_test(t, many, 0, 2);
    tcase_add_loop_test(t, circuits_add_to_a_van, 0, n_bases);
    tcase_add_loop_test(t, a_van_without_circuits, 0, n_bases);
    tcase_add_test(t, a_bare_battery_gets_a_supply);
    tcase_add_test(t, wrong_answers_are_refused);
    tcase_add_test(t, the_catalogue_is_told);
    suite_add_tcase(suite, t);
    return tap_run(suite);
}
