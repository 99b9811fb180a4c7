/* Runs the checks, matches the decisions, puts the findings in order and says which gates are open. */
#include "judge/offer.h"

#include <stdlib.h>
#include <string.h>

/* ---- what several checks ask ---- */

static void count_wires(finder *f)
{
    f->wires_at = ARENA_ARRAY(f->arena, int, f->van->n_terminals + 1);
    for (int w = 0; w < f->van->n_wires; w++) {
        f->wires_at[f->van->wires[w].from]++;
        f->wires_at[f->van->wires[w].to]++;
    }
}

static void find_open(finder *f)
{
    const van *v = f->van;
    f->is_open = ARENA_ARRAY(f->arena, bool, v->n_items + 1);
    for (int i = 0; i < v->n_items; i++) {
        const item *it = &v->items[i];
        bool is_any_wired = false;
        for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
            const terminal_template *template = &item_kind(v, i)->terminals[v->terminals[t].template_index];
            is_any_wired = is_any_wired || f->wires_at[t];
            if (!f->wires_at[t] && !template->may_be_open && !template->is_row) f->is_open[i] = true;
        }
        if (!is_any_wired) f->is_open[i] = true;
    }
    /* What hangs on a component without a source, or on a wire that is left out, is explained there. */
    const network *net = f->study->nets[SEASON_HARD];
    bool *has_source = ARENA_ARRAY(f->arena, bool, f->study->n_islands + 1);
    for (int e = 0; e < net->n_elements; e++) {
        const net_element *el = &net->elements[e];
        if (el->type == ELEMENT_EMF) has_source[f->study->islands[el->a]] = true;
        if (el->type == ELEMENT_TRANSFER) has_source[f->study->islands[el->to_a]] = true;
    }
    for (int t = 0; t < v->n_terminals; t++)
        if (f->wires_at[t] && f->study->islands[t] >= 0 && !has_source[f->study->islands[t]])
            f->is_open[v->terminals[t].item] = true;
    for (int w = 0; w < v->n_wires; w++)
        if (v->wires[w].is_length_auto || f->study->wires[w].size.series == SIZE_UNSET)
            f->is_open[v->terminals[v->wires[w].from].item] = f->is_open[v->terminals[v->wires[w].to].item] = true;
}

static bool has_side(const finder *f, int t, wire_side side)
{
    for (int w = 0; w < f->van->n_wires; w++)
        if ((f->van->wires[w].from == t || f->van->wires[w].to == t) && f->study->feeds->wires[w].side == side)
            return true;
    return false;
}

/* By the sides of the wires at its two terminals, or, for a load, by the sign of its volts. */
static void find_swapped(finder *f)
{
    static const char *const pairs[][2] = {
        {"pos", "neg"}, {"in-pos", "in-neg"}, {"out-pos", "out-neg"}, {"coil-pos", "coil-neg"}};
    f->is_swapped = ARENA_ARRAY(f->arena, bool, f->van->n_items + 1);
    for (int i = 0; i < f->van->n_items; i++) {
        if (item_kind(f->van, i)->role == ROLE_BATTERY) continue;
        for (size_t p = 0; p < sizeof pairs / sizeof *pairs; p++) {
            const int pos = item_terminal(f->van, i, pairs[p][0]), neg = item_terminal(f->van, i, pairs[p][1]);
            if (pos < 0 || neg < 0) continue;
            if (has_side(f, pos, SIDE_RETURN) && has_side(f, neg, SIDE_FEED)) f->is_swapped[i] = true;
        }
    }
    for (int i = 0; i < f->study->n_loads; i++) {
        const load_study *l = &f->study->loads[i];
        if (l->is_main && l->worst_V < -0.1 * l->nominal_V) f->is_swapped[l->feed->item] = true;
    }
}

/* ---- decisions ---- */

static bool answers(const finding *n, const decision *d)
{
    int n_rules;
    if (strcmp(rules(&n_rules)[n->rule].id, d->rule) != 0 || n->grade != GRADE_MIND) return false;
    for (int i = 0; i < n->n_where; i++)
        if (!strcmp(n->where[i], d->where)) return true;
    return false;
}

static void decisions_match(finder *f)
{
    f->rule = RULE_decision_without_finding;
    for (int i = 0; i < f->van->n_decisions; i++) {
        const decision *d = &f->van->decisions[i];
        bool is_used = false;
        for (size_t k = 0; k < f->findings.n; k++) {
            finding *n = &f->findings.at[k];
            if (!answers(n, d)) continue;
            n->is_decided = is_used = true;
            n->decision = d;
        }
        if (is_used) continue;
        finding *n = raise_finding(f, d->place);
        add_where(f, n, d->where);
        SAYS(f, n,
             rule_by_id(d->rule) < 0 ? "No rule is called %s (decided for %s)."
                                     : "The decision on %s for %s answers no finding that can be decided.",
             d->rule, d->where);
        MEND(f, n, "Take it out, or correct its rule and where. A stop can't be decided, only mended.");
        mend_drop(f, offer(f, n, "take the decision out"), "decided", arena_printf(f->arena, "%d", i));
    }
}

/* ---- order, gates ---- */

static int by_gate(const void *x, const void *y)
{
    const finding *a = x, *b = y;
    if (a->gate != b->gate) return (int)a->gate - (int)b->gate;
    static const int weight[N_GRADES] = {[GRADE_STOP] = 0, [GRADE_UNPROVEN] = 1, [GRADE_MIND] = 2, [GRADE_NOTE] = 3};
    if (a->grade != b->grade) return weight[a->grade] - weight[b->grade];
    if (a->rule != b->rule) return a->rule - b->rule;
    if (a->place.line != b->place.line) return a->place.line < b->place.line ? -1 : 1;
    if (a->place.column != b->place.column) return a->place.column < b->place.column ? -1 : 1;
    const int where = strcmp(a->n_where ? a->where[0] : "", b->n_where ? b->where[0] : "");
    return where ? where : strcmp(a->says, b->says);
}

static bool shuts(const finding *n)
{
    return n->grade == GRADE_STOP || n->grade == GRADE_UNPROVEN || (n->grade == GRADE_MIND && !n->is_decided);
}

static void gates_set(judgement *j)
{
    for (int i = 0; i < j->n_findings; i++)
        if (shuts(&j->findings[i])) j->shut_by[j->findings[i].gate]++;
    bool is_open = true;
    for (int g = 0; g < N_GATES; g++) {
        is_open = is_open && !j->shut_by[g];
        j->is_open[g] = is_open;
    }
}

judgement *judge(arena *a, const study *s)
{
    static check_function *const checks[] = {
#define R(name, id, gate, grade, means, matters, limits, mends) check_##name,
        RULES(R)
#undef R
    };
    finder f = {.study = s, .van = s->van, .arena = a};
    int battery, contact;
    count_wires(&f);
    find_open(&f);
    f.is_tied = find_tied(&f);
    f.is_shorted = find_short(&f, &battery, &contact);
    find_swapped(&f);
    for (f.rule = 0; f.rule < N_RULES; f.rule++) checks[f.rule](&f);
    decisions_match(&f);
    if (f.findings.n) qsort(f.findings.at, f.findings.n, sizeof *f.findings.at, by_gate);
    judgement *j = ARENA_NEW(a, judgement);
    j->study = s;
    j->findings = f.findings.at;
    j->n_findings = (int)f.findings.n;
    gates_set(j);
    return j;
}
