/* A kind as JSON: what `loomwall kinds NAME --json` prints. See kinds.h. */
#include "api/kinds.h"
#include "api/text.h"

#include <math.h>
#include <string.h>

static void json_kind_terminals(sink *s, const kind *k)
{
    sink_add(s, "\"terminals\": [");
    for (int i = 0; i < k->n_terminals; i++) {
        const terminal_template *t = &k->terminals[i];
        sink_add(s, i == 0 ? "{\"terminal\": " : ", {\"terminal\": ");
        json_text(s, t->is_row ? "1..n" : t->name);
        if (t->is_row) {
            sink_add(s, ", \"counted_by\": ");
            json_text(s, k->parameters[t->row_parameter].name);
        }
        sink_add(s, ", \"open_allowed\": ");
        json_truth(s, t->may_be_open);
        sink_add(s, ", \"fitting\": ");
        json_text(s, t->fitting ? t->fitting : "");
        sink_add(s, "}");
    }
    sink_add(s, "]");
}

static void json_preset(sink *s, const parameter *p)
{
    switch (p->preset.form) {
    case VALUE_NUMBER:
        if (p->is_truth) {
            json_truth(s, p->preset.number != 0);
        } else if (p->is_count || p->preset.dimension == DIMENSION_NUMBER) {
            json_number(s, p->preset.number);
        } else {
            json_text(s, quantity_text(p->preset.number, p->preset.dimension, 6, s->arena));
        }
        return;
    case VALUE_WORD:
        json_text(s, p->preset.word);
        return;
    case VALUE_NONE:
    case VALUE_PARAMETER:
        break;
    }
    sink_add(s, p->is_auto ? "\"auto\"" : "null"); /* the same as another parameter: `default_from` names it */
}

static void json_parameter_takes(sink *s, const parameter *p)
{
    sink_add(s, ", \"in\": ");
    if (p->is_truth) {
        sink_add(s, "\"truth\"");
    } else if (p->is_count) {
        sink_add(s, "\"count\"");
    } else if (p->n_dimensions == 0) {
        json_words(s, (const char *const *)p->choices, p->n_choices);
    } else {
        sink sum = sink_in(s->arena);
        for (int d = 0; d < p->n_dimensions; d++) {
            sink_printf(&sum, "%s%s", d == 0 ? "" : " or ", dimension_name(p->dimensions[d]));
        }
        json_text(s, sink_text(&sum));
    }
}

void json_units(sink *s, const dimension *dimensions, int n)
{
    bool is_first = true;
    sink_add(s, "[");
    for (int d = 0; d < n; d++) {
        for (const char *at = dimension_units(dimensions[d]); *at; is_first = false) {
            size_t length = strcspn(at, ",");
            sink_add(s, is_first ? "" : ", ");
            json_text(s, arena_text_n(s->arena, at, length));
            at += length + strspn(at + length, ", ");
        }
    }
    sink_add(s, "]");
}

void json_bound(sink *s, double value, dimension d)
{
    if (isinf(value)) {
        sink_add(s, "null");
    } else if (d == DIMENSION_NUMBER) {
        json_number(s, value);
    } else {
        json_text(s, quantity_text(value, d, 6, s->arena));
    }
}

/* What a field needs that asks for the value. */
static void json_field(sink *s, const parameter *p)
{
    dimension d = p->n_dimensions == 1 ? p->dimensions[0] : DIMENSION_NUMBER;
    sink_add(s, ",\n     \"units\": ");
    json_units(s, p->dimensions, p->n_dimensions);
    sink_add(s, ", \"choices\": ");
    json_words(s, p->choices, p->n_choices);
    sink_add(s, ", \"least\": ");
    json_bound(s, p->least, d);
    sink_add(s, ", \"most\": ");
    json_bound(s, p->most, d);
    sink_add(s, ", \"above_zero\": ");
    json_truth(s, p->is_positive);
    sink_add(s, ", \"is_count\": ");
    json_truth(s, p->is_count);
    sink_add(s, ", \"is_truth\": ");
    json_truth(s, p->is_truth);
    sink_add(s, ", \"is_list\": ");
    json_truth(s, p->is_list);
    sink_add(s, ", \"takes_auto\": ");
    json_truth(s, p->is_auto);
    sink_add(s, ", \"is_required\": ");
    json_truth(s, p->preset.form == VALUE_NONE && !p->is_auto);
}

static void json_parameter(sink *s, const kind *k, const parameter *p)
{
    sink_add(s, "{\"parameter\": ");
    json_text(s, p->name);
    sink_add(s, ", \"says\": ");
    json_text(s, p->says ? p->says : "");
    json_parameter_takes(s, p);
    sink_add(s, ", \"list\": ");
    json_truth(s, p->is_list);
    sink_add(s, ", \"default\": ");
    json_preset(s, p);
    sink_add(s, ", \"source\": ");
    json_text(s, p->from.document ? source_text(&p->from, s->arena) : "");
    sink_add(s, ", \"default_from\": ");
    json_text_or_null(s, p->preset.form == VALUE_PARAMETER ? k->parameters[p->preset.parameter].name : NULL);
    json_field(s, p);
    sink_add(s, "}");
}

void json_kind(sink *s, const kind *k)
{
    sink_add(s, "{\"kind\": ");
    json_text(s, k->name);
    sink_add(s, ", \"says\": ");
    json_text(s, k->says);
    sink_printf(s, ",\n  \"role\": \"%s\", \"symbol\": ", role_word(k->role));
    json_text(s, k->symbol ? k->symbol : "");
    sink_add(s, ", \"moved_by_coil\": ");
    json_truth(s, kind_coil(k) >= 0);
    sink_add(s, ", \"critical\": ");
    json_truth(s, k->is_critical);
    sink_add(s, ", \"built_in\": ");
    json_truth(s, k->is_built_in);
    sink_add(s, ",\n  ");
    json_kind_terminals(s, k);
    sink_add(s, ",\n  \"positions\": ");
    json_words(s, k->positions, k->n_positions);
    sink_add(s, ", \"dial\": ");
    json_text_or_null(s, k->dial < 0 ? NULL : k->parameters[k->dial].name);
    sink_add(s, ",\n  \"parameters\": [");
    for (int i = 0; i < k->n_parameters; i++) {
        sink_add(s, i == 0 ? "\n    " : ",\n    ");
        json_parameter(s, k, &k->parameters[i]);
    }
    sink_add(s, "]}");
}
