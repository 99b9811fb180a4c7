/* Batteries and chargers: what is joined to what, what passes the monitor, and what is lost at rest. */
#include "judge/offer.h"

#include <stdlib.h>
#include <string.h>

static bool is_role(const finder *f, int i, role r) { return item_kind(f->van, i)->role == r; }

/* ---- batteries ---- */

static bool is_same_battery(const finder *f, int i, int j)
{
    const setting *x = item_setting(f->van, i, "chemistry"), *y = item_setting(f->van, j, "chemistry");
    return item_number(f->van, i, "voltage", 0) == item_number(f->van, j, "voltage", 0) &&
           item_number(f->van, i, "capacity", 0) == item_number(f->van, j, "capacity", 0) &&
           (x && y && x->word && y->word && !strcmp(x->word, y->word));
}

/* Two of a kind side by side are one bank; that is how banks are built. */
static bool are_tied(const finder *f, int i, int j)
{
    if (!is_role(f, i, ROLE_BATTERY) || !is_role(f, j, ROLE_BATTERY) || is_same_battery(f, i, j)) return false;
    const int *solid = f->study->solid;
    const int p = item_terminal(f->van, i, "pos"), q = item_terminal(f->van, j, "pos");
    const int m = item_terminal(f->van, i, "neg"), o = item_terminal(f->van, j, "neg");
    return p >= 0 && q >= 0 && m >= 0 && o >= 0 && solid[p] == solid[q] && solid[m] == solid[o];
}

bool find_tied(const finder *f)
{
    for (int i = 0; i < f->van->n_items; i++)
        for (int j = i + 1; j < f->van->n_items; j++)
            if (are_tied(f, i, j)) return true;
    return false;
}

CHECK(sources_tied)
{
    for (int i = 0; i < f->van->n_items; i++)
        for (int j = i + 1; j < f->van->n_items; j++) {
            if (!are_tied(f, i, j)) continue;
            finding *n = raise_finding(f, f->van->items[j].where);
            add_item(f, n, i);
            add_item(f, n, j);
            SAYS(f, n, "%s and %s are joined at both posts, and they differ in chemistry, voltage or capacity.",
                 item_words(f, i), item_words(f, j));
            MEND(f, n, "Put a charger or a relay between them.");
        }
}

/* ---- shorts ---- */

/* The contact that, closed, joins the two components; -1: they are one already; -2: none does. */
static int shorting_contact(const finder *f, int x, int y)
{
    if (f->study->solid[x] == f->study->solid[y]) return -1;
    const int a = f->study->solid[x], b = f->study->solid[y];
    for (int e = 0; e < f->study->nets[SEASON_HARD]->n_elements; e++) {
        const net_element *el = element_of(f, e);
        if (el->type != ELEMENT_CONTACT) continue;
        const int c = f->study->solid[el->a], d = f->study->solid[el->b];
        if ((c == a && d == b) || (c == b && d == a)) return e;
    }
    return -2;
}

bool find_short(const finder *f, int *battery, int *contact)
{
    const network *net = f->study->nets[SEASON_HARD];
    for (int e = 0; e < net->n_elements; e++) {
        if (net->elements[e].type != ELEMENT_EMF || !(net->elements[e].capacity_C > 0)) continue;
        *contact = shorting_contact(f, net->elements[e].a, net->elements[e].b);
        *battery = net->elements[e].item;
        if (*contact > -2) return true;
    }
    return false;
}

CHECK(short_circuit)
{
    int battery, contact;
    if (!find_short(f, &battery, &contact)) return;
    double most_A = 0;
    int worst = -1;
    for (int w = 0; w < f->van->n_wires; w++) {
        if (f->study->wires[w].worst_A <= most_A) continue;
        most_A = f->study->wires[w].worst_A;
        worst = w;
    }
    finding *n = raise_finding(f, f->van->items[contact >= 0 ? element_of(f, contact)->item : battery].where);
    if (contact >= 0) add_item(f, n, element_of(f, contact)->item);
    add_item(f, n, battery);
    for (int w = 0; w < f->van->n_wires; w++)
        if (f->study->wires[w].worst_A > 0.5 * most_A) add_wire(f, n, w);
    set_value(n, most_A, NAN, "A");
    if (worst >= 0) set_positions(f, n, f->study->wires[worst].worst_at);
    SAYS(f, n, "The two posts of %s are joined %s: up to %s A flow. No other current is judged until that is mended.",
         item_words(f, battery),
         contact >= 0 ? arena_printf(f->arena, "as soon as %s is on", item_words(f, element_of(f, contact)->item))
                      : "by conductors alone",
         num(f, most_A));
    MEND(f, n, "Take away the wire that joins feed and return, or put it on the terminal that was meant.");
}

/* ---- the monitor ---- */

/* From a battery's negative post, through wires and what merely joins them, never through the shunt. */
static bool is_joined_inside(const finder *f, int t, int other)
{
    const int x = f->van->terminals[t].item, y = f->van->terminals[other].item;
    return (x == y && is_role(f, x, ROLE_SPREADER)) || (is_role(f, x, ROLE_CHASSIS) && is_role(f, y, ROLE_CHASSIS));
}

static void reach(const finder *f, int start, bool *is_reached)
{
    const van *v = f->van;
    int *queue = ARENA_ARRAY(f->arena, int, v->n_terminals + 1);
    int n = 0;
    queue[n++] = start;
    is_reached[start] = true;
    for (int at = 0; at < n; at++) {
        const int t = queue[at];
        for (int w = 0; w < v->n_wires; w++) {
            const int other = v->wires[w].from == t ? v->wires[w].to : v->wires[w].to == t ? v->wires[w].from : -1;
            if (other < 0 || is_reached[other]) continue;
            is_reached[other] = true;
            queue[n++] = other;
        }
        for (int other = 0; other < v->n_terminals; other++) {
            if (is_reached[other] || !is_joined_inside(f, t, other)) continue;
            is_reached[other] = true;
            queue[n++] = other;
        }
    }
}

/* Batteries that the shunt watches are those whose return reaches its battery side. */
static void check_shunt(finder *f, int shunt, int battery)
{
    const van *v = f->van;
    const int neg = item_terminal(v, battery, "neg"), in = item_terminal(v, shunt, "battery");
    const int out = item_terminal(v, shunt, "load");
    if (neg < 0 || in < 0 || out < 0) return;
    bool *is_reached = ARENA_ARRAY(f->arena, bool, v->n_terminals + 1);
    reach(f, neg, is_reached);
    if (!is_reached[in]) return;
    int *bypassing = ARENA_ARRAY(f->arena, int, v->n_wires + 1);
    int n_bypassing = 0;
    for (int w = 0; w < v->n_wires; w++) {
        if (!is_reached[v->wires[w].from]) continue;
        const int ends[2] = {v->wires[w].from, v->wires[w].to};
        bool is_consumer = false, is_near = false;
        for (int k = 0; k < 2; k++) {
            const int at = v->terminals[ends[k]].item;
            const bool is_supply = is_role(f, at, ROLE_BATTERY) || (at == shunt && ends[k] != out);
            is_near = is_near || is_supply;
            is_consumer =
                is_consumer || (!is_supply && !is_role(f, at, ROLE_SPREADER) && !is_role(f, at, ROLE_CHASSIS));
        }
        /* Where the load side is reached too, a second path runs past the shunt: name the wires at the battery's own
         * side that lead away from it. */
        const bool leads_away =
            is_reached[out] && is_near &&
            !((ends[0] == in || ends[1] == in) && (is_role(f, v->terminals[ends[0]].item, ROLE_BATTERY) ||
                                                   is_role(f, v->terminals[ends[1]].item, ROLE_BATTERY))) &&
            !(is_role(f, v->terminals[ends[0]].item, ROLE_BATTERY) &&
              is_role(f, v->terminals[ends[1]].item, ROLE_BATTERY));
        if (is_reached[out] ? leads_away : is_consumer) bypassing[n_bypassing++] = w;
    }
    if (!n_bypassing) return;
    finding *n = raise_finding(f, v->wires[bypassing[0]].where);
    const char **labels = ARENA_ARRAY(f->arena, const char *, n_bypassing + 1);
    for (int i = 0; i < n_bypassing; i++) {
        add_wire(f, n, bypassing[i]);
        labels[i] = v->wires[bypassing[i]].label;
    }
    add_item(f, n, shunt);
    SAYS(f, n, "%s %s to the battery's side of %s: what returns there is not counted.",
         list_words(f, labels, n_bypassing), n_bypassing > 1 ? "go" : "goes", item_words(f, shunt));
    MEND(f, n, "Put %s on the load side of %s.", list_words(f, labels, n_bypassing), v->items[shunt].id);
    offer_load_side(f, n, shunt, bypassing, n_bypassing, is_reached);
}

CHECK(return_bypasses_shunt)
{
    for (int s = 0; s < f->van->n_items; s++)
        for (int b = 0; b < f->van->n_items; b++)
            if (is_role(f, s, ROLE_SHUNT) && is_role(f, b, ROLE_BATTERY)) check_shunt(f, s, b);
}

/* ---- at rest ---- */

typedef struct drain {
    int item;
    double watts;
} drain;

static int by_watts(const void *x, const void *y)
{
    const drain *a = x, *b = y;
    if (a->watts != b->watts) return a->watts > b->watts ? -1 : 1;
    return a->item - b->item;
}

static const char *duration(finder *f, double days)
{
    if (days >= 2) return arena_printf(f->arena, "%s days", num(f, days));
    return arena_printf(f->arena, "%s hours", num(f, days * 24));
}

CHECK(standby_drain)
{
    const study *s = f->study;
    if (!(s->standby_A > 1e-3) || f->is_shorted) return;
    drain *drains = ARENA_ARRAY(f->arena, drain, f->van->n_items + 1);
    int n_drains = 0;
    for (int i = 0; i < f->van->n_items; i++)
        if (s->items[i].rest_W > 0.01) drains[n_drains++] = (drain){i, s->items[i].rest_W};
    qsort(drains, (size_t)n_drains, sizeof *drains, by_watts);
    const limit *least = limit_for(f, "standby-days");
    finding *n = raise_finding(f, n_drains ? f->van->items[drains[0].item].where : (place){0});
    if (s->days_to_empty * 86400 < least->value) n->grade = GRADE_MIND;
    const char **words = ARENA_ARRAY(f->arena, const char *, n_drains + 1);
    for (int i = 0; i < n_drains; i++) {
        add_item(f, n, drains[i].item);
        words[i] = arena_printf(f->arena, "%s %s W", f->van->items[drains[i].item].id, num(f, drains[i].watts));
    }
    set_value(n, s->days_to_empty, least->value / 86400, "d");
    set_source(f, n, &least->from);
    SAYS(f, n, "With everything at rest the battery gives %s A%s%s, and lasts %s.", num(f, s->standby_A),
         n_drains ? ": " : "", list_words(f, words, n_drains), duration(f, s->days_to_empty));
    MEND(f, n,
         n->grade == GRADE_MIND ? "Put what draws behind a main switch, or decide that it is meant."
                                : "Nothing needs mending if that is meant.");
}
