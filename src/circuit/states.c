/* Every switch position: which way of going through them is exact for which of them. See states.h.
 *
 * Some switches stand in series with much of the van (a master switch), or join sources (a changeover). Their positions
 * come first, outermost; with them fixed, what is left falls apart into circuits (split.h) and is gone through by parts
 * where that is exact (parts.c), one by one where it is not and there are few enough (plain.c). */
#include "circuit/states.h"

#include "circuit/survey.h"
#include <math.h>
#include <string.h>

static const double few = 32;          /* combinations that are gone through one by one at once */
static const double worth = 0.6;       /* fixing a digit must bring the rows down to this share */
static const double wide = 16;         /* states of one part from which fixing a digit of it is looked at */
static const double least_gain = 0.25; /* by parts only where the rows are fewer than this share of the combinations */

states_options states_defaults(void)
{
    return (states_options){.method = STATES_BEST, .most_plain = 1 << 21, .n_threads = 1};
}

/* ---- what the ways share ---- */

static size_t hash_positions(const position *p, int n)
{
    uint64_t h = 1469598103934665603u;
    for (int i = 0; i < n; i++) {
        h = (h ^ (uint64_t)(unsigned)p[i].index) * 1099511628211u;
        h = (h ^ (uint64_t)(p[i].fraction * 1e6)) * 1099511628211u;
    }
    return (size_t)(h ^ h >> 31);
}

static bool is_equal(const position *p, const position *q, int n)
{
    for (int i = 0; i < n; i++)
        if (p[i].index != q[i].index || p[i].fraction != q[i].fraction) return false;
    return true;
}

static void grow_buckets(survey *s)
{
    const size_t n = s->buckets.n ? 2 * s->buckets.n : 64;
    s->buckets.at = ARENA_ARRAY(s->a, int, n);
    s->buckets.n = s->buckets.room = n;
    for (size_t i = 0; i < s->sets.n; i++) {
        size_t b = hash_positions(s->sets.at[i], s->net->van->n_items) & (n - 1);
        while (s->buckets.at[b]) b = (b + 1) & (n - 1);
        s->buckets.at[b] = (int)i + 1;
    }
}

uint32_t survey_set(survey *s, const position *positions)
{
    const int n = s->net->van->n_items;
    if (2 * (s->sets.n + 1) > s->buckets.n) grow_buckets(s);
    size_t b = hash_positions(positions, n) & (s->buckets.n - 1);
    for (; s->buckets.at[b]; b = (b + 1) & (s->buckets.n - 1))
        if (is_equal(s->sets.at[s->buckets.at[b] - 1], positions, n)) return (uint32_t)s->buckets.at[b] - 1;
    position *copy = ARENA_ARRAY(s->a, position, (size_t)n + 1);
    for (int i = 0; i < n; i++) copy[i] = positions[i];
    *ARRAY_ADD(s->a, &s->sets) = copy;
    s->buckets.at[b] = (int)s->sets.n;
    return (uint32_t)s->sets.n - 1;
}

void survey_trouble(survey *s, outcome o, int culprit, const position *positions)
{
    for (size_t i = 0; i < s->troubles.n; i++)
        if (s->troubles.at[i].outcome == o && s->troubles.at[i].culprit == culprit) return;
    const uint32_t at = survey_set(s, positions);
    *ARRAY_ADD(s->a, &s->troubles) = (trouble){o, culprit, at};
}

int survey_n_away(const survey *s, const position *positions)
{
    const van *v = s->net->van;
    int n = 0;
    for (int i = 0; i < v->n_items; i++) {
        if (s->c->digit_of_item[i] < 0) continue;
        const position *rest = &v->items[i].positions[0];
        n += positions[i].index != rest->index || positions[i].fraction != rest->fraction;
    }
    return n;
}

void record_offer(record *r, const probe *p, int w, const double *values, int n_away, uint64_t rank)
{
    const double main = p->watches[w].kind == WATCH_ELEMENT_A ? fabs(values[p->main[w]]) : values[p->main[w]];
    best_offer(&r->least, -1, main, n_away, rank);
    best_offer(&r->most, +1, main, n_away, rank);
    if (p->current[w] < 0) return;
    best_offer(&r->least_A, -1, values[p->current[w]], n_away, rank);
    best_offer(&r->most_A, +1, values[p->current[w]], n_away, rank);
}

void survey_progress(survey *s, double done)
{
    if (!s->o->progress || !(s->c->n > 0)) return;
    const double share = fmin(1, (s->n_examined + done) / s->c->n);
    if (share <= s->n_told) return;
    s->n_told = share;
    s->o->progress(s->o->context, share);
}

void survey_leave_if_stale(const survey *s, arena *a)
{
    if (s->o->is_stale && s->o->is_stale(s->o->context)) arena_leave(a);
}

/* ---- positions that come first ---- */

static double count_states(const survey *s, const int *digits, int n)
{
    double product = 1;
    for (int k = 0; k < n; k++) product *= s->c->digits[digits[k]].n_states;
    return product;
}

/* Rows that going by parts would take, roughly. */
static double cost_of(const survey *s, const split *sp)
{
    double cost = 1;
    for (int p = 0; p < sp->n_parts; p++) {
        if (sp->parts[p].is_live && sp->parts[p].n_digits)
            cost += 2 * sp->parts[p].n_states;
        else
            for (int k = 0; k < sp->parts[p].n_digits; k++) cost += s->c->digits[sp->parts[p].digits[k]].n_states;
    }
    return cost;
}

/* A digit that joins nodes of the trunk, so that it changes what the trunk is; -1 if there is none. */
static int bridging_digit(const split *sp)
{
    for (int p = 0; p < sp->n_parts; p++)
        if (sp->parts[p].is_bridge && sp->parts[p].n_digits) return sp->parts[p].digits[0];
    return -1;
}

typedef struct fixing {
    survey *s;
    position *at;
    bool *is_fixed; /* digits */
} fixing;

static double cost_with(fixing *f, int of_digit)
{
    const digit *d = &f->s->c->digits[of_digit];
    double cost = 0;
    f->is_fixed[of_digit] = true;
    for (int s = 0; s < d->n_states; s++) {
        arena *scratch = arena_create();
        combos_set(f->s->c, of_digit, s, f->at);
        const split *sp = split_make(scratch ? scratch : f->s->a, f->s->net, f->s->c, f->at, f->is_fixed);
        cost += cost_of(f->s, sp);
        arena_destroy(scratch);
    }
    f->is_fixed[of_digit] = false;
    if (d->n_states) combos_set(f->s->c, of_digit, 0, f->at);
    return cost;
}

/* The digit of the widest part that makes most of the rest fall apart; -1 if none is worth it. */
static int series_digit(fixing *f, const split *sp)
{
    const part *widest = NULL;
    for (int p = 0; p < sp->n_parts; p++)
        if (sp->parts[p].is_live && sp->parts[p].n_digits > 1 && (!widest || sp->parts[p].n_states > widest->n_states))
            widest = &sp->parts[p];
    if (!widest || widest->n_states < wide) return -1;
    int best = -1;
    double best_cost = worth * cost_of(f->s, sp);
    for (int k = 0; k < widest->n_digits; k++) {
        const double cost = cost_with(f, widest->digits[k]);
        if (cost >= best_cost) continue;
        best_cost = cost;
        best = widest->digits[k];
    }
    return best;
}

/* What has to be gone through one by one is left for last: where all of it together is too much, nothing of it is worth
 * minutes. */
static void leave_for_last(survey *s, const position *at, const int *digits, int n, const char *why)
{
    size_t n_items = (size_t)s->net->van->n_items + 1;
    leftover *l = ARRAY_ADD(s->a, &s->leftovers);
    *l = (leftover){.at = ARENA_ARRAY(s->a, position, n_items), .digits = digits, .n = n, .why = why};
    memcpy(l->at, at, (n_items - 1) * sizeof *at);
}

static void cover_leftovers(survey *s)
{
    double n_combinations = 0;
    for (size_t i = 0; i < s->leftovers.n; i++)
        n_combinations += count_states(s, s->leftovers.at[i].digits, s->leftovers.at[i].n);
    const leftover *first = s->leftovers.at;
    if (first && n_combinations > s->o->most_plain) {
        if (!s->why_not)
            s->why_not =
                arena_printf(s->a, "%s, and %.3g combinations of positions are too many to go through one by one",
                             first->why, n_combinations);
        return;
    }
    for (size_t i = 0; i < s->leftovers.n; i++) {
        const leftover *l = &s->leftovers.at[i];
        if (!survey_plain(s, l->at, l->digits, l->n) && !s->why_not)
            s->why_not = "there was not enough memory to go through all positions";
        survey_progress(s, 0);
    }
}

static void cover(fixing *f)
{
    survey *s = f->s;
    int *digits = ARENA_ARRAY(s->a, int, (size_t)s->c->n_digits + 1), n = 0;
    for (int d = 0; d < s->c->n_digits; d++)
        if (!f->is_fixed[d]) digits[n++] = d;
    const double n_combinations = count_states(s, digits, n);
    if (n_combinations == 0) return;
    if (s->o->method == STATES_PLAIN || (s->o->method == STATES_BEST && n_combinations <= few)) {
        leave_for_last(s, f->at, digits, n, "every combination was asked for");
        return;
    }
    const split *sp = split_make(s->a, s->net, s->c, f->at, f->is_fixed);
    int first = bridging_digit(sp);
    if (first < 0) first = series_digit(f, sp);
    if (first >= 0) {
        f->is_fixed[first] = true;
        for (int state = 0; state < s->c->digits[first].n_states; state++) {
            combos_set(s->c, first, state, f->at);
            cover(f);
        }
        combos_set(s->c, first, 0, f->at);
        f->is_fixed[first] = false;
        return;
    }
    const char *why = "the circuits do not fall apart";
    if (s->o->method == STATES_GROUPS || cost_of(s, sp) < least_gain * n_combinations) {
        position *at = ARENA_ARRAY(s->a, position, (size_t)s->net->van->n_items + 1);
        for (int i = 0; i < s->net->van->n_items; i++) at[i] = f->at[i];
        why = survey_parts(s, at, sp, digits, n);
    }
    if (why) leave_for_last(s, f->at, digits, n, why);
    survey_progress(s, 0);
}

/* ---- results ---- */

static void settle_extreme(const survey *s, int w, extreme *x)
{
    const record *r = &s->records[w];
    *x = (extreme){.is_met = r->least.is_met, .least = NAN, .most = NAN};
    if (!x->is_met) return;
    x->least = r->least.value;
    x->most = r->most.value;
    x->least_at = (uint32_t)r->least.rank;
    x->most_at = (uint32_t)r->most.rank;
    /* A magnitude whose current can run either way passes through nothing, or nearly: 0 bounds it. */
    if (s->probe->current[w] >= 0 && r->least_A.top < 0 && r->most_A.top > 0) x->least = 0;
}

static void settle_troubles(const survey *s, states *st)
{
    st->n_troubles = (int)s->troubles.n;
    st->troubles = arena_take(s->a, s->troubles.n + 1, sizeof *st->troubles);
    op_plan *plan = s->troubles.n ? op_plan_create(s->a, s->net) : NULL;
    for (size_t i = 0; i < s->troubles.n; i++) {
        const trouble *t = &s->troubles.at[i];
        const operating_point *op = op_solve(plan, s->sets.at[t->at], false);
        st->troubles[i].outcome = t->outcome;
        st->troubles[i].at = t->at;
        st->troubles[i].says = op_explain(s->net, op, s->a);
        st->troubles[i].item = t->culprit >= 0 ? s->net->elements[t->culprit].item : -1;
        st->troubles[i].wire = op->bottleneck_wire;
    }
}

static const char *stalled_text(const survey *s)
{
    for (size_t i = 0; i < s->troubles.n; i++)
        if (s->troubles.at[i].outcome == OUTCOME_STALLED) return "in some positions the operating point was not found";
    return NULL;
}

states *states_run(arena *a, const network *net, const watch *watches, int n_watches, const states_options *o)
{
    survey s = {.a = a, .net = net, .o = o};
    s.c = combos_make(a, net);
    s.probe = probe_make(a, net, watches, n_watches);
    s.records = ARENA_ARRAY(a, record, (size_t)n_watches + 1);
    fixing f = {&s, ARENA_ARRAY(a, position, (size_t)net->van->n_items + 1),
                ARENA_ARRAY(a, bool, (size_t)s.c->n_digits + 1)};
    for (int i = 0; i < net->van->n_items; i++) f.at[i] = s.c->base[i];
    for (int d = 0; d < s.c->n_digits; d++)
        if (s.c->digits[d].n_states) combos_set(s.c, d, 0, f.at);
    s.why_not = s.c->why_not;
    if (s.c->n > 0) cover(&f);
    cover_leftovers(&s);
    survey_progress(&s, s.c->n);

    states *st = ARENA_NEW(a, states);
    st->n_positions = s.c->n;
    st->n_examined = s.n_examined;
    st->method = s.is_split ? "groups" : "plain";
    st->extremes = ARENA_ARRAY(a, extreme, (size_t)n_watches + 1);
    for (int w = 0; w < n_watches; w++) settle_extreme(&s, w, &st->extremes[w]);
    settle_troubles(&s, st);
    st->positions = s.sets.at;
    st->n_sets = (int)s.sets.n;
    st->worst_residual_A = s.worst_residual_A;
    st->n_solves = s.n_solves;
    st->why_not = s.why_not ? s.why_not : stalled_text(&s);
    st->is_complete = !st->why_not && s.n_examined >= s.c->n;
    return st;
}
