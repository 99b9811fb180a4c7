/* Words for a network without an operating point, in the builder's terms. See operating.h. */
#include "base/print.h"
#include "circuit/operating.h"
#include "circuit/topology.h"
#include <math.h>
#include <string.h>

/* "wire P7", "the fuse main-fuse", "bank". */
static const char *name_of(const network *net, int k, arena *a)
{
    const net_element *e = &net->elements[k];
    if (e->wire >= 0) return arena_printf(a, "wire %s", net->van->wires[e->wire].label);
    if (e->item >= 0) return net->van->items[e->item].name;
    return "the wiring";
}

static const char *explain_beyond(const network *net, const operating_point *op, arena *a)
{
    if (op->culprit_element < 0) return "the loads ask for more than the wiring can carry";
    char share[number_room], volts[number_room];
    sink s = sink_in(a);
    sink_printf(&s,
                "%s asks for more than its wiring can carry: at %s %% of what is asked its voltage has sunk to %s V "
                "and goes no lower",
                name_of(net, op->culprit_element, a), number_short(100 * op->load_step, 3, share),
                number_short(op->culprit_V, 3, volts));
    if (op->bottleneck_wire >= 0)
        sink_printf(&s, "; of its wires %s loses most", net->van->wires[op->bottleneck_wire].label);
    return sink_text(&s);
}

/* Names of a loop without resistance, each once, in the order of the loop. */
static const char *explain_contradiction(const network *net, const operating_point *op, arena *a)
{
    if (op->culprit_element < 0) return "sources or shorts contradict each other";
    topology *t = topology_create(a, net);
    unsigned char *is_closed = ARENA_ARRAY(a, unsigned char, (size_t)net->n_elements + 1);
    memset(is_closed, 1, (size_t)net->n_elements);
    int *loop = ARENA_ARRAY(a, int, (size_t)net->n_elements + 1);
    int n = topology_loop(t, is_closed, op->culprit_element, loop), n_named = 0, n_sources = 0;
    const char **named = ARENA_ARRAY(a, const char *, (size_t)n + 1);
    for (int i = 0; i < n; i++) {
        const char *name = name_of(net, loop[i], a);
        bool is_new = true;
        for (int j = 0; j < n_named; j++) is_new = is_new && strcmp(named[j], name) != 0;
        if (is_new) named[n_named++] = name;
        n_sources += net->elements[loop[i]].type == ELEMENT_EMF;
    }
    sink s = sink_in(a);
    for (int j = 0; j < n_named; j++) sink_printf(&s, "%s%s", j == 0 ? "" : j + 1 < n_named ? ", " : " and ", named[j]);
    if (n_sources > 0)
        sink_add(&s, " form a loop without resistance that holds a source: nothing limits its current; give the source "
                     "its inner resistance, or take the short out");
    else
        sink_add(
            &s,
            " form a loop without resistance: how it shares its current can't be known; give one of them a resistance");
    return sink_text(&s);
}

static const char *explain_chatter(const network *net, const operating_point *op, arena *a)
{
    const char *name = op->culprit_element >= 0 ? name_of(net, op->culprit_element, a) : "a relay or a load";
    bool is_coil = op->culprit_element >= 0 && net->elements[op->culprit_element].type == ELEMENT_COIL;
    return is_coil ? arena_printf(a,
                                  "%s switches itself on and off without end: what it switches takes away, or gives "
                                  "back, the voltage at its coil",
                                  name)
                   : arena_printf(a,
                                  "%s stops for want of voltage, and starts again as soon as it has stopped, without "
                                  "end: its wiring or its source is too weak",
                                  name);
}

const char *op_explain(const network *net, const operating_point *op, arena *a)
{
    switch (op->outcome) {
    case OUTCOME_BEYOND:
        return explain_beyond(net, op, a);
    case OUTCOME_CONTRADICTION:
        return explain_contradiction(net, op, a);
    case OUTCOME_CHATTERS:
        return explain_chatter(net, op, a);
    case OUTCOME_STALLED:
        return "no operating point was found: nothing is proven for these positions";
    default:
        return "";
    }
}
