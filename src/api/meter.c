/* The meter. See loomwall/meter.h. Every fault in what is asked is told at once. */
#include "loomwall/meter.h"
#include "api/handles.h"
#include "api/settings.h"
#include "api/text.h"
#include "study/study.h"

#include <math.h>
#include <string.h>

struct lw_reading {
    arena *arena;
    const van *van;
    const meter_reading *reading;
    const lw_item_reading *items;
    double lowest_V;     /* of the batteries' posts; NAN when none can be measured */
    const char *trouble; /* NULL when there is an operating point */
};

lw_meter_options lw_meter_defaults(void)
{
    conditions c = conditions_meter();
    return (lw_meter_options){.ambient_K = c.conductor_K, .charge = c.charge};
}

/* --- quantities --- */

typedef struct quantity_question {
    const char *text, *unit;
    double value;
} quantity_question;

static lw_status ask_quantity(sink *s, const void *what)
{
    quantity_question *q = (quantity_question *)what;
    dimension wanted = DIMENSION_NUMBER;
    dimension_of_unit(q->unit, &wanted);
    quantity found;
    const char *wrong;
    if (!quantity_parse(q->text, strlen(q->text), &found, s->arena, &wrong)) {
        sink_printf(s, "`%s` %s", q->text, wrong);
        return LW_REFUSED;
    }
    if (found.dimension != wanted) {
        sink_printf(s, "`%s` is not a %s; give it in one of %s", q->text, dimension_name(wanted),
                    dimension_units(wanted));
        return LW_REFUSED;
    }
    q->value = found.value;
    return LW_OK;
}

lw_status lw_quantity(const char *text, const char *unit, double *value, char **why)
{
    quantity_question q = {.text = text, .unit = unit};
    char *words;
    lw_status status = text_give(ask_quantity, &q, &words);
    if (status == LW_OK) *value = q.value;
    if (status == LW_REFUSED && why) {
        *why = words;
    } else if (status != LW_NO_MEMORY) {
        lw_free(words);
    }
    return status;
}

/* --- measuring --- */

typedef struct metering {
    arena *arena;
    const lw_van *van;
    const lw_meter_options *options;
    sink wrong; /* a line each; empty when all is well */
    lw_reading *result;
} metering;

static int reference_terminal(metering *m)
{
    const van *v = m->van->van;
    if (!m->options->against) return -1;
    int terminal = van_terminal(v, m->options->against);
    if (terminal >= 0) return terminal;
    const char **names = ARENA_ARRAY(m->arena, const char *, (size_t)v->n_terminals + 1);
    for (int i = 0; i < v->n_terminals; i++) names[i] = v->terminals[i].name;
    settings_refuse(&m->wrong, arena_printf(m->arena, "there is no terminal `%s`", m->options->against),
                    text_suggestion(m->options->against, names, v->n_terminals,
                                    "a terminal is ITEM.TERMINAL, such as bank.neg", m->arena));
    return -1;
}

static void refuse_conditions(metering *m)
{
    if (!(m->options->ambient_K >= 200 && m->options->ambient_K <= 500)) {
        settings_refuse(&m->wrong, "the ambient temperature is out of range", "give one from -73 degC to 226 degC");
    }
    if (!(m->options->charge >= 0 && m->options->charge <= 1)) {
        settings_refuse(&m->wrong, "the charge is out of range", "give one from 0 % to 100 %");
    }
}

static bool has_lamp(const kind *k)
{
    for (int e = 0; e < k->n_elements; e++) {
        if (k->elements[e].type == ELEMENT_LAMP) return true;
    }
    return false;
}

/* A relay stands where its coil holds it; everything else where it was set. */
static const char *position_word(const lw_reading *r, int item, const kind *k, const position *positions)
{
    if (k->n_positions == 0 && k->dial < 0) return NULL;
    int coil = kind_coil(k);
    if (coil < 0) return position_text(r->van, item, positions[item], r->arena);
    if (r->trouble) return NULL;
    int index = r->reading->op->items[item].is_pulled ? k->elements[coil].moves : 0;
    return position_text(r->van, item, (position){.index = index}, r->arena);
}

/* Whether it takes power to do something for the builder; a relay's coil and a switch's lamp do not. */
static bool is_load(const lw_reading *r, int item, const kind *k)
{
    switch (k->role) {
    case ROLE_LOAD:
    case ROLE_OUTLET:
    case ROLE_CHARGER:
    case ROLE_INVERTER:
    case ROLE_MEASURE:
    case ROLE_OTHER:
        return network_main_element(r->reading->net, item) >= 0;
    default:
        return false;
    }
}

/* Volts, amperes and watts below this are what rounding leaves of nothing. */
static double settled(double value)
{
    static const double nothing = 1e-9;
    return fabs(value) < nothing ? 0 : value;
}

const char *lw_load_state_word(lw_load_state state)
{
    static const char *const words[] = {"off", "runs", "dims", "starved", "floats"};
    return words[state];
}

/* What is chopped is on for a part of the time, so that its rms stands above its mean; ripple alone lifts it by far less. */
static bool is_chopped(const operating_point *op, int element)
{
    static const double ripple = 0.01;
    return op->rms_A[element] > (1 + ripple) * fabs(op->current_A[element]);
}

static lw_load_state load_state(const lw_reading *r, int item)
{
    const operating_point *op = r->reading->op;
    const item_state *state = &op->items[item];
    int which = network_main_element(r->reading->net, item);
    const net_element *e = &r->reading->net->elements[which];
    if (state->runs) return is_chopped(op, which) ? LW_LOAD_DIMS : LW_LOAD_RUNS;
    if (state->is_starved) return LW_LOAD_STARVED;
    return isnan(op->node_V[e->a]) && isnan(op->node_V[e->b]) ? LW_LOAD_FLOATS : LW_LOAD_OFF;
}

static lw_item_reading public_item(const lw_reading *r, int item, const position *positions)
{
    const kind *k = item_kind(r->van, item);
    lw_item_reading public = {
        .item = r->van->items[item].id,
        .name = r->van->items[item].name,
        .position = position_word(r, item, k, positions),
        .is_load = is_load(r, item, k),
        .volts = NAN,
        .watts = NAN,
    };
    if (r->trouble) return public;
    const item_state *state = &r->reading->op->items[item];
    if (has_lamp(k)) public.lamp = state->lamp_lit ? LW_LAMP_LIT : LW_LAMP_DARK;
    if (public.is_load) {
        public.runs = state->runs;
        public.state = load_state(r, item);
        public.volts = settled(state->volts);
        public.watts = settled(state->watts);
    }
    return public;
}

static lw_item_reading *public_items(const lw_reading *r, const position *positions)
{
    lw_item_reading *items = ARENA_ARRAY(r->arena, lw_item_reading, (size_t)r->van->n_items);
    for (int i = 0; i < r->van->n_items; i++) items[i] = public_item(r, i, positions);
    return items;
}

static void meter_it(void *context)
{
    metering *m = context;
    const van *v = m->van->van;
    m->wrong = sink_in(m->arena);
    position *positions = settings_read(m->arena, v, m->options->set, m->options->n_set, &m->wrong);
    refuse_conditions(m);
    int reference = reference_terminal(m);
    if (sink_text(&m->wrong)[0]) return;

    conditions c = conditions_meter();
    c.conductor_K = m->options->ambient_K;
    c.charge = m->options->charge;
    const meter_reading *reading = study_meter(m->arena, v, positions, &c, reference);
    bool is_solved = reading->op->outcome == OUTCOME_SOLVED;
    m->result = ARENA_NEW(m->arena, lw_reading);
    *m->result = (lw_reading){.arena = m->arena,
                              .van = v,
                              .reading = reading,
                              .trouble = is_solved ? NULL : op_explain(reading->net, reading->op, m->arena)};
    m->result->lowest_V = meter_lowest_V(reading);
    m->result->items = public_items(m->result, positions);
}

lw_status lw_meter(const lw_van *van, const lw_meter_options *options, lw_reading **reading, char **why)
{
    metering m = {.arena = arena_create(), .van = van, .options = options};
    if (!m.arena || !arena_try(m.arena, meter_it, &m)) {
        arena_destroy(m.arena);
        return LW_NO_MEMORY;
    }
    if (m.result) {
        *reading = m.result;
        return LW_OK;
    }
    lw_status status = text_copy(sink_text(&m.wrong), why);
    arena_destroy(m.arena);
    return status == LW_OK ? LW_REFUSED : status;
}

void lw_reading_free(lw_reading *reading)
{
    if (reading) arena_destroy(reading->arena);
}

/* --- what it reads --- */

size_t lw_reading_n_terminals(const lw_reading *reading) { return (size_t)reading->van->n_terminals; }
size_t lw_reading_n_wires(const lw_reading *reading) { return (size_t)reading->van->n_wires; }
size_t lw_reading_n_items(const lw_reading *reading) { return (size_t)reading->van->n_items; }

lw_terminal_reading lw_reading_terminal(const lw_reading *reading, size_t i)
{
    const double *node_V = reading->reading->op->node_V;
    int reference = reading->reading->reference;
    double volts = reading->trouble || reference < 0 ? NAN : settled(node_V[i] - node_V[reference]);
    return (lw_terminal_reading){reading->van->terminals[i].name, volts};
}

const char *lw_wire_state_word(lw_wire_state state)
{
    static const char *const words[] = {"floats", "dead", "live", "carries"};
    return words[state];
}

static lw_wire_state wire_state(const lw_reading *r, int wire)
{
    static const double carries_A = 1e-3, live_V = 1;
    const operating_point *op = r->reading->op;
    double from_V = op->node_V[r->van->wires[wire].from], to_V = op->node_V[r->van->wires[wire].to];
    if (op->rms_A[wire] >= carries_A) return LW_WIRE_CARRIES;
    if (isnan(from_V) && isnan(to_V)) return LW_WIRE_FLOATS;
    return fmax(from_V, to_V) - r->lowest_V >= live_V ? LW_WIRE_LIVE : LW_WIRE_DEAD;
}

lw_wire_reading lw_reading_wire(const lw_reading *reading, size_t i)
{
    const wire *w = &reading->van->wires[i];
    const operating_point *op = reading->reading->op;
    return (lw_wire_reading){
        .wire = w->label,
        .from = reading->van->terminals[w->from].name,
        .to = reading->van->terminals[w->to].name,
        .amps = reading->trouble ? NAN : settled(op->current_A[i]),
        .amps_rms = reading->trouble ? NAN : settled(op->rms_A[i]),
        .state = reading->trouble ? LW_WIRE_FLOATS : wire_state(reading, (int)i),
    };
}

lw_item_reading lw_reading_item(const lw_reading *reading, size_t i) { return reading->items[i]; }

lw_reading_quality lw_reading_how_well(const lw_reading *reading)
{
    const operating_point *op = reading->reading->op;
    int reference = reading->reading->reference;
    return (lw_reading_quality){
        .reference = reference < 0 ? NULL : reading->van->terminals[reference].name,
        .is_converged = !reading->trouble,
        .is_rms_exact = op->is_rms_exact,
        .trouble = reading->trouble,
        .residual_A = op->residual_A,
        .power_residual_W = op->power_residual_W,
    };
}

/* --- as JSON --- */

static void json_volts(sink *s, const lw_reading *r)
{
    sink_add(s, "{\"volts\": {");
    for (size_t i = 0; i < lw_reading_n_terminals(r); i++) {
        lw_terminal_reading t = lw_reading_terminal(r, i);
        sink_add(s, i == 0 ? "\n  " : ",\n  ");
        json_text(s, t.terminal);
        sink_add(s, ": ");
        json_number(s, t.volts);
    }
    sink_add(s, "},\n");
}

static void json_amps(sink *s, const lw_reading *r, const char *key, bool is_rms)
{
    sink_printf(s, " \"%s\": {", key);
    for (size_t i = 0; i < lw_reading_n_wires(r); i++) {
        lw_wire_reading w = lw_reading_wire(r, i);
        sink_add(s, i == 0 ? "\n  " : ",\n  ");
        json_text(s, w.wire);
        sink_add(s, ": ");
        json_number(s, is_rms ? w.amps_rms : w.amps);
    }
    sink_add(s, "},\n");
}

static void json_wire_states(sink *s, const lw_reading *r)
{
    sink_add(s, " \"wires\": {");
    for (size_t i = 0; i < lw_reading_n_wires(r); i++) {
        lw_wire_reading w = lw_reading_wire(r, i);
        sink_add(s, i == 0 ? "\n  " : ",\n  ");
        json_text(s, w.wire);
        sink_add(s, ": ");
        json_text_or_null(s, r->trouble ? NULL : lw_wire_state_word(w.state));
    }
    sink_add(s, "},\n");
}

static void json_load(sink *s, const lw_item_reading *item, bool is_known)
{
    sink_add(s, "\"runs\": ");
    json_truth(s, item->runs);
    sink_add(s, ", \"state\": ");
    json_text_or_null(s, is_known ? lw_load_state_word(item->state) : NULL);
    sink_add(s, ", \"volts\": ");
    json_number(s, item->volts);
    sink_add(s, ", \"watts\": ");
    json_number(s, item->watts);
}

static void json_item(sink *s, const lw_item_reading *item, bool is_known)
{
    const char *comma = "";
    sink_add(s, "{");
    if (item->is_load) {
        json_load(s, item, is_known);
        comma = ", ";
    }
    if (item->position) {
        sink_printf(s, "%s\"position\": ", comma);
        json_text(s, item->position);
        comma = ", ";
    }
    if (item->lamp != LW_NO_LAMP)
        sink_printf(s, "%s\"lamp\": \"%s\"", comma, item->lamp == LW_LAMP_LIT ? "lit" : "dark");
    sink_add(s, "}");
}

/* Items of which there is nothing to tell (a joint, a busbar) are left out. */
static void json_items(sink *s, const lw_reading *r)
{
    const char *before = "\n  ";
    sink_add(s, " \"items\": {");
    for (size_t i = 0; i < lw_reading_n_items(r); i++) {
        lw_item_reading item = lw_reading_item(r, i);
        if (!item.is_load && !item.position && item.lamp == LW_NO_LAMP) continue;
        sink_add(s, before);
        json_text(s, item.item);
        sink_add(s, ": ");
        json_item(s, &item, !r->trouble);
        before = ",\n  ";
    }
    sink_add(s, "},\n");
}

static lw_status json_reading(sink *s, const void *what)
{
    const lw_reading *r = what;
    lw_reading_quality q = lw_reading_how_well(r);
    json_volts(s, r);
    json_amps(s, r, "amps", false);
    json_amps(s, r, "amps_rms", true);
    json_wire_states(s, r);
    json_items(s, r);
    sink_add(s, " \"reference\": ");
    json_text_or_null(s, q.reference);
    sink_add(s, ", \"converged\": ");
    json_truth(s, q.is_converged);
    if (q.trouble) {
        sink_add(s, ", \"trouble\": ");
        json_text(s, q.trouble);
    }
    if (!q.is_rms_exact) sink_add(s, ", \"rms_exact\": false");
    sink_add(s, "}\n");
    return LW_OK;
}

lw_status lw_reading_json(const lw_reading *reading, char **json) { return text_give(json_reading, reading, json); }
