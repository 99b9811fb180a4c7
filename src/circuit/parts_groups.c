/* What the parts are moved in: groups of digits, regimes, conditions, taps. See parts.h. */
#include "circuit/parts.h"

#include <math.h>
#include <string.h>

enum { states_most = 1024 };

/* All combinations of a live part's digits. */
static bool list_product(parts_run *r, group *g)
{
    const combos *c = r->s->c;
    const double n = r->sp->parts[g->part].n_states;
    if (n > states_most) {
        r->why = "one circuit has too many combinations of its own";
        return false;
    }
    g->n_states = (int)n;
    uint32_t *states = ARENA_ARRAY(r->a, uint32_t, (size_t)g->n_states * (size_t)g->n_digits + 1);
    for (int s = 0; s < g->n_states; s++)
        for (int k = g->n_digits - 1, left = s; k >= 0; k--) {
            const int m = c->digits[g->digits[k]].n_states;
            states[s * g->n_digits + k] = (uint32_t)(left % m);
            left /= m;
        }
    g->states = states;
    return true;
}

/* Contacts that a digit closes in a state, as a set of bits of its part's elements: is there one state that closes all
 * that any state closes? -1 if not. */
static int fullest_state(const parts_run *r, int of_digit)
{
    const network *net = r->s->net;
    const digit *d = &r->s->c->digits[of_digit];
    for (int s = 0; s < d->n_states; s++) {
        bool is_full = true;
        for (int i = 0; i < d->n_items && is_full; i++) {
            const item *it = &net->van->items[d->items[i]];
            const position *p = &it->positions[d->choice[s * d->n_items + i]];
            for (int k = net->first_element[d->items[i]]; k < net->first_element[d->items[i] + 1]; k++) {
                const net_element *e = &net->elements[k];
                if (e->type == ELEMENT_CHOPPER && e->is_dialled) is_full = is_full && p->fraction > 0;
                if (e->type != ELEMENT_CONTACT) continue;
                bool can_close = false;
                for (int q = 0; q < it->n_positions; q++)
                    can_close |= (e->closed_in >> it->positions[q].index & 1u) != 0;
                is_full = is_full && (!can_close || (e->closed_in >> p->index & 1u));
            }
        }
        if (is_full) return s;
    }
    return -1;
}

typedef struct state_list {
    parts_run *r;
    const group *g;
    ARRAY(uint32_t) at;
    int n;
} state_list;

static void add_state(state_list *l, const uint32_t *at)
{
    const int n = l->g->n_digits;
    for (int s = 0; s < l->n; s++)
        if (memcmp(l->at.at + s * n, at, (size_t)n * sizeof *at) == 0) return;
    for (int k = 0; k < n; k++) *ARRAY_ADD(l->r->a, &l->at) = at[k];
    l->n++;
}

static int local_digit(const group *g, int of_digit)
{
    for (int k = 0; k < g->n_digits; k++)
        if (g->digits[k] == of_digit) return k;
    return -1;
}

/* All states of the digits with `is_loose`, the others as they stand in `at`. */
static bool add_product(state_list *l, uint32_t *at, const bool *is_loose)
{
    const group *g = l->g;
    for (int k = 0; k < g->n_digits; k++)
        if (is_loose[k]) at[k] = 0;
    for (;;) {
        if (l->n >= states_most) return false;
        add_state(l, at);
        int k = 0;
        for (; k < g->n_digits; k++) {
            if (!is_loose[k]) continue;
            if (++at[k] < (uint32_t)l->r->s->c->digits[g->digits[k]].n_states) break;
            at[k] = 0;
        }
        if (k == g->n_digits) return true;
    }
}

/* Digits that a watch has conditions on, besides those that are loose anyway; how many there are. */
static int conditioned(const parts_run *r, const group *g, int watch_number, bool *is_loose)
{
    const watch *x = &r->s->probe->watches[watch_number];
    int n = 0;
    for (int k = 0; k < x->n_open + x->n_closed; k++) {
        const int e = k < x->n_open ? x->open[k] : x->closed[k - x->n_open], of_item = r->s->net->elements[e].item;
        const int at = of_item < 0 ? -1 : local_digit(g, r->s->c->digit_of_item[of_item]);
        if (at < 0 || is_loose[at]) continue;
        is_loose[at] = true;
        n++;
    }
    return n;
}

/* A dead part: no current flows in it. What its contacts decide is only which of its terminals hang together with its
 * tap. All closed joins most, so rest, all closed, and all closed but one digit show every terminal joined and apart.
 * Digits without one state that closes all they can close go through all their states, and so do those that a watch
 * has conditions on. */
static bool list_dead(parts_run *r, group *g)
{
    if (r->sp->parts[g->part].n_states <= 16) return list_product(r, g);
    const combos *c = r->s->c;
    const size_t n = (size_t)g->n_digits + 1;
    state_list l = {.r = r, .g = g};
    uint32_t *at = ARENA_ARRAY(r->a, uint32_t, n), *full = ARENA_ARRAY(r->a, uint32_t, n);
    bool *is_loose = ARENA_ARRAY(r->a, bool, n), *is_loose_here = ARENA_ARRAY(r->a, bool, n);
    add_state(&l, at);
    for (int k = 0; k < g->n_digits; k++) {
        const int fullest = fullest_state(r, g->digits[k]);
        is_loose[k] = fullest < 0;
        full[k] = fullest < 0 ? 0 : (uint32_t)fullest;
    }
    bool is_listed = true;
    for (int k = -1; k < g->n_digits && is_listed; k++)
        for (int s = 0; s < (k < 0 ? 1 : c->digits[g->digits[k]].n_states) && is_listed; s++) {
            memcpy(at, full, n * sizeof *at);
            if (k >= 0) at[k] = (uint32_t)s;
            is_listed = add_product(&l, at, is_loose);
        }
    for (int w = 0; w < r->s->probe->n_watches && is_listed; w++) {
        memcpy(is_loose_here, is_loose, n * sizeof *is_loose);
        if (conditioned(r, g, w, is_loose_here) < 2) continue;
        memcpy(at, full, n * sizeof *at);
        is_listed = add_product(&l, at, is_loose_here);
    }
    if (!is_listed) r->why = "behind an open switch, too many contacts exclude each other";
    g->states = l.at.at;
    g->n_states = l.n;
    return is_listed;
}

bool parts_make_groups(parts_run *r)
{
    const split *sp = r->sp;
    r->groups = ARENA_ARRAY(r->a, group, (size_t)sp->n_parts + 1);
    r->group_of_part = ARENA_ARRAY(r->a, int, (size_t)sp->n_parts + 1);
    r->group_of_digit = ARENA_ARRAY(r->a, int, (size_t)r->s->c->n_digits + 1);
    for (int d = 0; d < r->s->c->n_digits; d++) r->group_of_digit[d] = -1;
    for (int p = 0; p < sp->n_parts; p++) {
        r->group_of_part[p] = -1;
        if (sp->parts[p].n_digits == 0) continue;
        group *g = &r->groups[r->n_groups];
        *g = (group){.part = p, .digits = sp->parts[p].digits, .n_digits = sp->parts[p].n_digits};
        if (!(sp->parts[p].is_live ? list_product(r, g) : list_dead(r, g))) return false;
        for (int k = 0; k < g->n_digits; k++) r->group_of_digit[g->digits[k]] = r->n_groups;
        r->group_of_part[p] = r->n_groups++;
    }
    return true;
}

static bool is_kinked(const net_element *e)
{
    return e->type == ELEMENT_DIODE || e->type == ELEMENT_TRANSFER || (e->type == ELEMENT_COIL && e->item >= 0) ||
           (e->type == ELEMENT_LOAD && e->stops_below_V > 0);
}

void parts_list_kinked(parts_run *r)
{
    const network *net = r->s->net;
    r->kinked = ARENA_ARRAY(r->a, int, (size_t)net->n_elements + 1);
    for (int k = 0; k < net->n_elements; k++)
        if (is_kinked(&net->elements[k])) r->kinked[r->n_kinked++] = k;
    r->regimes = ARENA_ARRAY(r->a, signed char *, (size_t)r->n_kinked + 1);
    r->now = ARENA_ARRAY(r->a, signed char, (size_t)r->n_kinked + 1);
    for (int i = 0; i < r->n_kinked; i++) {
        const int part = r->sp->part_of_element[r->kinked[i]], g = part >= 0 ? r->group_of_part[part] : -1;
        const size_t n = g >= 0 ? (size_t)r->groups[g].n_states : 1;
        r->regimes[i] = ARENA_ARRAY(r->a, signed char, n);
        memset(r->regimes[i], -1, n);
    }
}

void parts_list_conditions(parts_run *r)
{
    const probe *p = r->s->probe;
    const size_t n = (size_t)r->s->net->n_elements + 1;
    r->conditions = ARENA_ARRAY(r->a, int, n);
    r->condition_of_element = ARENA_ARRAY(r->a, int, n);
    for (int w = 0; w < p->n_watches; w++)
        for (int k = 0; k < p->watches[w].n_open + p->watches[w].n_closed; k++) {
            const watch *x = &p->watches[w];
            const int e = k < x->n_open ? x->open[k] : x->closed[k - x->n_open];
            if (r->condition_of_element[e]) continue;
            r->conditions[r->n_conditions++] = e;
            r->condition_of_element[e] = r->n_conditions;
        }
}

void parts_list_taps(parts_run *r)
{
    const split *sp = r->sp;
    r->first_tap = ARENA_ARRAY(r->a, int, (size_t)sp->n_parts + 1);
    for (int p = 0; p < sp->n_parts; p++) r->first_tap[p + 1] = r->first_tap[p] + sp->parts[p].n_taps;
    int *taps = ARENA_ARRAY(r->a, int, (size_t)r->first_tap[sp->n_parts] + 1);
    for (int p = 0; p < sp->n_parts; p++)
        for (int k = 0; k < sp->parts[p].n_taps; k++) taps[r->first_tap[p] + k] = sp->parts[p].taps[k];
    r->taps = taps;
    r->windows = ARENA_ARRAY(r->a, window, (size_t)sp->n_parts + 1);
}

/* The part that a value belongs to; -1: the trunk, or several. */
static int part_of_value(const parts_run *r, int value)
{
    const network *net = r->s->net;
    const value_of *x = &r->s->probe->values[value];
    switch (x->how) {
    case READ_AVERAGE_A:
    case READ_RMS_A:
    case READ_LAMP_V:
        return r->sp->part_of_element[x->index];
    case READ_NODE_V:
        return r->sp->part_of_node[x->index];
    default:
        break;
    }
    if (x->how == READ_ITEM_V || x->how == READ_RUNS) {
        const int main = network_main_element(net, x->index);
        return main < 0 ? -1 : r->sp->part_of_element[main];
    }
    int part = -1;
    for (int k = net->first_element[x->index]; k < net->first_element[x->index + 1]; k++) {
        const int now = r->sp->part_of_element[k];
        if (x->how == READ_LIT && net->elements[k].type != ELEMENT_LAMP) continue;
        if (now < 0 || (part >= 0 && part != now)) return -1;
        part = now;
    }
    return part;
}

void parts_list_values(parts_run *r)
{
    r->part_of_value = ARENA_ARRAY(r->a, int, (size_t)r->s->probe->n_values + 1);
    for (int k = 0; k < r->s->probe->n_values; k++) r->part_of_value[k] = part_of_value(r, k);
}
