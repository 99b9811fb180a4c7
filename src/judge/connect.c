/* One plain wire: a return that is missing, and returns that end in the wrong place. */
#include "judge/offer.h"

#include <string.h>

static bool is_named(const finder *f, int t, const char *own)
{
    const terminal *at = &f->van->terminals[t];
    return !strcmp(at->name + strlen(f->van->items[at->item].id) + 1, own);
}

/* A dimmer on the same feed whose load side is free: then the return of a light belongs there. */
static int dimmer_beside(const finder *f, int pos)
{
    for (int i = 0; i < f->van->n_items; i++) {
        if (item_kind(f->van, i)->role != ROLE_DIMMER) continue;
        const int own_pos = item_terminal(f->van, i, "pos"), load = item_terminal(f->van, i, "load-neg");
        if (own_pos >= 0 && load >= 0 && !f->wires_at[load] && f->study->joined[own_pos] == f->study->joined[pos])
            return load;
    }
    return -1;
}

static double length_of(const finder *f, const int *wires, int n)
{
    double sum_m = 0;
    for (int i = 0; i < n; i++) {
        if (f->van->wires[wires[i]].is_length_auto) return 0;
        sum_m += f->van->wires[wires[i]].length_m;
    }
    return sum_m;
}

/* A return runs beside its feed: it is as long and as thick, until somebody measures it. */
static void offer_return(finder *f, finding *n, int neg, int pos)
{
    int *wires = ARENA_ARRAY(f->arena, int, f->van->n_wires + 1), device;
    const int n_wires = study_way_back(f->study, pos, wires, &device);
    if (!n_wires) return;
    const int dimmer = dimmer_beside(f, pos);
    const int to = dimmer >= 0 ? dimmer : return_place(f, device);
    const int nearest = wires[n_wires - 1];
    const conductor_size size = f->study->wires[nearest].size;
    if (to < 0 || size.series == SIZE_UNSET) return;
    if (terminal_fit(f->van, to, size.area_m2) || terminal_fit(f->van, neg, size.area_m2)) return;
    const double length_m = dimmer >= 0 ? length_of(f, &nearest, 1) : length_of(f, wires, n_wires);
    if (!(length_m > 0)) return;
    const char **labels = ARENA_ARRAY(f->arena, const char *, (size_t)n_wires + 1);
    for (int i = 0; i < n_wires; i++) labels[i] = f->van->wires[wires[i]].label;
    const char *length = arena_printf(f->arena, "%s m", num(f, length_m));
    mend *m = offer(f, n, "run a return from %s to %s, %s of %s: as long and as thick as %s; measure it",
                    f->van->terminals[neg].name, f->van->terminals[to].name, length, size_words(size),
                    dimmer >= 0 ? labels[n_wires - 1] : list_words(f, labels, n_wires));
    mend_wire(f, m, neg, to, length, size, usual_colour(f, dimmer >= 0 ? "chopped" : "return"));
}

void offer_connection(finder *f, finding *n, int open)
{
    const int item = f->van->terminals[open].item;
    static const char *const pairs[][2] = {{"neg", "pos"}, {"coil-neg", "coil-pos"}};
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        const int pos = item_terminal(f->van, item, pairs[i][1]);
        if (item_kind(f->van, item)->role == ROLE_BATTERY || pos < 0 || !f->wires_at[pos]) continue;
        if (is_named(f, open, pairs[i][0])) offer_return(f, n, open, pos);
    }
}

/* The two wires of an item change places. */
void offer_swap(finder *f, finding *n, int item)
{
    static const char *const pairs[][2] = {
        {"pos", "neg"}, {"in-pos", "in-neg"}, {"out-pos", "out-neg"}, {"coil-pos", "coil-neg"}};
    for (size_t p = 0; p < sizeof pairs / sizeof *pairs; p++) {
        const int pos = item_terminal(f->van, item, pairs[p][0]), neg = item_terminal(f->van, item, pairs[p][1]);
        if (pos < 0 || neg < 0 || !f->wires_at[pos] || !f->wires_at[neg]) continue;
        mend *m = NULL;
        for (int w = 0; w < f->van->n_wires; w++) {
            const wire *file = &f->van->wires[w];
            const int here = file->from == pos || file->to == pos   ? pos
                             : file->from == neg || file->to == neg ? neg
                                                                    : -1;
            if (here < 0) continue;
            if (!m)
                m = offer(f, n, "exchange the wires at %s and %s", f->van->terminals[pos].name,
                          f->van->terminals[neg].name);
            mend_end(f, m, w, here, here == pos ? neg : pos);
        }
        if (m) return;
    }
}

/* The block that an item hangs off by its `feed`; -1. */
static int block_behind(const finder *f, int item)
{
    int *wires = ARENA_ARRAY(f->arena, int, f->van->n_wires + 1), device = -1;
    const int feed = item_terminal(f->van, item, "feed");
    return feed >= 0 && study_way_back(f->study, feed, wires, &device) ? device : -1;
}

/* The wire at the far side of an indicator lamp goes to the common return. */
void offer_lamp_return(finder *f, finding *n, int item)
{
    const int lamp = f->study->items[item].lamp;
    const int own = element_of(f, lamp)->b;
    if (own >= f->van->n_terminals || f->wires_at[own] != 1) return;
    for (int w = 0; w < f->van->n_wires; w++) {
        const wire *file = &f->van->wires[w];
        if (file->from != own && file->to != own) continue;
        const int far = file->from == own ? file->to : file->from;
        const int to = return_place(f, block_behind(f, item));
        if (to < 0 || to == far) return;
        const char *left_over = is_left_over(f, far) ? f->van->items[f->van->terminals[far].item].id : NULL;
        mend *m = offer(f, n, "move the end of %s from %s to %s%s%s", file->label, f->van->terminals[far].name,
                        f->van->terminals[to].name, left_over ? ", and take out " : "", left_over ? left_over : "");
        mend_end(f, m, w, far, to);
        if (left_over) mend_drop(f, m, "items", left_over);
        if (file->colour && strcmp(file->colour, usual_colour(f, "return")) != 0)
            mend_put(f, m, "wires", file->label, "colour", -1, usual_colour(f, "return"));
    }
}

/* A bar at the load side of the monitor, else that side itself. */
static int load_side(const finder *f, int shunt)
{
    const int load = item_terminal(f->van, shunt, "load");
    for (int w = 0; w < f->van->n_wires; w++) {
        const wire *file = &f->van->wires[w];
        if (file->from != load && file->to != load) continue;
        const int bar = f->van->terminals[file->from == load ? file->to : file->from].item;
        const int stud = item_is_bar(f->van, bar) ? item_free_of_row(f->van, bar) : -1;
        if (stud >= 0) return stud;
    }
    return takes_more(f, load) ? load : -1;
}

void offer_load_side(finder *f, finding *n, int shunt, const int *wires, int n_wires, const bool *is_before_shunt)
{
    const int to = load_side(f, shunt);
    if (to < 0 || n_wires != 1) return;
    const wire *file = &f->van->wires[wires[0]];
    const int ends[2] = {file->from, file->to};
    for (int k = 0; k < 2; k++) {
        const role r = item_kind(f->van, f->van->terminals[ends[k]].item)->role;
        if (!is_before_shunt[ends[k]] || (r != ROLE_BATTERY && r != ROLE_SHUNT)) continue;
        mend *m = offer(f, n, "move the end of %s from %s to %s", file->label, f->van->terminals[ends[k]].name,
                        f->van->terminals[to].name);
        mend_end(f, m, wires[0], ends[k], to);
        return;
    }
}
