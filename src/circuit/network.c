/* Items and wires as nodes and primitive elements with numbers in them: see network.h. */
#include "circuit/network.h"

#include "circuit/graph.h"
#include "ref/battery.h"
#include "ref/device.h"
#include <assert.h>
#include <math.h>

/* What stands in for a value that the file leaves to the program. All three are common practice. */
static const double fuse_drop_V = 0.1;          /* a fuse or breaker loses about this at its rated current */
static const double charging_share = 14.4 / 12; /* a charger holds this share of the nominal voltage */
static const double lit_share = 0.5;            /* a lamp is taken as lit from this share of its voltage */

typedef struct builder {
    const van *van;
    network *net;
    ARRAY(net_element) elements;
    int next_inner;   /* node */
    int body;         /* node of the first stud on the metal body, -1 before there is one */
    double nominal_V; /* of the string of the first battery, 12 V when there is none */
} builder;

/* One element of one item, repeated for `number` of its row. */
typedef struct source_element {
    const builder *b;
    const kind *kind;
    const element *element;
    int item, number, first_inner;
} source_element;

conditions conditions_meter(void) { return (conditions){.conductor_K = 293.15, .charge = 0.8}; }

/* ------------------------------------------------------------------ values */

typedef struct amount {
    bool is_given;
    double number;
    dimension dimension;
    const char *word;
} amount;

static amount amount_of(const source_element *s, element_key key)
{
    const value *v = &s->element->keys[key];
    if (v->form == VALUE_NONE) return (amount){0};
    if (v->form != VALUE_PARAMETER) return (amount){true, v->number, v->dimension, v->word};
    const setting *set = &s->b->van->items[s->item].settings[v->parameter];
    if (set->is_auto) return (amount){0};
    bool is_listed = s->kind->parameters[v->parameter].is_list && s->number > 0 && s->number <= set->n_list;
    return (amount){true, is_listed ? set->list[s->number - 1] : set->number, set->dimension, set->word};
}

static double number_of(const source_element *s, element_key key, double otherwise)
{
    amount a = amount_of(s, key);
    return a.is_given ? a.number : otherwise;
}

/* ------------------------------------------------------------------ nodes */

static int terminal_node(const source_element *s, int template_index, int number)
{
    const item *it = &s->b->van->items[s->item];
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        if (s->b->van->terminals[t].template_index == template_index && s->b->van->terminals[t].number == number)
            return t;
    return it->first_terminal;
}

static int node_of(const source_element *s, element_end end)
{
    if (end.form == END_INNER) return s->first_inner + end.index;
    return terminal_node(s, end.index, end.form == END_ROW ? s->number : 0);
}

/* ------------------------------------------------------------------ elements */

static void fill_emf(const source_element *s, net_element *e)
{
    amount word = amount_of(s, KEY_CHEMISTRY);
    chemistry c;
    e->voltage_V = e->nominal_V = number_of(s, KEY_VOLTAGE, s->b->nominal_V);
    if (!word.is_given || word.word == NULL || !chemistry_of(word.word, &c)) return;
    double nominal_V = e->voltage_V;
    amount resistance = amount_of(s, KEY_RESISTANCE);
    e->capacity_C = number_of(s, KEY_CAPACITY, 0);
    e->voltage_V = battery_rest_V(c, nominal_V, s->b->net->conditions.charge, NULL, NULL);
    if (!resistance.is_given && e->capacity_C > 0)
        e->resistance_ohm = battery_resistance_ohm(c, nominal_V, e->capacity_C, NULL);
}

static void fill_fusible(const source_element *s, net_element *e)
{
    const amount curve = amount_of(s, KEY_CURVE);
    device_style style;
    source from;
    const bool is_known = curve.is_given && curve.word && device_style_of(curve.word, &style);
    e->interrupts_A = number_of(s, KEY_INTERRUPTS, is_known ? device_interrupts_A(style, &from) : 0);
    e->device_voltage_V = number_of(s, KEY_VOLTAGE, is_known ? device_voltage_V(style, &from) : 0);
    if (!amount_of(s, KEY_RESISTANCE).is_given && e->rating_A > 0) e->resistance_ohm = fuse_drop_V / e->rating_A;
}

/* `draws` is a power, a current or a resistance by its dimension; with `at`, what it draws makes it a resistance. */
static void fill_draws(const source_element *s, net_element *e)
{
    amount draws = amount_of(s, KEY_DRAWS);
    e->power_W = number_of(s, KEY_POWER, 0);
    e->current_A = number_of(s, KEY_CURRENT, 0);
    e->load_ohm = number_of(s, KEY_RESISTANCE, 0);
    if (draws.is_given) {
        if (draws.dimension == DIMENSION_POWER)
            e->power_W = draws.number;
        else if (draws.dimension == DIMENSION_CURRENT)
            e->current_A = draws.number;
        else
            e->load_ohm = draws.number;
    }
    double at_V = number_of(s, KEY_AT, 0);
    if (at_V <= 0) return;
    if (e->power_W > 0)
        e->load_ohm = at_V * at_V / e->power_W;
    else if (e->current_A > 0)
        e->load_ohm = at_V / e->current_A;
    if (e->load_ohm > 0) e->power_W = e->current_A = 0;
}

static void fill_load(const source_element *s, net_element *e)
{
    e->resistance_ohm = 0;
    fill_draws(s, e);
    amount peak = amount_of(s, KEY_PEAK);
    if (peak.is_given) e->peak_A = peak.dimension == DIMENSION_POWER ? peak.number / s->b->nominal_V : peak.number;
    e->stops_below_V = number_of(s, KEY_STOPS_BELOW, 0);
    e->starts_above_V = number_of(s, KEY_STARTS_ABOVE, 0);
}

static void fill_lamp(const source_element *s, net_element *e)
{
    double at_V = number_of(s, KEY_AT, s->b->nominal_V);
    e->resistance_ohm = 0;
    fill_draws(s, e);
    if (e->power_W > 0)
        e->load_ohm = at_V * at_V / e->power_W;
    else if (e->current_A > 0)
        e->load_ohm = at_V / e->current_A;
    e->power_W = e->current_A = 0;
    e->lights_above_V = number_of(s, KEY_LIGHTS_ABOVE, lit_share * at_V);
}

static void fill_transfer(const source_element *s, net_element *e)
{
    e->to_a = node_of(s, s->element->to_a);
    e->to_b = node_of(s, s->element->to_b);
    e->voltage_V = number_of(s, KEY_VOLTAGE, charging_share * s->b->nominal_V);
    e->efficiency = number_of(s, KEY_EFFICIENCY, 1);
    e->standby_W = number_of(s, KEY_STANDBY, 0);
    e->stops_below_V = number_of(s, KEY_STOPS_BELOW, 0);
    e->starts_above_V = number_of(s, KEY_STARTS_ABOVE, 0);
    amount limit = amount_of(s, KEY_LIMIT);
    if (limit.dimension == DIMENSION_CURRENT)
        e->limit_A = limit.number;
    else
        e->limit_W = limit.number;
}

static void fill_chopper(const source_element *s, net_element *e)
{
    const value *duty = &s->element->keys[KEY_DUTY];
    e->duty = fmin(1, fmax(0, number_of(s, KEY_DUTY, 0)));
    e->is_dialled = s->kind->dial >= 0 && duty->form == VALUE_PARAMETER && duty->parameter == s->kind->dial;
}

static void add_element(builder *b, const source_element *s)
{
    net_element *e = ARRAY_ADD(b->net->arena, &b->elements);
    *e = (net_element){.type = s->element->type,
                       .a = node_of(s, s->element->a),
                       .b = node_of(s, s->element->b),
                       .to_a = -1,
                       .to_b = -1,
                       .wire = -1,
                       .item = s->item,
                       .kind_element = (int)(s->element - s->kind->elements),
                       .number = s->number,
                       .resistance_ohm = number_of(s, KEY_RESISTANCE, 0),
                       .rating_A = number_of(s, KEY_RATING, 0),
                       .moves = s->element->moves,
                       .closed_in = s->element->closed_in};
    switch (e->type) {
    case ELEMENT_EMF:
        fill_emf(s, e);
        break;
    case ELEMENT_FUSIBLE:
        fill_fusible(s, e);
        break;
    case ELEMENT_LOAD:
        fill_load(s, e);
        break;
    case ELEMENT_LAMP:
        fill_lamp(s, e);
        break;
    case ELEMENT_DIODE:
        e->drop_V = number_of(s, KEY_DROP, 0);
        break;
    case ELEMENT_CHOPPER:
        fill_chopper(s, e);
        break;
    case ELEMENT_TRANSFER:
        fill_transfer(s, e);
        break;
    case ELEMENT_COIL:
        e->pulls_above_V = number_of(s, KEY_PULLS_ABOVE, 0);
        e->drops_below_V = number_of(s, KEY_DROPS_BELOW, 0);
        break;
    default:
        break;
    }
}

/* The metal body is one conductor: whatever stands on a stud of it meets what stands on the first. Next to wires, sheet
 * steel has no resistance to speak of. */
static void join_to_body(builder *b, int item_index)
{
    const int stud = b->van->items[item_index].first_terminal;
    if (b->body < 0) {
        b->body = stud;
        return;
    }
    *ARRAY_ADD(b->net->arena, &b->elements) = (net_element){.type = ELEMENT_CONDUCTOR,
                                                            .a = b->body,
                                                            .b = stud,
                                                            .to_a = -1,
                                                            .to_b = -1,
                                                            .wire = -1,
                                                            .item = item_index,
                                                            .kind_element = -1,
                                                            .moves = -1};
}

static void add_item(builder *b, int item_index)
{
    const item *it = &b->van->items[item_index];
    const kind *k = &b->van->kinds[it->kind];
    int n_row = 0;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        if (k->row >= 0 && b->van->terminals[t].template_index == k->row) n_row++;
    for (int i = 0; i < k->n_elements; i++) {
        source_element s = {
            .b = b, .kind = k, .element = &k->elements[i], .item = item_index, .first_inner = b->next_inner};
        if (!s.element->is_repeated) add_element(b, &s);
        for (s.number = 1; s.element->is_repeated && s.number <= n_row; s.number++) add_element(b, &s);
    }
    b->next_inner += k->n_inner;
    if (k->role == ROLE_CHASSIS) join_to_body(b, item_index);
}

/* A wire of unknown size or length joins nothing: an infinite resistance. */
static double wire_ohm(const network *net, int wire_index)
{
    const wire *w = &net->van->wires[wire_index];
    conductor_size size = net->conditions.sizes ? net->conditions.sizes[wire_index] : w->size;
    double temperature_K = net->conditions.wire_K ? net->conditions.wire_K[wire_index] : net->conditions.conductor_K;
    if (w->is_length_auto || size.series == SIZE_UNSET) return INFINITY;
    if (size.series == SIZE_METRIC && !conductor_is_listed(size)) return INFINITY;
    return w->length_m * conductor_ohm_per_m(size, w->is_solid, temperature_K);
}

static void add_wire(builder *b, int wire_index)
{
    const wire *w = &b->van->wires[wire_index];
    *ARRAY_ADD(b->net->arena, &b->elements) = (net_element){.type = ELEMENT_CONDUCTOR,
                                                            .a = w->from,
                                                            .b = w->to,
                                                            .to_a = -1,
                                                            .to_b = -1,
                                                            .wire = wire_index,
                                                            .item = -1,
                                                            .kind_element = -1,
                                                            .resistance_ohm = wire_ohm(b->net, wire_index),
                                                            .moves = -1};
}

static double nominal_of(builder *b)
{
    for (int i = 0; i < b->van->n_items; i++) {
        const kind *k = item_kind(b->van, i);
        for (int e = 0; k->role == ROLE_BATTERY && e < k->n_elements; e++) {
            source_element s = {.b = b, .kind = k, .element = &k->elements[e], .item = i};
            double nominal_V = k->elements[e].type == ELEMENT_EMF ? number_of(&s, KEY_VOLTAGE, 0) : 0;
            if (nominal_V > 0) return nominal_V;
        }
    }
    return 12;
}

/* ------------------------------------------------------------------ batteries in series */

static bool is_battery(const network *net, int element)
{
    assert(net->elements);
    const net_element *e = &net->elements[element];
    return e->type == ELEMENT_EMF && item_kind(net->van, e->item)->role == ROLE_BATTERY;
}

static int first_battery(const network *net)
{
    for (int k = net->van->n_wires; k < net->n_elements; k++)
        if (is_battery(net, k)) return k;
    return -1;
}

static int *nodes_joined(const network *net)
{
    int *joined = ARENA_ARRAY(net->arena, int, (size_t)net->n_nodes + 1);
    for (int i = 0; i < net->n_nodes; i++) joined[i] = i;
    for (int k = 0; k < net->n_elements; k++)
        if (net->elements[k].type == ELEMENT_CONDUCTOR) graph_unite(joined, net->elements[k].a, net->elements[k].b);
    for (int i = 0; i < net->n_nodes; i++) joined[i] = graph_root(joined, i);
    return joined;
}

/* A link ends in batteries alone: what has a load, a device or the metal body on it is a tap. */
static void find_links(network *net, const int *joined)
{
    bool *is_tap = ARENA_ARRAY(net->arena, bool, (size_t)net->n_nodes + 1);
    bool *is_link = ARENA_ARRAY(net->arena, bool, (size_t)net->n_nodes + 1);
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (net->below[k] >= 0) is_link[joined[e->b]] = true;
        if (e->type == ELEMENT_CONDUCTOR || is_battery(net, k)) continue;
        is_tap[joined[e->a]] = is_tap[joined[e->b]] = true;
        if (e->type == ELEMENT_TRANSFER) is_tap[joined[e->to_a]] = is_tap[joined[e->to_b]] = true;
    }
    for (int t = 0; t < net->van->n_terminals; t++)
        if (item_kind(net->van, net->van->terminals[t].item)->role == ROLE_CHASSIS) is_tap[joined[t]] = true;
    for (int i = 0; i < net->n_nodes; i++) net->is_in_link[i] = is_link[joined[i]] && !is_tap[joined[i]];
}

/* Batteries that bite their own tail are a short circuit and no string. */
static bool is_ring(const int *next, int element)
{
    int slow = element, fast = element;
    while (fast >= 0 && next[fast] >= 0) {
        slow = next[slow];
        fast = next[next[fast]];
        if (fast == slow) return true;
    }
    return false;
}

static void find_strings(network *net)
{
    net->below = ARENA_ARRAY(net->arena, int, (size_t)net->n_elements + 1);
    net->above = ARENA_ARRAY(net->arena, int, (size_t)net->n_elements + 1);
    net->is_in_link = ARENA_ARRAY(net->arena, bool, (size_t)net->n_nodes + 1);
    int *batteries = ARENA_ARRAY(net->arena, int, (size_t)net->n_elements + 1);
    int n = 0;
    for (int k = 0; k < net->n_elements; k++) {
        net->below[k] = net->above[k] = -1;
        if (is_battery(net, k)) batteries[n++] = k;
    }
    if (n < 2) return;
    const int *joined = nodes_joined(net);
    for (int i = 0; i < n; i++)
        for (int j = 0; j < n; j++) {
            const net_element *upper = &net->elements[batteries[i]], *lower = &net->elements[batteries[j]];
            if (i == j || joined[upper->b] != joined[lower->a]) continue;
            if (joined[upper->a] == joined[upper->b] || joined[lower->a] == joined[lower->b]) continue;
            if (net->below[batteries[i]] < 0) net->below[batteries[i]] = batteries[j];
            if (net->above[batteries[j]] < 0) net->above[batteries[j]] = batteries[i];
        }
    bool has_ring = false;
    for (int i = 0; i < n; i++)
        has_ring = has_ring || is_ring(net->below, batteries[i]) || is_ring(net->above, batteries[i]);
    for (int i = 0; has_ring && i < n; i++) net->below[batteries[i]] = net->above[batteries[i]] = -1;
    find_links(net, joined);
}

/* Top to bottom. */
static double string_V(const network *net, int element)
{
    double sum_V = 0;
    while (net->above[element] >= 0) element = net->above[element];
    for (; element >= 0; element = net->below[element]) sum_V += net->elements[element].nominal_V;
    return sum_V;
}

static int reference_of(const network *net)
{
    int k = first_battery(net);
    while (k >= 0 && net->below[k] >= 0) k = net->below[k];
    return k < 0 ? -1 : net->elements[k].b;
}

static void add_all(builder *b)
{
    const van *v = b->van;
    b->elements.n = 0;
    b->next_inner = v->n_terminals;
    b->body = -1;
    for (int w = 0; w < v->n_wires; w++) add_wire(b, w);
    for (int i = 0; i < v->n_items; i++) {
        b->net->first_element[i] = (int)b->elements.n;
        add_item(b, i);
    }
    b->net->first_element[v->n_items] = (int)b->elements.n;
}

network *network_build(arena *a, const van *v, const conditions *c)
{
    network *net = ARENA_NEW(a, network);
    net->van = v;
    net->conditions = *c;
    net->arena = a;
    net->first_element = ARENA_ARRAY(a, int, (size_t)v->n_items + 1);
    builder b = {.van = v, .net = net};
    b.nominal_V = nominal_of(&b);
    add_all(&b);
    net->elements = b.elements.at;
    net->n_elements = (int)b.elements.n;
    assert(net->elements || !net->n_elements);
    net->n_nodes = b.next_inner;
    find_strings(net);
    net->reference = reference_of(net);
    const int first = first_battery(net);
    if (first >= 0 && (net->below[first] >= 0 || net->above[first] >= 0)) {
        b.nominal_V = string_V(net, first);
        add_all(&b); /* what the file leaves open follows the string's voltage */
    }
    net->nominal_V = b.nominal_V;
    return net;
}

int network_main_element(const network *net, int item_index)
{
    static const element_type order[] = {ELEMENT_TRANSFER, ELEMENT_LOAD, ELEMENT_LAMP, ELEMENT_COIL};
    for (size_t i = 0; i < sizeof order / sizeof *order; i++)
        for (int k = net->first_element[item_index]; k < net->first_element[item_index + 1]; k++)
            if (net->elements[k].type == order[i]) return k;
    return -1;
}
