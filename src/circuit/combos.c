/* Combinations of positions: see combos.h. */
#include "circuit/combos.h"

#include "circuit/graph.h"
#include "circuit/operating.h"

static bool *find_coils(arena *a, const network *net)
{
    bool *has_coil = ARENA_ARRAY(a, bool, (size_t)net->van->n_items + 1);
    for (int k = 0; k < net->n_elements; k++)
        if (net->elements[k].type == ELEMENT_COIL && net->elements[k].item >= 0) has_coil[net->elements[k].item] = true;
    return has_coil;
}

static bool is_same(const position *p, const position *q) { return p->index == q->index && p->fraction == q->fraction; }

static position *base_positions(arena *a, const network *net, const bool *has_coil)
{
    const van *v = net->van;
    position *base = positions_rest(v, a);
    for (int i = 0; i < v->n_items; i++) {
        const item *it = &v->items[i];
        const kind *k = item_kind(v, i);
        if (it->n_positions < 1 || has_coil[i]) continue;
        base[i] = it->positions[k->role == ROLE_CHARGER && net->conditions.is_charging ? it->n_positions - 1 : 0];
    }
    return base;
}

/* What item i says of item j. */
static bool tolerates(const van *v, int i, const position *at_i, int j, const position *at_j)
{
    const item *it = &v->items[i];
    for (int k = 0; k < it->n_exclusions; k++) {
        const exclusion *x = &it->exclusions[k];
        if (x->other != j || !is_same(&x->there, at_j)) continue;
        if (x->here < 0 ? !is_same(at_i, &it->positions[0]) : at_i->index == x->here) return false;
    }
    return true;
}

static bool may_meet(const van *v, int i, const position *at_i, int j, const position *at_j)
{
    return tolerates(v, i, at_i, j, at_j) && tolerates(v, j, at_j, i, at_i);
}

typedef struct listing {
    arena *a;
    const combos *c;
    const int *fixed; /* items that stand still and have part in an exclusion */
    int n_fixed;
    const int *items;
    int n_items;
    uint16_t *at;
    ARRAY(uint16_t) found;
    int n_found;
} listing;

static bool is_allowed(const listing *l, int depth)
{
    const van *v = l->c->van;
    const int i = l->items[depth];
    const position *at = &v->items[i].positions[l->at[depth]];
    for (int k = 0; k < depth; k++)
        if (!may_meet(v, i, at, l->items[k], &v->items[l->items[k]].positions[l->at[k]])) return false;
    for (int k = 0; k < l->n_fixed; k++)
        if (!may_meet(v, i, at, l->fixed[k], &l->c->base[l->fixed[k]])) return false;
    return true;
}

static void list_states(listing *l, int depth)
{
    if (l->n_found > digit_states_most) return;
    if (depth == l->n_items) {
        for (int k = 0; k < l->n_items; k++) *ARRAY_ADD(l->a, &l->found) = l->at[k];
        l->n_found++;
        return;
    }
    for (int p = 0; p < l->c->van->items[l->items[depth]].n_positions; p++) {
        l->at[depth] = (uint16_t)p;
        if (is_allowed(l, depth)) list_states(l, depth + 1);
    }
}

static void make_digit(combos *c, listing l, digit *d)
{
    l.at = ARENA_ARRAY(l.a, uint16_t, (size_t)l.n_items);
    list_states(&l, 0);
    if (l.n_found > digit_states_most) {
        l.n_found = digit_states_most;
        c->why_not = "never-with ties so many items together that their positions can't all be listed";
    }
    uint16_t *n_away = ARENA_ARRAY(l.a, uint16_t, (size_t)l.n_found + 1);
    for (int s = 0; s < l.n_found; s++)
        for (int k = 0; k < l.n_items; k++) n_away[s] = (uint16_t)(n_away[s] + (l.found.at[s * l.n_items + k] != 0));
    *d = (digit){l.items, l.n_items, l.n_found, l.found.at, n_away};
    c->n *= l.n_found;
}

/* Items that exclude each other have one root; a coil's item bars nobody, because nobody sets it. */
static int *exclusion_roots(arena *a, const van *v, const bool *is_digit)
{
    int *parent = ARENA_ARRAY(a, int, (size_t)v->n_items + 1);
    for (int i = 0; i < v->n_items; i++) parent[i] = i;
    for (int i = 0; i < v->n_items; i++)
        for (int k = 0; k < v->items[i].n_exclusions; k++)
            if (is_digit[i] && is_digit[v->items[i].exclusions[k].other])
                graph_unite(parent, i, v->items[i].exclusions[k].other);
    return parent;
}

static int *fixed_items(arena *a, const van *v, const bool *is_digit, const bool *has_coil, int *n)
{
    bool *has_part = ARENA_ARRAY(a, bool, (size_t)v->n_items + 1);
    int *fixed = ARENA_ARRAY(a, int, (size_t)v->n_items + 1);
    for (int i = 0; i < v->n_items; i++)
        for (int k = 0; k < v->items[i].n_exclusions; k++)
            has_part[i] = has_part[v->items[i].exclusions[k].other] = true;
    *n = 0;
    for (int i = 0; i < v->n_items; i++)
        if (has_part[i] && !is_digit[i] && v->items[i].n_positions > 0 && !has_coil[i]) fixed[(*n)++] = i;
    return fixed;
}

combos *combos_make(arena *a, const network *net)
{
    const van *v = net->van;
    combos *c = ARENA_NEW(a, combos);
    const bool *has_coil = find_coils(a, net);
    *c = (combos){.van = v, .base = base_positions(a, net, has_coil), .n = 1, .has_coil = has_coil};
    c->digit_of_item = ARENA_ARRAY(a, int, (size_t)v->n_items + 1);
    c->digits = ARENA_ARRAY(a, digit, (size_t)v->n_items + 1);
    bool *is_digit = ARENA_ARRAY(a, bool, (size_t)v->n_items + 1);
    for (int i = 0; i < v->n_items; i++)
        is_digit[i] = v->items[i].n_positions > 1 && item_kind(v, i)->role != ROLE_CHARGER && !has_coil[i];
    int *parent = exclusion_roots(a, v, is_digit), n_fixed;
    const int *fixed = fixed_items(a, v, is_digit, has_coil, &n_fixed);
    for (int i = 0; i < v->n_items; i++) {
        c->digit_of_item[i] = -1;
        if (!is_digit[i]) continue;
        const int root = graph_root(parent, i);
        if (root != i) {
            c->digit_of_item[i] = c->digit_of_item[root];
            continue;
        }
        int *items = ARENA_ARRAY(a, int, (size_t)v->n_items - (size_t)i), n_items = 0;
        for (int j = i; j < v->n_items; j++)
            if (is_digit[j] && graph_root(parent, j) == i) items[n_items++] = j;
        c->digit_of_item[i] = c->n_digits;
        make_digit(c, (listing){.a = a, .c = c, .fixed = fixed, .n_fixed = n_fixed, .items = items, .n_items = n_items},
                   &c->digits[c->n_digits++]);
    }
    return c;
}

void combos_set(const combos *c, int of_digit, int state, position *positions)
{
    const digit *d = &c->digits[of_digit];
    for (int k = 0; k < d->n_items; k++)
        positions[d->items[k]] = c->van->items[d->items[k]].positions[d->choice[state * d->n_items + k]];
}
