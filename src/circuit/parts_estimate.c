/* By parts: what a group does to a target far off, without a row for it. See parts.h.
 *
 * On a ground that was made for one target (its own part in one state, some groups in their best states) the rest of the
 * groups do little to it: through the trunk alone, by the current that they draw from their taps. That current is known
 * from the rows of the base grounds, but for the share by which the voltage at their taps is another here. What an ampere
 * more at each tap does to the target is one solution with the turned matrix of the ground's own row. Their product is the
 * effect to first order:
 *
 *     effect of g = sum over the taps of g of (target per ampere there) * (change of current there),
 *
 * off by at most about twice the sag, the largest share by which groups change each other's voltage: once for the current,
 * once for what the group does to its own voltage. What it does to the others is in S. So most groups are known at the
 * cost of the ground's row; a row of their own is made for none of those. What is reported is a row in any case. */
#include "circuit/parts.h"

#include <math.h>
#include <string.h>

static const double least_off = 0.02; /* of an effect, where the sag is small */

typedef struct tap_term {
    int tap, element;
    double sign;
    bool is_output;
} tap_term;

static void add_terms(parts_run *r, int k)
{
    const net_element *e = &r->s->net->elements[k];
    const int part = r->sp->part_of_element[k], ends[4] = {e->a, e->b, e->to_a, e->to_b};
    for (int end = 0; part >= 0 && end < (e->type == ELEMENT_TRANSFER ? 4 : 2); end++)
        for (int tap = r->first_tap[part]; tap < r->first_tap[part + 1]; tap++)
            if (r->taps[tap] == ends[end])
                r->tap_terms[r->n_tap_terms++] = (tap_term){tap, k, end == 0 || end == 3 ? 1 : -1, end >= 2};
}

void parts_list_tap_terms(parts_run *r)
{
    const int n = r->s->net->n_elements;
    r->tap_terms = ARENA_ARRAY(r->a, tap_term, 4 * (size_t)n + 1);
    for (int k = 0; k < n; k++) add_terms(r, k);
    const size_t n_values = (size_t)r->s->probe->n_values + 1;
    r->sought = ARENA_ARRAY(r->a, op_sensitivity, n_values);
    r->sought_for = ARENA_ARRAY(r->a, struct sensitivity *, n_values);
    r->sought_values = ARENA_ARRAY(r->a, int, n_values);
}

void parts_read_taps_A(const parts_run *r, const operating_point *op, double *taps_A)
{
    for (int i = 0; i < r->n_tap_terms; i++) {
        const tap_term *t = &r->tap_terms[i];
        taps_A[t->tap] += t->sign * (t->is_output ? op->output_A[t->element] : op->current_A[t->element]);
    }
}

bool parts_estimate_none(parts_run *r)
{
    bool was_any = false;
    for (int on = 0; on < grounds_most; on++) {
        was_any |= r->estimates[on].is_ready;
        r->estimates[on].is_ready = false;
    }
    return was_any;
}

/* The element whose current or voltage a value is; -1: it is something else. */
static int element_of(const parts_run *r, int value, op_quantity *of)
{
    const value_of *x = &r->s->probe->values[value];
    switch (x->how) {
    case READ_AVERAGE_A:
        *of = OP_CURRENT;
        return x->index;
    case READ_LAMP_V:
        *of = OP_SIZE_OF_VOLTS;
        return x->index;
    case READ_ITEM_V:
        *of = OP_VOLTS;
        return network_main_element(r->s->net, x->index);
    default:
        return -1;
    }
}

typedef struct sensitivity {
    int value;
    double *per_A; /* of each tap; NULL: not to be had */
    struct sensitivity *next;
} sensitivity;

static const sensitivity *known_sensitivity(const row *of, int value)
{
    const sensitivity *x = of->sensitivities;
    while (x && x->value != value) x = x->next;
    return x;
}

static void add_sensitivities(parts_run *r, int number, const int *values, int n)
{
    const int n_taps = r->first_tap[r->sp->n_parts];
    row *of = &r->rows.at[number];
    int n_sought = 0;
    for (int k = 0; k < n; k++) {
        sensitivity *x = ARENA_NEW(r->a, sensitivity);
        *x = (sensitivity){.value = values[k], .next = of->sensitivities};
        of->sensitivities = x;
        op_sensitivity *sought = &r->sought[n_sought];
        sought->element = element_of(r, values[k], &sought->of);
        if (sought->element < 0) continue;
        r->sought_for[n_sought++] = x;
        if (!sought->per_A) sought->per_A = ARENA_ARRAY(r->a, double, (size_t)r->s->net->n_nodes + 1);
    }
    if (!n_sought) return;
    parts_stand_at(r, number);
    op_sensitivities(r->plan, r->sought, n_sought);
    for (int k = 0; k < n_sought; k++) {
        if (!r->sought[k].is_had) continue;
        r->sought_for[k]->per_A = ARENA_ARRAY(r->a, double, (size_t)n_taps + 1);
        for (int tap = 0; tap < n_taps; tap++) r->sought_for[k]->per_A[tap] = r->sought[k].per_A[r->taps[tap]];
    }
}

/* All values of one part are asked for on the same grounds: while the plan stands at one, all are looked at. */
static const double *per_A_of(parts_run *r, int number, int value)
{
    const int part = r->part_of_value[value];
    if (!known_sensitivity(&r->rows.at[number], value)) {
        int n = 0;
        for (int k = 0; k < r->s->probe->n_values; k++)
            if (k == value || (part >= 0 && r->part_of_value[k] == part)) r->sought_values[n++] = k;
        add_sensitivities(r, number, r->sought_values, n);
    }
    return known_sensitivity(&r->rows.at[number], value)->per_A;
}

bool parts_estimate(parts_run *r, target t)
{
    parts_estimate_none(r);
    for (int on = 0; on < r->n_grounds && t.value >= 0; on++) {
        estimate *e = &r->estimates[on];
        if (r->on[on].at == r->base[on].at) continue;
        const int number = parts_row_at(r, r->on[on].at), base = parts_row_at(r, r->base[on].at);
        if (number < 0 || base < 0) return false;
        if (r->rows.at[number].circumstance != r->rows.at[base].circumstance) continue;
        e->value = parts_target_value(r, t, &r->rows.at[number]);
        e->per_A = isfinite(e->value) ? per_A_of(r, number, t.value) : NULL;
        e->is_ready = e->per_A != NULL;
    }
    return true;
}

/* What the target changes by when the current that the group draws changes as from one row to the other. */
static double effect_of(const parts_run *r, const estimate *e, int part, const row *from, const row *to, double *off)
{
    const int first = r->first_tap[part];
    double sum = 0, size = 0;
    for (int tap = first; tap < r->first_tap[part + 1]; tap++) {
        const double change = (e->per_A[tap] - e->per_A[first]) * (to->taps_A[tap] - from->taps_A[tap]);
        sum += change;
        size += fabs(change);
    }
    *off = (least_off + 2 * r->sag) * size;
    return sum;
}

bool parts_read(parts_run *r, target t, int on, int g, int s, double *value, double *off)
{
    const estimate *e = &r->estimates[on];
    *off = 0;
    if (e->is_ready && parts_known_on(r, &r->on[on], g, s) < 0) {
        const int from = parts_row_on(r, &r->base[on], g, r->on[on].at[g]), to = parts_row_on(r, &r->base[on], g, s);
        if (from < 0 || to < 0) return false;
        const row *x = &r->rows.at[from], *y = &r->rows.at[to];
        if (x->circumstance == y->circumstance) {
            *value = e->value + effect_of(r, e, r->groups[g].part, x, y, off);
            return true;
        }
    }
    const int number = parts_row_on(r, &r->on[on], g, s);
    if (number >= 0) *value = parts_target_value(r, t, &r->rows.at[number]);
    return number >= 0;
}
