/* Networks written by hand: see hand.h. */
#include "hand.h"

#include <stdlib.h>

hand *hand_create(void)
{
    arena *a = arena_create();
    if (a == NULL) abort();
    hand *h = ARENA_NEW(a, hand);
    h->arena = a;
    h->kind.dial = h->kind.row = -1;
    return h;
}

void hand_destroy(hand *h) { arena_destroy(h->arena); }

int hand_nodes(hand *h, int n)
{
    h->net.n_nodes += n;
    return h->net.n_nodes - n;
}

int hand_item(hand *h, const char *name, int n_positions)
{
    item *it = ARRAY_ADD(h->arena, &h->items);
    it->id = it->name = name;
    it->n_positions = n_positions;
    it->positions = ARENA_ARRAY(h->arena, position, (size_t)n_positions + 1);
    for (int i = 0; i < n_positions; i++) it->positions[i] = (position){i, i};
    return (int)h->items.n - 1;
}

int hand_part(hand *h, int item_index, net_element e)
{
    e.item = item_index;
    e.wire = e.kind_element = -1;
    if (e.type != ELEMENT_TRANSFER) e.to_a = e.to_b = -1;
    *ARRAY_ADD(h->arena, &h->parts) = e;
    return (int)h->parts.n - 1;
}

int hand_wire(hand *h, const char *label, int a, int b, double ohm)
{
    wire *w = ARRAY_ADD(h->arena, &h->wires);
    w->label = label;
    w->from = a;
    w->to = b;
    int part = hand_resistor(h, a, b, ohm);
    h->parts.at[part].wire = (int)h->wires.n - 1;
    return part;
}

int hand_resistor(hand *h, int a, int b, double ohm)
{
    return hand_part(h, -1, (net_element){.type = ELEMENT_CONDUCTOR, .a = a, .b = b, .resistance_ohm = ohm});
}

int hand_source(hand *h, int positive, int negative, double volts, double ohm)
{
    return hand_part(
        h, -1,
        (net_element){.type = ELEMENT_EMF, .a = positive, .b = negative, .voltage_V = volts, .resistance_ohm = ohm});
}

int hand_power(hand *h, int item_index, int a, int b, double watts)
{
    return hand_part(h, item_index, (net_element){.type = ELEMENT_LOAD, .a = a, .b = b, .power_W = watts});
}

int hand_current(hand *h, int item_index, int a, int b, double amperes)
{
    return hand_part(h, item_index, (net_element){.type = ELEMENT_LOAD, .a = a, .b = b, .current_A = amperes});
}

int hand_contact(hand *h, int item_index, int a, int b, uint32_t closed_in, double ohm)
{
    return hand_part(
        h, item_index,
        (net_element){.type = ELEMENT_CONTACT, .a = a, .b = b, .closed_in = closed_in, .resistance_ohm = ohm});
}

int hand_diode(hand *h, int a, int b, double drop_V, double ohm)
{
    return hand_part(h, -1,
                     (net_element){.type = ELEMENT_DIODE, .a = a, .b = b, .drop_V = drop_V, .resistance_ohm = ohm});
}

int hand_chopper(hand *h, int a, int b, double duty, double ohm)
{
    return hand_part(h, -1,
                     (net_element){.type = ELEMENT_CHOPPER, .a = a, .b = b, .duty = duty, .resistance_ohm = ohm});
}

int hand_transfer(hand *h, int item_index, int a, int b, int to_a, int to_b, double volts, double efficiency,
                  double standby_W, double limit_W)
{
    return hand_part(h, item_index,
                     (net_element){.type = ELEMENT_TRANSFER,
                                   .a = a,
                                   .b = b,
                                   .to_a = to_a,
                                   .to_b = to_b,
                                   .voltage_V = volts,
                                   .efficiency = efficiency,
                                   .standby_W = standby_W,
                                   .limit_W = limit_W});
}

/* Wires come first, then items in their order, then what belongs to no item. */
static int rank_of(const net_element *e, int n_items) { return e->wire >= 0 ? -1 : e->item >= 0 ? e->item : n_items; }

const network *hand_finish(hand *h)
{
    int n_items = (int)h->items.n, n = 0;
    h->van = (van){.file = "",
                   .name = "by hand",
                   .kinds = &h->kind,
                   .n_kinds = 1,
                   .items = h->items.at,
                   .n_items = n_items,
                   .wires = h->wires.at,
                   .n_wires = (int)h->wires.n,
                   .arena = h->arena};
    h->net.van = &h->van;
    h->net.arena = h->arena;
    h->net.elements = ARENA_ARRAY(h->arena, net_element, h->parts.n + 1);
    h->net.first_element = ARENA_ARRAY(h->arena, int, h->items.n + 2);
    h->index = ARENA_ARRAY(h->arena, int, h->parts.n + 1);
    for (int rank = -1; rank <= n_items; rank++) {
        if (rank >= 0) h->net.first_element[rank] = n;
        for (size_t k = 0; k < h->parts.n; k++) {
            if (rank_of(&h->parts.at[k], n_items) != rank) continue;
            h->index[k] = n;
            h->net.elements[n++] = h->parts.at[k];
        }
    }
    h->net.n_elements = n;
    return &h->net;
}

const operating_point *hand_solve(hand *h, const position *positions)
{
    if (h->net.elements == NULL) hand_finish(h);
    op_plan *plan = op_plan_create(h->arena, &h->net);
    op_solve(plan, positions ? positions : positions_rest(&h->van, h->arena), false);
    return op_check(plan);
}
