/* Terminals, joints, colours, and wires that lead nowhere. */
#include "judge/offer.h"

#include <string.h>

/* ---- connected ---- */

static bool is_wired(const finder *f, int t) { return f->wires_at[t] > 0; }

static bool is_item_wired(const finder *f, int i)
{
    const item *it = &f->van->items[i];
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        if (is_wired(f, t)) return true;
    return false;
}

/* Studs, slots and ways that are still free are no fault. */
static bool may_be_open(const finder *f, int t)
{
    const terminal *at = &f->van->terminals[t];
    const terminal_template *template = &item_kind(f->van, at->item)->terminals[at->template_index];
    return template->may_be_open || template->is_row;
}

CHECK(item_not_connected)
{
    for (int i = 0; i < f->van->n_items; i++) {
        if (is_item_wired(f, i)) continue;
        finding *n = raise_finding(f, f->van->items[i].where);
        add_item(f, n, i);
        SAYS(f, n, "No wire goes to %s.", item_words(f, i));
        MEND(f, n, "Add its wires, or take it out of the file.");
    }
}

CHECK(terminal_open)
{
    for (int i = 0; i < f->van->n_items; i++) {
        const item *it = &f->van->items[i];
        if (!is_item_wired(f, i)) continue;
        finding *n = NULL;
        const char *words[kind_terminals_most];
        int n_open = 0, open = -1;
        for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
            if (is_wired(f, t) || may_be_open(f, t)) continue;
            if (!n) n = raise_finding(f, it->where);
            add_terminal(f, n, open = t);
            if (n_open < kind_terminals_most) words[n_open++] = f->van->terminals[t].name;
        }
        if (!n) continue;
        add_item(f, n, i);
        SAYS(f, n, "%s %s no wire.", list_words(f, words, n_open), n_open > 1 ? "have" : "has");
        MEND(f, n, "Add the wire; nothing says that %s may be left open.", n_open > 1 ? "they" : "it");
        if (n_open == 1) offer_connection(f, n, open);
    }
}

/* Components that no source is in. */
CHECK(item_floating)
{
    const study *s = f->study;
    const network *net = s->nets[SEASON_HARD];
    bool *has_source = ARENA_ARRAY(f->arena, bool, s->n_islands + 1);
    bool *is_done = ARENA_ARRAY(f->arena, bool, s->n_islands + 1);
    for (int e = 0; e < net->n_elements; e++) {
        const net_element *el = &net->elements[e];
        if (el->type == ELEMENT_EMF) has_source[s->islands[el->a]] = true;
        if (el->type == ELEMENT_TRANSFER) has_source[s->islands[el->to_a]] = has_source[s->islands[el->to_b]] = true;
    }
    for (int t = 0; t < f->van->n_terminals; t++) {
        const int island = s->islands[t];
        const item *it = &f->van->items[f->van->terminals[t].item];
        if (island < 0 || has_source[island] || is_done[island] || !is_wired(f, t)) continue;
        is_done[island] = true;
        finding *n = raise_finding(f, it->where);
        const char **words = ARENA_ARRAY(f->arena, const char *, f->van->n_terminals + 1);
        int n_words = 0;
        for (int o = t; o < f->van->n_terminals; o++) {
            const int owner = f->van->terminals[o].item;
            if (s->islands[o] != island || (n_words && words[n_words - 1] == f->van->items[owner].id)) continue;
            add_item(f, n, owner);
            words[n_words++] = f->van->items[owner].id;
        }
        SAYS(f, n, "%s %s wired, and no path leads from there to a source in any position.",
             list_words(f, words, n_words), n_words > 1 ? "are" : "is");
        MEND(f, n, "Add the connection that is missing.");
    }
}

/* ---- fits ---- */

/* The last wires of a full stud go to free ones of the same bar. */
static void offer_free_stud(finder *f, finding *n, int t, int n_surplus)
{
    const int item = f->van->terminals[t].item;
    const int to = item_is_bar(f->van, item) ? item_free_of_row(f->van, item) : -1;
    if (to < 0 || n_surplus > (int)limit_for(f, "stud-conductors")->value) return;
    mend *m = offer(f, n, "move %d of the conductors to %s", n_surplus, f->van->terminals[to].name);
    for (int w = f->van->n_wires - 1; w >= 0 && n_surplus; w--) {
        if (f->van->wires[w].from != t && f->van->wires[w].to != t) continue;
        mend_end(f, m, w, t, to);
        n_surplus--;
    }
}

CHECK(too_many_on_terminal)
{
    const limit *usual = limit_for(f, "stud-conductors");
    for (int t = 0; t < f->van->n_terminals; t++) {
        const terminal *at = &f->van->terminals[t];
        const terminal_template *template = &item_kind(f->van, at->item)->terminals[at->template_index];
        const double takes = template->takes_conductors > 0 ? template->takes_conductors : usual->value;
        if (f->wires_at[t] <= takes) continue;
        finding *n = raise_finding(f, f->van->items[at->item].where);
        if (template->takes_conductors > 0) n->grade = GRADE_STOP;
        add_terminal(f, n, t);
        for (int w = 0; w < f->van->n_wires; w++)
            if (f->van->wires[w].from == t || f->van->wires[w].to == t) add_wire(f, n, w);
        set_value(n, f->wires_at[t], takes, "conductors");
        set_source(f, n, template->takes_conductors > 0 ? &template->fits_from : &usual->from);
        SAYS(f, n, "%s has %d conductors and takes %s.", at->name, f->wires_at[t], num(f, takes));
        MEND(f, n, "Move some to a free stud, or to a bar.");
        offer_free_stud(f, n, t, f->wires_at[t] - (int)takes);
    }
}

static bool fits(const finder *f, int w, int t, double *limit_m2)
{
    const terminal *at = &f->van->terminals[t];
    const terminal_template *template = &item_kind(f->van, at->item)->terminals[at->template_index];
    const int fit = terminal_fit(f->van, t, f->study->wires[w].size.area_m2);
    *limit_m2 = fit < 0 ? template->smallest_m2 : template->largest_m2;
    return !fit;
}

/* One finding a wire, for either or both of its ends. */
CHECK(size_does_not_fit_terminal)
{
    for (int w = 0; w < f->van->n_wires; w++) {
        const conductor_size size = f->study->wires[w].size;
        const int ends[2] = {f->van->wires[w].from, f->van->wires[w].to};
        const char *misfits[2];
        int n_misfits = 0;
        finding *n = NULL;
        for (int k = 0; k < 2 && size.series != SIZE_UNSET; k++) {
            double limit_m2;
            if (fits(f, w, ends[k], &limit_m2)) continue;
            const terminal *at = &f->van->terminals[ends[k]];
            if (!n) n = raise_finding(f, f->van->wires[w].size_place);
            add_terminal(f, n, ends[k]);
            set_value(n, size.area_m2 * 1e6, limit_m2 * 1e6, "mm2");
            set_source(f, n, &item_kind(f->van, at->item)->terminals[at->template_index].fits_from);
            misfits[n_misfits++] = arena_printf(f->arena, "%s takes %s mm2 at the %s", at->name, num(f, limit_m2 * 1e6),
                                                size.area_m2 > limit_m2 ? "most" : "least");
        }
        if (!n) continue;
        add_wire(f, n, w);
        SAYS(f, n, "%s is %s (%s mm2); %s.", f->van->wires[w].label, size_words(size), num(f, size.area_m2 * 1e6),
             list_words(f, misfits, n_misfits));
        MEND(f, n, "Take a size that fits, or bring the conductor to a bar and go on with one that does.");
        sized_wire sized = {.wire = w};
        if (study_size_that_suits(f->study, w, f->study->wires[w].protector_A, &sized.size))
            offer_sizes(f, n, &sized, 1);
    }
}

CHECK(hidden_joint)
{
    for (int i = 0; i < f->van->n_items; i++) {
        if (!f->van->items[i].is_hidden) continue;
        finding *n = raise_finding(f, f->van->items[i].where);
        add_item(f, n, i);
        SAYS(f, n, "%s is hidden once the wall is closed.", item_words(f, i));
        MEND(f, n, "Run the conductor in one piece, or put the joint where it can be reached.");
    }
}

/* ---- colours ---- */

static const char *use_of(wire_side side)
{
    switch (side) {
    case SIDE_FEED:
        return "feed";
    case SIDE_RETURN:
        return "return";
    case SIDE_CHOPPED:
        return "chopped";
    case SIDE_BOND:
        return "bond";
    case SIDE_UNKNOWN:
    case SIDE_MAINS: /* line, neutral and earth are told apart with the mains part */
        break;
    }
    return NULL;
}

static bool departs(const finder *f, int w, const char **wanted, source *from)
{
    const char *use = use_of(f->study->feeds->wires[w].side), *colour = f->van->wires[w].colour;
    return use && colour && !colour_suits(f->van->practice, use, colour, wanted, from);
}

/* The return of a light whose dimmer is by-passed has the colour that suits what was meant. */
static bool is_at_bypassed_chopper(const finder *f, int w)
{
    for (int e = 0; e < f->study->nets[SEASON_HARD]->n_elements; e++) {
        const net_element *el = element_of(f, e);
        if (el->type != ELEMENT_CHOPPER || !is_bypassed(f, e)) continue;
        if (f->van->wires[w].from == el->a || f->van->wires[w].to == el->a) return true;
    }
    return false;
}

static void offer_colour(finder *f, finding *n, const char *use, const char *const *labels, int n_labels)
{
    const char *colour = usual_colour(f, use);
    mend *m = offer(f, n, "make %s %s", list_words(f, labels, n_labels), colour);
    for (int i = 0; i < n_labels; i++) mend_put(f, m, "wires", labels[i], "colour", -1, colour);
}

/* One finding for each colour in each wrong use. */
CHECK(colour_departs)
{
    bool *is_done = ARENA_ARRAY(f->arena, bool, f->van->n_wires + 1);
    for (int w = 0; w < f->van->n_wires; w++) {
        const char *wanted, *unused;
        source from, ignored;
        if (is_done[w] || !departs(f, w, &wanted, &from) || is_at_bypassed_chopper(f, w)) continue;
        finding *n = raise_finding(f, f->van->wires[w].where);
        const wire_side side = f->study->feeds->wires[w].side;
        const char **labels = ARENA_ARRAY(f->arena, const char *, f->van->n_wires + 1);
        int n_labels = 0;
        for (int o = w; o < f->van->n_wires; o++) {
            if (f->study->feeds->wires[o].side != side || !departs(f, o, &unused, &ignored)) continue;
            if (strcmp(f->van->wires[o].colour, f->van->wires[w].colour) != 0) continue;
            is_done[o] = true;
            add_wire(f, n, o);
            labels[n_labels++] = f->van->wires[o].label;
        }
        set_source(f, n, &from);
        SAYS(f, n, "%s %s %s and %s; the practice gives a %s %s.", list_words(f, labels, n_labels),
             n_labels > 1 ? "are" : "is", f->van->wires[w].colour,
             side == SIDE_CHOPPED ? "lead from a load to its dimmer"
                                  : arena_printf(f->arena, n_labels > 1 ? "%ss" : "a %s", use_of(side)),
             use_of(side), wanted);
        MEND(f, n, "Take one of those colours, or mark both ends with a sleeve of one.");
        offer_colour(f, n, use_of(side), labels, n_labels);
    }
}

/* ---- wires that do nothing ---- */

/* Something else says why no current flows there, or none is meant to. */
static bool is_excused(const finder *f, int w)
{
    const wire_study *ws = &f->study->wires[w];
    const wire *file = &f->van->wires[w];
    const wire_side side = f->study->feeds->wires[w].side;
    if (side == SIDE_BOND || side == SIDE_MAINS) return true;
    if (ws->size.series == SIZE_UNSET || file->is_length_auto || f->is_shorted) return true;
    if (f->study->states[SEASON_HARD]->n_troubles || f->study->states[SEASON_FULL]->n_troubles) return true;
    const int ends[2] = {file->from, file->to};
    for (int k = 0; k < 2; k++) {
        const int i = f->van->terminals[ends[k]].item;
        const kind *kind_of = item_kind(f->van, i);
        const role r = kind_of->role;
        if (r == ROLE_CHASSIS || r == ROLE_CHARGER || r == ROLE_MEASURE) return true;
        if (f->is_open[i] || f->is_swapped[i] || has_dark_lamp(f, i)) return true;
    }
    return false;
}

/* A chain that leads to something excused carries nothing for the same reason: the far ends of what is joined to the
 * wire by conductors, protective devices and contacts are looked at. */
static bool leads_to_excused(const finder *f, int w)
{
    for (int o = 0; o < f->van->n_wires; o++)
        if (f->study->solid[f->van->wires[o].from] == f->study->solid[f->van->wires[w].from] && o != w &&
            f->study->wires[o].worst_A < 1e-6 && is_excused(f, o))
            return true;
    return false;
}

CHECK(wire_does_nothing)
{
    if (f->study->is_given_up) return; /* positions that were not looked at may need it */
    for (int w = 0; w < f->van->n_wires; w++) {
        const wire_study *ws = &f->study->wires[w];
        if (ws->worst_A > 1e-6 || is_excused(f, w) || leads_to_excused(f, w)) continue;
        bool is_of_dead_load = false;
        for (int i = 0; i < f->study->n_loads; i++) {
            const load_study *l = &f->study->loads[i];
            for (int k = 0; k < l->feed->n_loop_wires; k++)
                is_of_dead_load = is_of_dead_load || (l->feed->loop_wires[k] == w && !l->is_fed);
        }
        if (is_of_dead_load) continue;
        finding *n = raise_finding(f, f->van->wires[w].where);
        add_wire(f, n, w);
        SAYS(f, n, "%s, from %s to %s, carries no current in any position.", f->van->wires[w].label,
             f->van->terminals[f->van->wires[w].from].name, f->van->terminals[f->van->wires[w].to].name);
        MEND(f, n, "Put it on the terminal that was meant, or leave it out.");
        offer_without(f, n, w);
    }
}

/* ---- polarity ---- */

CHECK(polarity_swapped)
{
    for (int i = 0; i < f->van->n_items; i++) {
        if (!f->is_swapped[i]) continue;
        finding *n = raise_finding(f, f->van->items[i].where);
        add_item(f, n, i);
        for (int w = 0; w < f->van->n_wires; w++)
            if (f->van->terminals[f->van->wires[w].from].item == i || f->van->terminals[f->van->wires[w].to].item == i)
                add_wire(f, n, w);
        SAYS(f, n, "%s has its feed on the negative terminal and its return on the positive one.", item_words(f, i));
        MEND(f, n, "Swap the two wires at %s.", f->van->items[i].id);
        offer_swap(f, n, i);
    }
}

CHECK(size_chosen)
{
    for (int w = 0; w < f->van->n_wires; w++) {
        const wire_study *ws = &f->study->wires[w];
        if (!ws->is_size_chosen || ws->size.series == SIZE_UNSET) continue;
        finding *n = raise_finding(f, f->van->wires[w].where);
        add_wire(f, n, w);
        SAYS(f, n, "%s was left to choose: %s, %s.", f->van->wires[w].label, size_words(ws->size), ws->why_size);
        MEND(f, n, "Write `size: %s` once it is bought.", conductor_size_text(ws->size));
        mend_size(f, offer(f, n, "write that %s is %s", f->van->wires[w].label, conductor_size_text(ws->size)), w,
                  ws->size);
    }
}
