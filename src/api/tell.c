/* What the program knows. See loomwall/tell.h. */
#include "loomwall/tell.h"
#include "api/text.h"
#include "judge/judge.h"
#include "read/read.h"

#include <math.h>
#include <string.h>

typedef struct question {
    const char *name;
    lw_form form;
    practice practice;
    double nominal_V;
} question;

/* Pads to a column; columns count code points, and names are ASCII. */
static void add_padded(sink *s, const char *text, int width) { sink_printf(s, "%-*s", width, text); }

static lw_status refuse(sink *s, const char *what, const char *name, const char *const *names, int n,
                        const char *command)
{
    sink_printf(s, "there is no %s `%s`; %s", what, name,
                text_suggestion(name, names, n, arena_printf(s->arena, "`%s` lists them", command), s->arena));
    return LW_REFUSED;
}

/* --- kinds --- */

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

static void json_kind(sink *s, const kind *k)
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

static lw_status one_kind(sink *s, const kind *k, lw_form form)
{
    if (form == LW_TEXT) {
        sink_add(s, kind_text(k, s->arena));
    } else {
        json_kind(s, k);
        sink_add(s, "\n");
    }
    return LW_OK;
}

static void all_kinds(sink *s, const kind *kinds, int n, lw_form form)
{
    if (form == LW_JSON) sink_add(s, "{\"kinds\": [");
    for (int i = 0; i < n; i++) {
        if (form == LW_JSON) {
            sink_add(s, i == 0 ? "\n " : ",\n ");
            json_kind(s, &kinds[i]);
        } else {
            add_padded(s, kinds[i].name, 18);
            sink_printf(s, "%s\n", kinds[i].says);
        }
    }
    if (form == LW_JSON) sink_add(s, "]}\n");
}

static lw_status tell_kinds(sink *s, const void *what)
{
    const question *q = what;
    int n;
    const kind *kinds = built_in_kinds(s->arena, &n);
    if (!q->name) {
        all_kinds(s, kinds, n, q->form);
        return LW_OK;
    }
    const char **names = ARENA_ARRAY(s->arena, const char *, (size_t)n);
    for (int i = 0; i < n; i++) {
        names[i] = kinds[i].name;
        if (strcmp(names[i], q->name) == 0) return one_kind(s, &kinds[i], q->form);
    }
    return refuse(s, "kind", q->name, names, n, "loomwall kinds");
}

lw_status lw_kinds(const char *name, lw_form form, char **out)
{
    return text_give(tell_kinds, &(question){.name = name, .form = form}, out);
}

/* --- rules --- */

static void json_rule(sink *s, const rule *r)
{
    static const char *const gates[] = {
#define X(NAME, word) word,
        GATES(X)
#undef X
    };
    static const char *const grades[] = {
#define X(NAME, word) word,
        GRADES(X)
#undef X
    };
    sink_add(s, "{\"rule\": ");
    json_string(s, r->id);
    sink_printf(s, ", \"gate\": \"%s\", \"grade\": \"%s\",\n  \"means\": ", gates[r->gate], grades[r->grade]);
    json_string(s, r->means);
    sink_add(s, ",\n  \"matters\": ");
    json_string(s, r->matters);
    sink_add(s, ",\n  \"limits\": ");
    json_string(s, r->limits);
    sink_add(s, ",\n  \"mends\": ");
    json_string(s, r->mends);
    sink_add(s, "}");
}

static void all_rules(sink *s, const rule *table, int n, lw_form form)
{
    if (form == LW_JSON) sink_add(s, "{\"rules\": [");
    for (int i = 0; i < n; i++) {
        if (form == LW_JSON) {
            sink_add(s, i == 0 ? "\n " : ",\n ");
            json_rule(s, &table[i]);
        } else {
            add_padded(s, table[i].id, 30);
            sink_printf(s, "%s\n", table[i].means);
        }
    }
    if (form == LW_JSON) sink_add(s, "]}\n");
}

static lw_status tell_why(sink *s, const void *what)
{
    const question *q = what;
    int n;
    const rule *table = rules(&n);
    if (!q->name) {
        all_rules(s, table, n, q->form);
        return LW_OK;
    }
    int at = rule_by_id(q->name);
    if (at < 0) {
        const char **names = ARENA_ARRAY(s->arena, const char *, (size_t)n);
        for (int i = 0; i < n; i++) names[i] = table[i].id;
        return refuse(s, "rule", q->name, names, n, "loomwall why");
    }
    if (q->form == LW_TEXT) {
        sink_add(s, rule_text(at, s->arena));
    } else {
        json_rule(s, &table[at]);
        sink_add(s, "\n");
    }
    return LW_OK;
}

lw_status lw_why(const char *rule, lw_form form, char **out)
{
    return text_give(tell_why, &(question){.name = rule, .form = form}, out);
}

/* --- schema, starter --- */

static lw_status tell_schema(sink *s, const void *what)
{
    (void)what;
    sink_add(s, read_schema(s->arena));
    return LW_OK;
}

lw_status lw_schema(char **out) { return text_give(tell_schema, NULL, out); }

static const char *const practices[] = {"north-america", "europe"};
enum { n_practices = sizeof practices / sizeof practices[0] };

typedef struct starter {
    const char *practice, *name;
    double nominal_V;
} starter;

static lw_status tell_starter(sink *s, const void *what)
{
    const starter *wanted = what;
    int chosen = wanted->practice ? -1 : 0;
    for (int i = 0; i < n_practices && wanted->practice; i++) {
        if (strcmp(practices[i], wanted->practice) == 0) chosen = i;
    }
    if (chosen < 0) {
        sink_printf(s, "there is no practice `%s`; there are `north-america` and `europe`", wanted->practice);
        return LW_REFUSED;
    }
    if (wanted->nominal_V != 12 && wanted->nominal_V != 24) {
        char volts[number_room];
        sink_printf(s, "a starter file can't be made for %s V; take 12 V or 24 V",
                    number_short(wanted->nominal_V, 6, volts));
        return LW_REFUSED;
    }
    sink_add(s, starter_text((practice)chosen, wanted->nominal_V, wanted->name, s->arena));
    return LW_OK;
}

lw_status lw_starter(const char *practice, double nominal_V, const char *name, char **out)
{
    return text_give(tell_starter, &(starter){practice, name, nominal_V == 0 ? 12 : nominal_V}, out);
}
