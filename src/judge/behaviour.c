/* Does each circuit do what its builder thinks: off when off, lit when on, dimmed where dimmed. */
#include "judge/offer.h"

/* ---- off ---- */

static double off_limit_V(const finder *f, const load_study *l)
{
    return limit_for(f, "off-voltage")->value * l->nominal_V;
}

static void raise_off(finder *f, const load_study *l, const char *what)
{
    finding *n = raise_finding(f, f->van->items[l->feed->item].where);
    add_item(f, n, l->feed->item);
    for (int i = 0; i < l->feed->n_own; i++) add_item(f, n, element_of(f, l->feed->own[i])->item);
    set_value(n, l->off_V, off_limit_V(f, l), "V");
    set_positions(f, n, l->off_at);
    set_source(f, n, &limit_for(f, "off-voltage")->from);
    SAYS(f, n, "%s %s while %s is off: it has %s V.", item_words(f, l->feed->item), what,
         item_words(f, element_of(f, l->feed->own[0])->item), num(f, l->off_V));
    MEND(f, n, "Find the second path by which it is fed, and take that wire away.");
}

/* The one wire past a contact or a chopper, none of its own, without which its two sides are apart. */
static void offer_apart(finder *f, finding *n, int e)
{
    const net_element *el = element_of(f, e);
    int found = -1;
    for (int w = 0; w < f->van->n_wires; w++) {
        const int from = f->van->wires[w].from, to = f->van->wires[w].to;
        if (from == el->a || to == el->a || from == el->b || to == el->b) continue;
        if (f->study->solid[from] != f->study->solid[el->a] || study_is_joined_without(f->study, el->a, el->b, w))
            continue;
        if (found >= 0) return;
        found = w;
    }
    if (found >= 0) offer_without(f, n, found);
}

/* A contact whose two sides are joined past it switches nothing. */
static void raise_bypassed_contact(finder *f, int e)
{
    const net_element *el = element_of(f, e);
    finding *n = raise_finding(f, f->van->items[el->item].where);
    add_item(f, n, el->item);
    const char **words = ARENA_ARRAY(f->arena, const char *, f->study->n_loads + 1);
    int n_words = 0;
    for (int i = 0; i < f->study->n_loads; i++) {
        const load_study *l = &f->study->loads[i];
        const net_element *load = element_of(f, l->feed->element);
        const int *joined = f->study->joined;
        if (!l->is_main || (joined[load->a] != joined[el->b] && joined[load->a] != joined[el->a])) continue;
        add_item(f, n, l->feed->item);
        words[n_words++] = item_words(f, l->feed->item);
    }
    for (int w = 0; w < f->van->n_wires; w++) {
        const int from = f->van->wires[w].from, to = f->van->wires[w].to;
        if (from == el->a || to == el->a || from == el->b || to == el->b) add_wire(f, n, w);
    }
    SAYS(f, n, "The two sides of %s are joined past it: %s live whatever it says.", item_words(f, el->item),
         n_words ? arena_printf(f->arena, "%s %s", list_words(f, words, n_words), n_words > 1 ? "are" : "is")
                 : "what it should switch is");
    MEND(f, n, "Find the second feed behind the switch, and take that wire away.");
    offer_apart(f, n, e);
}

CHECK(fed_twice)
{
    for (size_t i = 0; i < f->study->ties.n; i++) {
        const tie *t = &f->study->ties.at[i];
        const net_element *one = element_of(f, t->devices[0]), *two = element_of(f, t->devices[1]);
        const char **labels = ARENA_ARRAY(f->arena, const char *, t->n_wires + 1);
        finding *n = raise_finding(f, t->n_wires ? f->van->wires[t->wires[0]].where : f->van->items[one->item].where);
        for (int w = 0; w < t->n_wires; w++) {
            add_wire(f, n, t->wires[w]);
            labels[w] = f->van->wires[t->wires[w]].label;
        }
        add_item(f, n, one->item);
        add_item(f, n, two->item);
        set_value(n, one->rating_A + two->rating_A, NAN, "A");
        set_positions(f, n, t->positions);
        SAYS(f, n,
             "%s and %s can feed the same place at once%s%s: both drive a short there, up to %s A together, and "
             "opening one of them leaves it live.",
             device_words(f, t->devices[0]), device_words(f, t->devices[1]), t->n_wires ? ", joined by " : "",
             list_words(f, labels, t->n_wires), num(f, one->rating_A + two->rating_A));
        if (t->n_wires == 1) offer_without(f, n, t->wires[0]);
        MEND(f, n, "Keep the two circuits apart behind their devices, or select between them with a changeover.");
    }
}

CHECK(runs_while_off)
{
    for (int e = 0; e < f->study->nets[SEASON_HARD]->n_elements; e++)
        if (element_of(f, e)->type == ELEMENT_CONTACT && is_bypassed(f, e) && !f->is_shorted)
            raise_bypassed_contact(f, e);
    for (int i = 0; i < f->study->n_loads; i++) {
        const load_study *l = &f->study->loads[i];
        if (l->is_main && l->feed->n_own && l->off_V > off_limit_V(f, l) && l->off_runs && !is_explained(f, l))
            raise_off(f, l, "runs");
    }
}

CHECK(live_while_off)
{
    for (int i = 0; i < f->study->n_loads; i++) {
        const load_study *l = &f->study->loads[i];
        if (l->is_main && l->feed->n_own && l->off_V > off_limit_V(f, l) && !l->off_runs && !is_explained(f, l))
            raise_off(f, l, "is live");
    }
}

/* ---- lamps ---- */

CHECK(glows_while_off)
{
    for (int i = 0; i < f->van->n_items; i++) {
        const item_study *is = &f->study->items[i];
        if (is->lamp < 0 || !is->lamp_lit_when_open) continue;
        finding *n = raise_finding(f, f->van->items[i].where);
        add_item(f, n, i);
        set_positions(f, n, is->lamp_open_at);
        SAYS(f, n, "The lamp of %s is lit while it is off.", item_words(f, i));
        MEND(f, n, "Put its return on the common return, and see what feeds its other side.");
        offer_lamp_return(f, n, i);
    }
}

/* A switch whose contacts carry nothing in any position is dark for another reason. */
CHECK(lamp_dark_by_mistake)
{
    for (int i = 0; i < f->van->n_items; i++) {
        const item_study *is = &f->study->items[i];
        if (!has_dark_lamp(f, i)) continue;
        finding *n = raise_finding(f, f->van->items[i].where);
        add_item(f, n, i);
        const net_element *lamp = element_of(f, is->lamp);
        for (int w = 0; w < f->van->n_wires; w++) {
            const int from = f->van->wires[w].from, to = f->van->wires[w].to;
            if (from == lamp->b || to == lamp->b) add_wire(f, n, w);
        }
        SAYS(f, n, "The lamp of %s is wired and stays dark although its circuit is live.", item_words(f, i));
        MEND(f, n, "Put its return on the common return; or leave it off, if it is to stay dark.");
        offer_lamp_return(f, n, i);
    }
}

CHECK(lamp_lit_at_rest)
{
    const char **names = ARENA_ARRAY(f->arena, const char *, f->van->n_items + 1);
    int *items = ARENA_ARRAY(f->arena, int, f->van->n_items + 1);
    int n_lit = 0;
    for (int i = 0; i < f->van->n_items; i++) {
        if (!f->study->rest->items[i].lamp_lit) continue;
        names[n_lit] = item_words(f, i);
        items[n_lit++] = i;
    }
    if (!n_lit) return;
    finding *n = raise_finding(f, f->van->items[items[0]].where);
    for (int i = 0; i < n_lit; i++) add_item(f, n, items[i]);
    SAYS(f, n, "With everything at rest %s lit: %s.", n_lit > 1 ? "these stay" : "this stays",
         list_words(f, names, n_lit));
    MEND(f, n, "Nothing needs mending if that is meant.");
}

/* ---- dimmers ---- */

CHECK(dimmer_bypassed)
{
    for (int e = 0; e < f->study->nets[SEASON_HARD]->n_elements; e++) {
        const net_element *el = element_of(f, e);
        if (el->type != ELEMENT_CHOPPER || !is_bypassed(f, e)) continue;
        finding *n = raise_finding(f, f->van->items[el->item].where);
        add_item(f, n, el->item);
        for (int w = 0; w < f->van->n_wires; w++) {
            const wire *file = &f->van->wires[w];
            const bool is_at = file->from == el->a || file->to == el->a || file->from == el->b || file->to == el->b;
            if (is_at) add_wire(f, n, w);
        }
        for (int i = 0; i < f->study->n_loads; i++) {
            const net_element *load = element_of(f, f->study->loads[i].feed->element);
            for (int w = 0; w < f->van->n_wires; w++) {
                const wire *file = &f->van->wires[w];
                const bool joins =
                    (file->from == load->b && file->to == el->a) || (file->to == load->b && file->from == el->a);
                if (joins) add_item(f, n, load->item);
            }
        }
        SAYS(f, n,
             "The load side of %s is also joined to the common return past it: the light is fully on whatever "
             "the dimmer says.",
             item_words(f, el->item));
        MEND(f, n, "Take away the wire between the light's return and the common return; leave the one to the dimmer.");
        offer_apart(f, n, e);
    }
}

/* A load fed from the same point as the dimmer, whose return goes past it. */
static int load_beside(const finder *f, int dimmer)
{
    const int pos = item_terminal(f->van, dimmer, "pos");
    for (int i = 0; i < f->study->n_loads; i++) {
        const load_study *l = &f->study->loads[i];
        const net_element *el = element_of(f, l->feed->element);
        if (l->feed->item == dimmer || !l->is_main || !l->is_fed || l->feed->chopper >= 0) continue;
        if (item_kind(f->van, l->feed->item)->role != ROLE_LOAD) continue;
        if (pos >= 0 && (f->study->joined[el->a] == f->study->joined[pos])) return l->feed->item;
    }
    return -1;
}

CHECK(load_on_wrong_side_of_dimmer)
{
    for (int e = 0; e < f->study->nets[SEASON_HARD]->n_elements; e++) {
        const net_element *el = element_of(f, e);
        if (el->type != ELEMENT_CHOPPER || is_bypassed(f, e)) continue;
        bool has_load = false;
        for (int i = 0; i < f->study->n_loads; i++) has_load = has_load || f->study->loads[i].feed->chopper == e;
        const int beside = has_load ? -1 : load_beside(f, el->item);
        if (beside < 0) continue;
        finding *n = raise_finding(f, f->van->items[el->item].where);
        add_item(f, n, beside);
        add_item(f, n, el->item);
        SAYS(f, n, "%s dims nothing; %s is fed beside it and its return does not pass it.", item_words(f, el->item),
             item_words(f, beside));
        MEND(f, n, "Put the return of %s on the load terminal of %s.", f->van->items[beside].id,
             f->van->items[el->item].id);
    }
}

static bool has_diode(const finder *f, int i)
{
    const setting *diode = item_setting(f->van, i, "diode");
    return diode ? diode->number != 0 : item_kind(f->van, i)->has_freewheel_diode;
}

CHECK(motor_on_chopper_without_diode)
{
    for (int i = 0; i < f->study->n_loads; i++) {
        const load_study *l = &f->study->loads[i];
        const int item = l->feed->item;
        if (!l->is_main || l->feed->chopper < 0 || !item_kind(f->van, item)->is_motor || has_diode(f, item)) continue;
        const int dimmer = element_of(f, l->feed->chopper)->item;
        finding *n = raise_finding(f, f->van->items[item].where);
        add_item(f, n, item);
        add_item(f, n, dimmer);
        SAYS(f, n, "%s is a motor that %s chops, and has no diode across it.", item_words(f, item),
             item_words(f, dimmer));
        MEND(f, n, "Put a diode across it and say so with `diode: true`, or don't dim it.");
    }
}
