/* A kind as JSON: what `loomwall kinds NAME --json` prints. See kinds.h. */
#include "api/kinds.h"
#include "api/text.h"

static void json_kind_terminals(sink *s, const kind *k)
{
    sink_add(s, "\"terminals\": [");
    for (int i = 0; i < k->n_terminals; i++) {
        const terminal_template *t = &k->terminals[i];
        sink_add(s, i == 0 ? "{\"terminal\": " : ", {\"terminal\": ");
        json_string(s, t->is_row ? "1..n" : t->name);
        if (t->is_row) {
            sink_add(s, ", \"counted_by\": ");
            json_string(s, k->parameters[t->row_parameter].name);
        }
        sink_add(s, ", \"open_allowed\": ");
        json_truth(s, t->may_be_open);
        sink_add(s, "}");
    }
    sink_add(s, "]");
}

static void json_words(sink *s, const char *const *words, int n)
{
    sink_add(s, "[");
    for (int i = 0; i < n; i++) {
        if (i > 0) sink_add(s, ", ");
        json_string(s, words[i]);
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
            json_string(s, quantity_text(p->preset.number, p->preset.dimension, 6, s->arena));
        }
        return;
    case VALUE_WORD:
        json_string(s, p->preset.word);
        return;
    case VALUE_NONE:
    case VALUE_PARAMETER:
        break;
    }
    sink_add(s, p->is_auto ? "\"auto\"" : "null");
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
        json_string(s, sink_text(&sum));
    }
}

static void json_parameter(sink *s, const parameter *p)
{
    sink_add(s, "{\"parameter\": ");
    json_string(s, p->name);
    sink_add(s, ", \"says\": ");
    json_string(s, p->says ? p->says : "");
    json_parameter_takes(s, p);
    sink_add(s, ", \"list\": ");
    json_truth(s, p->is_list);
    sink_add(s, ", \"default\": ");
    json_preset(s, p);
    sink_add(s, ", \"source\": ");
    json_string(s, p->from.document ? source_text(&p->from, s->arena) : "");
    sink_add(s, "}");
}

void json_kind(sink *s, const kind *k)
{
    sink_add(s, "{\"kind\": ");
    json_string(s, k->name);
    sink_add(s, ", \"says\": ");
    json_string(s, k->says);
    sink_add(s, ",\n  ");
    json_kind_terminals(s, k);
    sink_add(s, ",\n  \"positions\": ");
    json_words(s, k->positions, k->n_positions);
    sink_add(s, ", \"dial\": ");
    json_string_or_null(s, k->dial < 0 ? NULL : k->parameters[k->dial].name);
    sink_add(s, ",\n  \"parameters\": [");
    for (int i = 0; i < k->n_parameters; i++) {
        sink_add(s, i == 0 ? "\n    " : ",\n    ");
        json_parameter(s, &k->parameters[i]);
    }
    sink_add(s, "]}");
}
