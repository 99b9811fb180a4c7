/* What the batteries lose while everything stands in its rest position, and how long they bear it. */
#include "study/parts.h"

#include <math.h>
#include <string.h>

static double usable_C(const study *s, const net_element *battery)
{
    const setting *chemistry = item_setting(s->van, battery->item, "chemistry");
    const bool is_lfp = chemistry && chemistry->word && !strcmp(chemistry->word, "lfp");
    const char *name = is_lfp ? "usable-charge-lfp" : "usable-charge-lead-acid";
    return battery->capacity_C * limit_of(s->van->practice, name)->value;
}

/* What a battery gives runs from b to a. A tap takes from some of a string only, so the hardest pressed counts. */
static double string_gives_A(const study *s, int top)
{
    double most_A = 0;
    for (int e = top; e >= 0; e = s->rest_net->below[e]) most_A = fmax(most_A, -s->rest->current_A[e]);
    return most_A;
}

/* Batteries in series give no more than the least of them. */
static double usable_of_string_C(const study *s, int top)
{
    const network *net = s->rest_net;
    double least_C = INFINITY;
    for (int e = top; e >= 0; e = net->below[e]) least_C = fmin(least_C, usable_C(s, &net->elements[e]));
    return least_C;
}

void rest_measure(study *s)
{
    conditions c = conditions_meter();
    conductor_size *sizes = ARENA_ARRAY(s->arena, conductor_size, s->van->n_wires + 1);
    for (int w = 0; w < s->van->n_wires; w++) sizes[w] = s->wires[w].size;
    c.sizes = sizes;
    s->rest_net = network_build(s->arena, s->van, &c);
    s->rest = op_solve(op_plan_create(s->arena, s->rest_net), positions_rest(s->van, s->arena), false);
    s->days_to_empty = INFINITY;
    for (int e = 0; e < s->rest_net->n_elements; e++) {
        const net_element *el = &s->rest_net->elements[e];
        if (el->type != ELEMENT_EMF || !(el->capacity_C > 0)) continue;
        const double gives_A = -s->rest->current_A[e];
        if (gives_A > 1e-6) s->days_to_empty = fmin(s->days_to_empty, usable_C(s, el) / gives_A / 86400);
        if (s->rest_net->above[e] >= 0) continue; /* counted with the top of its string */
        s->usable_C += usable_of_string_C(s, e);
        const double string_A = string_gives_A(s, e);
        if (string_A > 1e-6) s->standby_A += string_A;
    }
    for (int i = 0; i < s->van->n_items; i++) s->items[i].rest_W = s->rest->items[i].watts;
}
