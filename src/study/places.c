/* Where things are in a van: the bar that a circuit returns to, the device that feeds it. */
#include "study/study.h"

bool study_has_side(const study *s, int item, wire_side side)
{
    for (int w = 0; w < s->van->n_wires; w++)
        if (wire_is_at_item(s->van, w, item) && s->feeds->wires[w].side == side) return true;
    return false;
}

/* The first bar that the return of a load meets; -1: none. */
static int first_bar(const study *s, const load_feed *f)
{
    for (int k = 0; k < f->n_loop_wires; k++) {
        const int w = f->loop_wires[k];
        if (s->feeds->wires[w].side != SIDE_RETURN) continue;
        for (int i = 0; i < s->van->n_items; i++)
            if (item_is_bar(s->van, i) && wire_is_at_item(s->van, w, i)) return i;
    }
    return -1;
}

static bool is_fed_from(const study *s, const load_feed *f, int block)
{
    for (int k = 0; k < f->n_loop_wires && block >= 0; k++)
        if (wire_is_at_item(s->van, f->loop_wires[k], block)) return true;
    return false;
}

int study_return_bar(const study *s, int block)
{
    int best = -1, most = 0;
    for (int i = 0; i < s->van->n_items; i++) {
        if (!item_is_bar(s->van, i)) continue;
        int n = study_has_side(s, i, SIDE_RETURN) ? 1 : 0;
        for (int l = 0; l < s->n_loads; l++)
            if (is_fed_from(s, s->loads[l].feed, block) && first_bar(s, s->loads[l].feed) == i) n += 2;
        if (n <= most) continue;
        most = n;
        best = i;
    }
    return best;
}

/* Items through which a feed goes on. */
static bool passes(const study *s, int item)
{
    const role r = item_kind(s->van, item)->role;
    return r == ROLE_SWITCH || r == ROLE_SPREADER || r == ROLE_RELAY;
}

typedef struct step {
    int wire, item, before; /* the step that led to it; -1: the first */
} step;

static bool is_stepped(const step *steps, int n, int wire)
{
    for (int i = 0; i < n; i++)
        if (steps[i].wire == wire) return true;
    return false;
}

int study_way_back(const study *s, int terminal, int *wires, int *device)
{
    const van *v = s->van;
    step *steps = ARENA_ARRAY(s->arena, step, v->n_wires + 1);
    int n = 0;
    for (int at = -1; at < n; at++)
        for (int w = 0; w < v->n_wires; w++) {
            const int from = v->wires[w].from, to = v->wires[w].to, item = at < 0 ? -1 : steps[at].item;
            const bool is_next = at < 0 ? from == terminal || to == terminal : wire_is_at_item(v, w, item);
            if (!is_next || is_stepped(steps, n, w)) continue;
            const bool is_from_here = at < 0 ? from == terminal : v->terminals[from].item == item;
            const int there = v->terminals[is_from_here ? to : from].item;
            steps[n++] = (step){w, there, at};
            if (item_kind(v, there)->role == ROLE_PROTECTION) {
                int n_wires = 0;
                for (int k = n - 1; k >= 0; k = steps[k].before) wires[n_wires++] = steps[k].wire;
                *device = there;
                return n_wires;
            }
            if (!passes(s, there)) steps[n - 1].item = -2; /* a dead end */
        }
    return 0;
}
