/* Random vans for the switch positions: see random_van.h. */
#include "random_van.h"

uint32_t dice_roll(dice *d, uint32_t n)
{
    /* splitmix64: S. Vigna, public domain. */
    uint64_t z = d->state += 0x9e3779b97f4a7c15u;
    z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
    z = (z ^ z >> 27) * 0x94d049bb133111ebu;
    return (uint32_t)((z ^ z >> 31) >> 11) % n;
}

double dice_between(dice *d, double low, double high)
{
    return low + (high - low) * dice_roll(d, 1u << 20) / (1u << 20);
}

bool dice_chance(dice *d, int percent) { return (int)dice_roll(d, 100) < percent; }

typedef struct maker {
    hand *h;
    dice d;
    const van_plan *plan;
    int hubs[4], n_hubs, bars[3], n_bars;
    int n_switches;
} maker;

static int node(maker *m) { return hand_nodes(m->h, 1); }

static double wire_ohm(maker *m) { return dice_between(&m->d, 0.002, m->plan->is_weak ? 0.06 : 0.025); }

/* A wire from a to a new node. */
static int lead(maker *m, int a)
{
    const int b = node(m);
    hand_wire(m->h, "w", a, b, wire_ohm(m));
    return b;
}

static int a_switch(maker *m, int n_positions)
{
    m->n_switches++;
    return hand_item(m->h, "switch", n_positions);
}

static int any_hub(maker *m) { return m->hubs[dice_roll(&m->d, (uint32_t)m->n_hubs)]; }
static int any_bar(maker *m) { return m->bars[dice_roll(&m->d, (uint32_t)m->n_bars)]; }

static int fused(maker *m, int hub)
{
    const int slot = node(m);
    hand_part(m->h, -1,
              (net_element){.type = ELEMENT_FUSIBLE, .a = hub, .b = slot, .resistance_ohm = 0.004, .rating_A = 10});
    return lead(m, slot);
}

static void a_lamp(maker *m, int item, int a, int b)
{
    hand_part(
        m->h, item,
        (net_element){
            .type = ELEMENT_LAMP, .a = a, .b = b, .load_ohm = dice_between(&m->d, 400, 1200), .lights_above_V = 6});
}

static void a_load(maker *m, int a, int b)
{
    const int item = hand_item(m->h, "load", 0);
    net_element e = {.type = ELEMENT_LOAD, .a = a, .b = b};
    switch (dice_roll(&m->d, 4)) {
    case 0:
        e.power_W = dice_between(&m->d, 2, m->plan->is_weak ? 90 : 45);
        break;
    case 1:
        e.current_A = dice_between(&m->d, 0.1, 6);
        break;
    case 2:
        e.load_ohm = dice_between(&m->d, 2, 40);
        break;
    default:
        e.power_W = dice_between(&m->d, 5, 40);
        if (m->plan->has_cut_outs) {
            e.stops_below_V = dice_chance(&m->d, 20) ? dice_between(&m->d, 11.8, 12.9) : 10.4;
            e.starts_above_V = e.stops_below_V + 0.3;
        }
    }
    hand_part(m->h, item, e);
    if (dice_chance(&m->d, 25)) a_lamp(m, item, a, b);
}

static void plain_circuit(maker *m, int feed)
{
    const int item = a_switch(m, 2), out = node(m);
    hand_contact(m->h, item, feed, out, 2, 0.005);
    if (dice_chance(&m->d, 60)) a_lamp(m, item, out, lead(m, any_bar(m)));
    a_load(m, lead(m, out), lead(m, any_bar(m)));
}

static void two_speeds(maker *m, int feed)
{
    const int item = a_switch(m, 3), low = node(m), high = node(m);
    hand_contact(m->h, item, feed, low, 2, 0.005);
    hand_contact(m->h, item, feed, high, 4, 0.005);
    hand_resistor(m->h, low, high, dice_between(&m->d, 0.3, 2));
    a_load(m, lead(m, high), lead(m, any_bar(m)));
}

static void dimmed(maker *m, int feed)
{
    const bool is_fine = m->plan->has_choppers && dice_chance(&m->d, 70);
    const int item = a_switch(m, is_fine ? 3 : 2);
    {
        position *p = m->h->items.at[item].positions;
        for (int i = 0; i < m->h->items.at[item].n_positions; i++) p[i] = (position){0, 0};
        p[m->h->items.at[item].n_positions - 1].fraction = 1;
        if (is_fine) p[1].fraction = dice_between(&m->d, 0.1, 0.9);
    }
    const int pos = lead(m, feed), cut = node(m), neg = lead(m, any_bar(m));
    hand_part(m->h, item,
              (net_element){.type = ELEMENT_CHOPPER, .a = cut, .b = neg, .resistance_ohm = 0.02, .is_dialled = true});
    hand_part(m->h, item, (net_element){.type = ELEMENT_LOAD, .a = pos, .b = neg, .power_W = 0.05});
    const int load = hand_item(m->h, "strip", 0);
    hand_part(m->h, load,
              (net_element){.type = ELEMENT_LOAD, .a = pos, .b = lead(m, cut), .load_ohm = dice_between(&m->d, 3, 20)});
}

static void by_relay(maker *m, int feed)
{
    const int item = a_switch(m, 2), coil_pos = node(m), relay = hand_item(m->h, "relay", 2), out = node(m);
    hand_contact(m->h, item, feed, coil_pos, 2, 0.005);
    hand_part(m->h, relay,
              (net_element){.type = ELEMENT_COIL,
                            .a = lead(m, coil_pos),
                            .b = lead(m, any_bar(m)),
                            .resistance_ohm = 85,
                            .pulls_above_V = 8,
                            .drops_below_V = 3,
                            .moves = 1});
    hand_contact(m->h, relay, fused(m, any_hub(m)), out, 2, 0.003);
    a_load(m, lead(m, out), lead(m, any_bar(m)));
}

static void in_series(maker *m, int feed)
{
    const int first = a_switch(m, 2), mid = node(m);
    hand_contact(m->h, first, feed, mid, 2, 0.005);
    plain_circuit(m, lead(m, mid));
    if (dice_chance(&m->d, 50)) plain_circuit(m, lead(m, mid));
}

static void in_parallel(maker *m, int feed)
{
    const int first = a_switch(m, 2), second = a_switch(m, 2), out = node(m);
    hand_contact(m->h, first, feed, out, 2, 0.005);
    hand_contact(m->h, second, dice_chance(&m->d, 50) ? feed : fused(m, any_hub(m)), out, 2, 0.005);
    a_load(m, lead(m, out), lead(m, any_bar(m)));
}

static void two_way(maker *m, int feed)
{
    const int first = a_switch(m, 2), second = a_switch(m, 2), up = node(m), down = node(m), out = node(m);
    hand_contact(m->h, first, feed, up, 1, 0.005);
    hand_contact(m->h, first, feed, down, 2, 0.005);
    hand_contact(m->h, second, up, out, 1, 0.005);
    hand_contact(m->h, second, down, out, 2, 0.005);
    a_load(m, lead(m, out), lead(m, any_bar(m)));
}

static void chain_hubs(maker *m, int pos)
{
    m->hubs[0] = lead(m, pos);
    m->n_hubs = 1 + (int)dice_roll(&m->d, 3);
    for (int i = 1; i < m->n_hubs; i++) {
        m->hubs[i] = node(m);
        hand_wire(m->h, "h", m->hubs[i - 1], m->hubs[i], dice_between(&m->d, 0.001, 0.015));
    }
    if (m->n_hubs > 2 && dice_chance(&m->d, 30)) hand_wire(m->h, "ring", m->hubs[0], m->hubs[m->n_hubs - 1], 0.01);
}

static void chain_bars(maker *m, int neg)
{
    m->bars[0] = lead(m, neg);
    m->n_bars = 1 + (int)dice_roll(&m->d, 3);
    for (int i = 1; i < m->n_bars; i++) {
        m->bars[i] = node(m);
        hand_wire(m->h, "b", m->bars[i - 1], m->bars[i], dice_between(&m->d, 0.001, 0.015));
    }
}

static void supply(maker *m)
{
    hand *h = m->h;
    const int neg = hand_nodes(h, 1), pos = node(m);
    const bool is_house = m->plan->is_plain_house;
    h->net.reference = neg;
    hand_source(h, pos, neg, dice_between(&m->d, 12.2, 13.4), dice_between(&m->d, 0.003, 0.02));
    int feed = lead(m, pos);
    if (dice_chance(&m->d, 30)) a_load(m, feed, lead(m, neg));
    if (!is_house && dice_chance(&m->d, 35)) {
        const int second = node(m), common = node(m), item = a_switch(m, 3);
        hand_source(h, second, lead(m, neg), dice_between(&m->d, 12.2, 13.4), dice_between(&m->d, 0.003, 0.02));
        hand_contact(h, item, feed, common, 2, 0.001);
        hand_contact(h, item, lead(m, second), common, 4, 0.001);
        feed = common;
    }
    if (!is_house && dice_chance(&m->d, 25)) {
        const int second = node(m), item = a_switch(m, 2);
        hand_source(h, second, lead(m, neg), dice_between(&m->d, 12.2, 13.4), dice_between(&m->d, 0.003, 0.02));
        hand_contact(h, item, lead(m, second), feed, 2, 0.001);
    }
    if (dice_chance(&m->d, is_house ? 50 : 40)) {
        const int after = node(m), item = a_switch(m, 2);
        hand_contact(h, item, feed, after, 2, 0.001);
        feed = after;
    }
    chain_hubs(m, feed);
    chain_bars(m, neg);
    if (dice_chance(&m->d, 15)) /* a charger that gives what it can */
        hand_transfer(h, -1, pos, neg, m->hubs[0], m->bars[0], 14.2, 0.9, 0.5, dice_between(&m->d, 5, 200));
    if (dice_chance(&m->d, 15)) { /* a panel through its diode */
        const int panel = node(m);
        hand_source(h, panel, m->bars[0], 18, 3);
        hand_diode(h, panel, m->hubs[0], 0.5, 0.05);
    }
}

static void exclude(maker *m)
{
    const int n = (int)m->h->items.n;
    for (int tries = 0; tries < 2; tries++) {
        const int i = (int)dice_roll(&m->d, (uint32_t)n), j = (int)dice_roll(&m->d, (uint32_t)n);
        item *a = &m->h->items.at[i], *b = &m->h->items.at[j];
        if (i == j || a->n_positions < 2 || b->n_positions < 2) continue;
        a->exclusions = ARENA_ARRAY(m->h->arena, exclusion, 1);
        a->n_exclusions = 1;
        a->exclusions[0] =
            (exclusion){j, b->positions[b->n_positions - 1], dice_chance(&m->d, 50) ? -1 : a->positions[1].index};
    }
}

hand *random_van(uint64_t seed, const van_plan *plan)
{
    maker m = {.h = hand_create(), .d = {seed}, .plan = plan};
    static void (*const circuits[])(maker *, int) = {plain_circuit, plain_circuit, dimmed,      two_speeds,
                                                     by_relay,      in_series,     in_parallel, two_way};
    supply(&m);
    const int wanted = 3 + (int)dice_roll(&m.d, (uint32_t)plan->most_switches - 2);
    int feed = fused(&m, any_hub(&m));
    while (m.n_switches + 3 <= wanted || (m.n_switches < wanted && m.n_switches + 3 <= plan->most_switches)) {
        if (dice_chance(&m.d, 80)) feed = fused(&m, any_hub(&m)); /* else it shares the fuse of the one before */
        if (dice_chance(&m.d, 15)) a_load(&m, fused(&m, any_hub(&m)), lead(&m, any_bar(&m)));
        circuits[dice_roll(&m.d, plan->is_plain_house ? 3 : 8)](&m, feed);
    }
    if (plan->has_never_with) exclude(&m);
    hand_finish(m.h);
    return m.h;
}

hand *separate_circuits(int n)
{
    static const van_plan plan = {0};
    maker m = {.h = hand_create(), .d = {7}, .plan = &plan};
    const int neg = hand_nodes(m.h, 1), pos = node(&m);
    m.h->net.reference = neg;
    hand_source(m.h, pos, neg, 12.9, 0.004);
    const int main = lead(&m, pos);
    m.n_hubs = 2;
    for (int i = 0; i < 2; i++) hand_wire(m.h, "h", main, m.hubs[i] = node(&m), 0.002);
    m.n_bars = 1;
    hand_wire(m.h, "b", neg, m.bars[0] = node(&m), 0.002);
    for (int i = 0; i < n; i++) {
        const int item = a_switch(&m, 2), out = node(&m), load = hand_item(m.h, "load", 0);
        hand_contact(m.h, item, fused(&m, m.hubs[i % 2]), out, 2, 0.005);
        a_lamp(&m, item, out, lead(&m, m.bars[0]));
        hand_power(m.h, load, lead(&m, out), lead(&m, m.bars[0]), 3 + 20.0 * (i % 5) / n);
    }
    hand_finish(m.h);
    return m.h;
}

hand *one_chain(int n)
{
    hand *h = hand_create();
    const int neg = hand_nodes(h, 1), pos = hand_nodes(h, 1);
    h->net.reference = neg;
    hand_source(h, pos, neg, 12.5, 0.01);
    int at = pos;
    for (int i = 0; i < n; i++) {
        const int next = hand_nodes(h, 1), item = hand_item(h, "switch", 2), load = hand_item(h, "load", 0);
        hand_wire(h, "w", at, next, 0.01);
        const int beyond = hand_nodes(h, 1);
        hand_resistor(h, next, beyond, 0.05 + 0.01 * i);
        hand_contact(h, item, next, beyond, 2, 0.002);
        hand_power(h, load, beyond, neg, 1 + 0.3 * i);
        at = beyond;
    }
    hand_finish(h);
    return h;
}
