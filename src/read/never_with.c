/* `never-with` that can't be meant: positions that no order of moves reaches.
 *
 * An entry `never-with: [other.position]` of an item says: while this item is out of its rest position, `other` does not
 * stand in that position. Everything at rest is therefore always allowed. Two things can still go wrong. Items may wait
 * for each other in a circle (each may leave its rest position only when the next has left its own), so that nobody can
 * move first. Or what an item's leaving demands may contradict itself, directly or through other items. */
#include "read/items.h"

#include <math.h>
#include <string.h>

/* What one item may still stand in, while the demands of a single supposition spread. */
typedef struct domains {
    const van *v;
    uint64_t *allowed; /* a bit for each of the item's positions (at most 64); valid when stamp matches */
    int *stamp;
    int now;
    int *changed; /* items whose domain shrank, yet to be looked at */
    int n_changed;
    bool *is_waiting;
    /* exclusions by the item that they name: the items that exclude a position of it */
    int *first_user, *users;
} domains;

static uint64_t allowed_of(domains *d, int i)
{
    if (d->stamp[i] != d->now) {
        d->stamp[i] = d->now;
        int n = d->v->items[i].n_positions;
        d->allowed[i] = n >= 64 ? UINT64_MAX : (UINT64_C(1) << n) - 1;
    }
    return d->allowed[i];
}

static int number_of_position(const item *it, const position *p)
{
    for (int i = 0; i < it->n_positions; i++)
        if (it->positions[i].index == p->index && fabs(it->positions[i].fraction - p->fraction) < 1e-9) return i;
    return 0;
}

/* Narrows what item i may stand in; false when nothing is left. */
static bool narrow(domains *d, int i, uint64_t to)
{
    uint64_t before = allowed_of(d, i), after = before & to;
    d->allowed[i] = after;
    if (after != before && !d->is_waiting[i]) {
        d->is_waiting[i] = true;
        d->changed[d->n_changed++] = i;
    }
    return after != 0;
}

/* All that follows from item i's domain; false on a contradiction. */
static bool spread_from(domains *d, int i)
{
    const item *it = &d->v->items[i];
    uint64_t mine = allowed_of(d, i);
    if (!(mine & 1)) /* out of rest: what it excludes is excluded */
        for (int e = 0; e < it->n_exclusions; e++) {
            const exclusion *x = &it->exclusions[e];
            uint64_t bit = UINT64_C(1) << number_of_position(&d->v->items[x->other], &x->there);
            if (!narrow(d, x->other, ~bit)) return false;
        }
    if ((mine & (mine - 1)) == 0) /* fixed: who excludes that position is at rest */
        for (int u = d->first_user[i]; u < d->first_user[i + 1]; u++) {
            const item *user = &d->v->items[d->users[u]];
            for (int e = 0; e < user->n_exclusions; e++) {
                const exclusion *x = &user->exclusions[e];
                if (x->other != i || mine != UINT64_C(1) << number_of_position(it, &x->there)) continue;
                if (!narrow(d, d->users[u], 1)) return false;
            }
        }
    return true;
}

static bool is_possible(domains *d, int i, int p)
{
    d->now++;
    d->n_changed = 0;
    bool is_sound = narrow(d, i, UINT64_C(1) << p);
    if (d->n_changed == 0 && is_sound) d->changed[d->n_changed++] = i;
    while (d->n_changed > 0) {
        int next = d->changed[--d->n_changed];
        d->is_waiting[next] = false;
        if (is_sound) is_sound = spread_from(d, next);
    }
    return is_sound;
}

static void list_users(domains *d, arena *a)
{
    const van *v = d->v;
    int n = 0;
    for (int i = 0; i < v->n_items; i++) n += v->items[i].n_exclusions;
    d->first_user = ARENA_ARRAY(a, int, (size_t)v->n_items + 2);
    d->users = ARENA_ARRAY(a, int, (size_t)n);
    for (int i = 0; i < v->n_items; i++)
        for (int e = 0; e < v->items[i].n_exclusions; e++) d->first_user[v->items[i].exclusions[e].other + 2]++;
    for (int i = 0; i < v->n_items; i++) d->first_user[i + 2] += d->first_user[i + 1];
    for (int i = 0; i < v->n_items; i++)
        for (int e = 0; e < v->items[i].n_exclusions; e++)
            d->users[d->first_user[v->items[i].exclusions[e].other + 1]++] = i;
}

/* The item that i waits for, or -1: the next of those whose rest position it excludes, from entry *e on. */
static int waits_for(const van *v, int i, int *e)
{
    const item *it = &v->items[i];
    for (; *e < it->n_exclusions; (*e)++) {
        const exclusion *x = &it->exclusions[*e];
        if (number_of_position(&v->items[x->other], &x->there) == 0) return it->exclusions[(*e)++].other;
    }
    return -1;
}

/* Depth first over who waits for whom, without recursion: an item met again while on the path closes a circle. Reports
 * each circle once; returns true when it found any. */
static bool find_circles(reader *r, const van *v)
{
    size_t n = (size_t)v->n_items;
    char *state = ARENA_ARRAY(r->arena, char, n); /* 1 on the path, 2 done */
    int *path = ARENA_ARRAY(r->arena, int, n), *entry = ARENA_ARRAY(r->arena, int, n);
    bool has_circle = false;
    for (int start = 0; start < v->n_items; start++) {
        if (state[start]) continue;
        int depth = 0;
        path[depth++] = start;
        state[start] = 1;
        while (depth > 0) {
            int i = path[depth - 1], next = waits_for(v, i, &entry[i]);
            if (next < 0) {
                state[i] = 2;
                depth--;
            } else if (state[next] == 0) {
                state[next] = 1;
                path[depth++] = next;
            } else if (state[next] == 1) {
                sink s = sink_in(r->arena);
                int from = depth - 1;
                while (path[from] != next) from--;
                for (int j = from; j < depth && j < from + 8; j++)
                    sink_printf(&s, "`%s` waits for ", v->items[path[j]].id);
                fault(r, v->items[i].where,
                      SAY(r, "`never-with` goes in a circle: %s`%s`", sink_text(&s), v->items[next].id),
                      "none of them could ever leave its rest position first; take one entry out");
                has_circle = true;
            }
        }
    }
    return has_circle;
}

void check_exclusions(reader *r, const van *v)
{
    if (find_circles(r, v)) return;
    enum {
        work_most = 20 * 1000 * 1000
    }; /* items times exclusions; beyond it no one could have written the file by hand */
    domains d = {.v = v};
    size_t n = (size_t)v->n_items;
    d.allowed = ARENA_ARRAY(r->arena, uint64_t, n);
    d.stamp = ARENA_ARRAY(r->arena, int, n);
    d.changed = ARENA_ARRAY(r->arena, int, n + 1);
    d.is_waiting = ARENA_ARRAY(r->arena, bool, n);
    list_users(&d, r->arena);
    long n_exclusions = d.first_user[v->n_items], n_excluding = 0;
    for (int i = 0; i < v->n_items; i++) n_excluding += v->items[i].n_exclusions > 0;
    if (n_excluding * n_exclusions > work_most) return;
    for (int i = 0; i < v->n_items; i++) {
        const item *it = &v->items[i];
        for (int p = 1; p < it->n_positions && it->n_exclusions > 0; p++)
            if (!is_possible(&d, i, p)) {
                fault(r, it->where,
                      SAY(r, "`never-with` leaves `%s` no way to stand in `%s`", it->id,
                          position_text(v, i, it->positions[p], r->arena)),
                      "take an entry out, or the position out of `positions`");
                break;
            }
    }
}
