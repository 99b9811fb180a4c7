/* A kind for people: what `loomwall kinds NAME` prints. */
#include "read/kinds.h"
#include "read/read.h"

#include <math.h>
#include <string.h>

static int longest_name(const kind *k)
{
    size_t n = 10;
    for (int t = 0; t < k->n_terminals; t++) n = strlen(k->terminals[t].name) > n ? strlen(k->terminals[t].name) : n;
    for (int p = 0; p < k->n_parameters; p++) n = strlen(k->parameters[p].name) > n ? strlen(k->parameters[p].name) : n;
    for (int e = 0; e < k->n_elements; e++) n = strlen(k->elements[e].name) > n ? strlen(k->elements[e].name) : n;
    return (int)n;
}

static const char *from_text(const source *from, arena *a) { return source_text(from, (struct arena *)a); }

/* ---- terminals ---- */

/* The size of the series that has this area, as it is sold; else the area. */
static const char *area_text(double area_m2, arena *a)
{
    for (size_series series = SIZE_AWG; series <= SIZE_METRIC; series++) {
        int n;
        const conductor_size *sizes = conductor_series(series, &n);
        for (int i = 0; i < n; i++)
            if (fabs(sizes[i].area_m2 / area_m2 - 1) < 1e-6) return conductor_size_text(sizes[i]);
    }
    return quantity_text(area_m2, DIMENSION_AREA, 3, a);
}

static void terminal_text(sink *s, const kind *k, const terminal_template *t, int width)
{
    arena *a = s->arena;
    if (t->is_row) {
        const parameter *p = &k->parameters[t->row_parameter];
        sink_printf(s, "  %-*s  numbered from 1, %s `%s`", width, "1, 2, ...",
                    p->is_list ? "one for each entry of" : "as many as", p->name);
    } else
        sink_printf(s, "  %-*s  %s", width, t->name, *t->fitting ? t->fitting : "a terminal");
    if (t->is_row && *t->fitting) sink_printf(s, "; %s", t->fitting);
    if (t->smallest_m2 > 0) sink_printf(s, "; %s to %s", area_text(t->smallest_m2, a), area_text(t->largest_m2, a));
    if (t->takes_conductors)
        sink_printf(s, "; at most %d conductor%s", t->takes_conductors, t->takes_conductors == 1 ? "" : "s");
    if (t->fits_from.document) sink_printf(s, " (%s)", from_text(&t->fits_from, a));
    if (t->may_be_open) sink_add(s, "; may stay open");
    sink_add(s, "\n");
}

/* ---- parameters ---- */

static const char *value_text(const kind *k, const value *v, bool is_count, bool is_truth, arena *a)
{
    switch (v->form) {
    case VALUE_WORD:
        return v->word;
    case VALUE_PARAMETER:
        return arena_printf(a, "$%s", k->parameters[v->parameter].name);
    case VALUE_NUMBER:
        return is_truth   ? (v->number != 0 ? "true" : "false")
               : is_count ? arena_printf(a, "%.0f", v->number)
                          : quantity_text(v->number, v->dimension, 6, a);
    default:
        return "auto";
    }
}

static void range_of(sink *s, const parameter *p)
{
    if (p->n_dimensions == 1 && !isinf(p->least) && !isinf(p->most))
        sink_printf(s, ", %s", range_text(s->arena, p->dimensions[0], p->least, p->most));
}

static void parameter_text(sink *s, const kind *k, const parameter *p, int width)
{
    arena *a = s->arena;
    reader r = {.arena = a};
    sink_printf(s, "  %-*s  %s\n  %-*s  ", width, p->name, p->says, width, "");
    if (p->is_list) sink_add(s, "a list: ");
    if (p->n_dimensions == 1)
        sink_printf(s, "%s", dimension_name(p->dimensions[0]));
    else
        sink_add(s, parameter_holds(&r, p));
    range_of(s, p);
    if (p->preset.form == VALUE_NONE)
        sink_add(s, p->is_auto ? "; auto if not given" : "; must be given");
    else
        sink_printf(s, "; %s if not given (%s)", value_text(k, &p->preset, p->is_count, p->is_truth, a),
                    from_text(&p->from, a));
    sink_add(s, "\n");
}

/* ---- inside ---- */

static const char *end_text(const kind *k, element_end e, arena *a)
{
    if (e.form == END_INNER) return k->inner[e.index];
    return e.form == END_ROW ? arena_printf(a, "each of %s", k->terminals[e.index].name) : k->terminals[e.index].name;
}

static void element_text(sink *s, const kind *k, const element *e, int width)
{
    arena *a = s->arena;
    sink_printf(s, "  %-*s  %s from %s to %s", width, e->name, element_type_word(e->type), end_text(k, e->a, a),
                end_text(k, e->b, a));
    if (e->type == ELEMENT_TRANSFER)
        sink_printf(s, ", giving between %s and %s", end_text(k, e->to_a, a), end_text(k, e->to_b, a));
    bool is_first = true;
    for (int p = 0; p < k->n_positions; p++) {
        if (!(e->closed_in & 1u << p)) continue;
        sink_printf(s, "%s%s", is_first ? ", closed in " : " and ", k->positions[p]);
        is_first = false;
    }
    if (e->moves >= 0) sink_printf(s, ", moves it to %s", k->positions[e->moves]);
    is_first = true;
    for (int key = 0; key < N_ELEMENT_KEYS; key++) {
        if (e->keys[key].form == VALUE_NONE) continue;
        sink_printf(s, "%s%s %s", is_first ? "; " : ", ", element_key_word((element_key)key),
                    value_text(k, &e->keys[key], false, false, a));
        is_first = false;
    }
    sink_add(s, "\n");
}

static void positions_text(sink *s, const kind *k)
{
    if (k->dial >= 0) sink_printf(s, "\nposition: a fraction, which sets `%s`\n", k->parameters[k->dial].name);
    if (k->n_positions == 0) return;
    sink_add(s, "\npositions: ");
    for (int p = 0; p < k->n_positions; p++)
        sink_printf(s, "%s%s%s", p ? ", " : "", k->positions[p], p == 0 ? " (rest)" : "");
    sink_add(s, kind_coil(k) >= 0 ? "; its coil moves it\n" : "\n");
}

const char *kind_text(const kind *k, arena *a)
{
    sink s = sink_in(a);
    int width = longest_name(k);
    sink_printf(&s, "%s: %s\n\nterminals\n", k->name, k->says);
    for (int t = 0; t < k->n_terminals; t++) terminal_text(&s, k, &k->terminals[t], width);
    positions_text(&s, k);
    if (k->n_parameters) sink_add(&s, "\ntakes\n");
    for (int p = 0; p < k->n_parameters; p++) parameter_text(&s, k, &k->parameters[p], width);
    sink_add(&s, "\ninside\n");
    if (k->n_elements == 0) sink_add(&s, "  nothing\n");
    for (int e = 0; e < k->n_elements; e++) element_text(&s, k, &k->elements[e], width);
    return sink_text(&s);
}
