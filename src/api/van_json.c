/* The van as JSON: what the file says, each value in the words in which it was written, so that a field of a form shows
 * what the builder wrote. See lw_van_json in loomwall/van.h. */
#include "api/handles.h"
#include "api/kinds.h"
#include "api/text.h"
#include "read/keys.h"

#include <string.h>

/* --- what was written --- */

static void json_written(sink *s, const written *w)
{
    if (w->text) {
        json_text(s, w->text);
    } else {
        json_words(s, w->list, w->n_list);
    }
}

typedef bool key_filter(const void *context, const char *key);

static void json_writing(sink *s, const writing *w, key_filter *is_wanted, const void *context)
{
    bool is_first = true;
    sink_add(s, "{");
    for (int i = 0; i < w->n; i++) {
        if (!is_wanted(context, w->at[i].key)) continue;
        sink_add(s, is_first ? "" : ", ");
        is_first = false;
        json_text(s, w->at[i].key);
        sink_add(s, ": ");
        json_written(s, &w->at[i]);
    }
    sink_add(s, "}");
}

static const char *text_under(const writing *w, const char *key)
{
    const written *found = written_under(w, key);
    return found && found->text ? found->text : "";
}

static void json_list_under(sink *s, const writing *w, const char *key)
{
    const written *found = written_under(w, key);
    json_words(s, found ? found->list : NULL, found ? found->n_list : 0);
}

/* --- items --- */

/* The wires at each terminal, in the order of the file. */
typedef struct endings {
    int *first, *wires;
} endings;

static endings endings_of(arena *a, const van *v)
{
    endings e = {ARENA_ARRAY(a, int, (size_t)v->n_terminals + 2), ARENA_ARRAY(a, int, 2 * (size_t)v->n_wires + 1)};
    int *next = e.first + 1; /* where the wires of a terminal go on; at last, where the next one's start */
    for (int w = 0; w < v->n_wires; w++) {
        const int ends[] = {v->wires[w].from, v->wires[w].to};
        for (int end = 0; end < 2; end++)
            if (ends[end] + 1 < v->n_terminals) next[ends[end] + 1]++;
    }
    for (int t = 1; t < v->n_terminals; t++) next[t] += next[t - 1];
    for (int w = 0; w < v->n_wires; w++) {
        e.wires[next[v->wires[w].from]++] = w;
        e.wires[next[v->wires[w].to]++] = w;
    }
    return e;
}

static void json_terminal(sink *s, const van *v, const endings *e, int t)
{
    const terminal *at = &v->terminals[t];
    sink_add(s, "{\"id\": ");
    json_text(s, at->name);
    sink_add(s, ", \"word\": ");
    json_text(s, strrchr(at->name, '.') + 1);
    sink_add(s, ", \"wires\": [");
    for (int i = e->first[t]; i < e->first[t + 1]; i++) {
        sink_add(s, i == e->first[t] ? "" : ", ");
        json_text(s, v->wires[e->wires[i]].label);
    }
    sink_add(s, "], \"open_allowed\": ");
    json_truth(s, item_kind(v, at->item)->terminals[at->template_index].may_be_open);
    sink_add(s, "}");
}

static void json_positions(sink *s, const van *v, int i)
{
    const item *it = &v->items[i];
    const kind *k = item_kind(v, i);
    sink_add(s, ", \"positions\": [");
    for (int p = 0; p < it->n_positions; p++) {
        sink_add(s, p == 0 ? "" : ", ");
        json_text(s, position_text(v, i, it->positions[p], s->arena));
    }
    sink_add(s, "], \"dial\": ");
    json_text_or_null(s, k->dial < 0 ? NULL : k->parameters[k->dial].name);
    sink_add(s, ", \"moved_by_coil\": ");
    json_truth(s, kind_coil(k) >= 0);
}

static bool is_parameter(const void *kind_of_it, const char *key) { return kind_parameter(kind_of_it, key) >= 0; }

static void json_item(sink *s, const van *v, const endings *e, int i)
{
    const item *it = &v->items[i];
    const kind *k = item_kind(v, i);
    sink_add(s, "{\"id\": ");
    json_text(s, it->id);
    sink_add(s, ", \"kind\": ");
    json_text(s, k->name);
    sink_printf(s, ", \"role\": \"%s\", \"name\": ", role_word(k->role));
    json_text(s, text_under(&it->given, "name"));
    sink_add(s, ", \"says\": ");
    json_text(s, it->says);
    sink_add(s, ", \"panel\": ");
    json_text(s, it->panel ? it->panel : "");
    sink_add(s, ", \"critical\": ");
    if (written_under(&it->given, "critical")) {
        json_truth(s, it->is_critical);
    } else {
        sink_add(s, "null");
    }
    json_positions(s, v, i);
    sink_add(s, ", \"is_charger\": ");
    json_truth(s, k->role == ROLE_CHARGER);
    sink_add(s, ",\n   \"positions_given\": ");
    json_list_under(s, &it->given, "positions");
    sink_add(s, ", \"never_with\": ");
    json_list_under(s, &it->given, "never-with");
    sink_add(s, ", \"given\": ");
    json_writing(s, &it->given, is_parameter, k);
    sink_add(s, ",\n   \"terminals\": [");
    for (int t = 0; t < it->n_terminals; t++) {
        sink_add(s, t == 0 ? "" : ",\n     ");
        json_terminal(s, v, e, it->first_terminal + t);
    }
    sink_printf(s, "], \"line\": %u}", it->where.line);
}

/* --- wires, decisions --- */

static bool is_wire_value(const void *context, const char *key)
{
    (void)context;
    return strcmp(key, wire_keys.rules[wire_from].name) != 0 && strcmp(key, wire_keys.rules[wire_to].name) != 0;
}

static void json_wire(sink *s, const van *v, const wire *w)
{
    sink_add(s, "{\"label\": ");
    json_text(s, w->label);
    sink_add(s, ", \"from\": ");
    json_text(s, v->terminals[w->from].name);
    sink_add(s, ", \"to\": ");
    json_text(s, v->terminals[w->to].name);
    sink_add(s, ", \"given\": ");
    json_writing(s, &w->given, is_wire_value, NULL);
    sink_add(s, ", \"is_proposed\": ");
    json_truth(s, w->is_label_proposed);
    sink_printf(s, ", \"line\": %u}", w->where.line);
}

static void json_decision(sink *s, const decision *d)
{
    sink_add(s, "{\"rule\": ");
    json_text(s, d->rule);
    sink_add(s, ", \"where\": ");
    json_text_or_null(s, d->where);
    sink_add(s, ", \"why\": ");
    json_text_or_null(s, d->why);
    sink_add(s, ", \"date\": ");
    json_text_or_null(s, d->date);
    sink_printf(s, ", \"line\": %u}", d->place.line);
}

/* --- the van --- */

static bool is_any(const void *context, const char *key)
{
    (void)context, (void)key;
    return true;
}

static void json_head(sink *s, const van *v)
{
    sink_add(s, "{\"name\": ");
    json_text(s, v->name);
    sink_add(s, ", \"says\": ");
    json_text(s, v->says);
    sink_printf(s, ", \"practice\": \"%s\", \"own_revision\": ", practice_words[v->practice]);
    json_text(s, v->revision);
    sink_add(s, ",\n \"conditions\": ");
    json_writing(s, &v->conditions, is_any, NULL);
    sink_add(s, ", \"panels\": ");
    json_words(s, v->panels, v->n_panels);
}

/* Kinds that the file adds to the built-in ones. */
static void json_own_kinds(sink *s, const van *v)
{
    bool is_first = true;
    sink_add(s, ",\n \"kinds\": [");
    for (int k = 0; k < v->n_kinds; k++) {
        if (v->kinds[k].is_built_in) continue;
        sink_add(s, is_first ? "\n" : ",\n");
        is_first = false;
        json_kind(s, &v->kinds[k]);
    }
    sink_add(s, "]");
}

static lw_status json_van(sink *s, const void *what)
{
    const van *v = ((const lw_van *)what)->van;
    endings e = endings_of(s->arena, v);
    json_head(s, v);
    sink_add(s, ",\n \"items\": [");
    for (int i = 0; i < v->n_items; i++) {
        sink_add(s, i == 0 ? "\n  " : ",\n  ");
        json_item(s, v, &e, i);
    }
    sink_add(s, "],\n \"wires\": [");
    for (int w = 0; w < v->n_wires; w++) {
        sink_add(s, w == 0 ? "\n  " : ",\n  ");
        json_wire(s, v, &v->wires[w]);
    }
    sink_add(s, "],\n \"retired\": ");
    json_words(s, v->retired_labels, v->n_retired);
    sink_add(s, ",\n \"decided\": [");
    for (int d = 0; d < v->n_decisions; d++) {
        sink_add(s, d == 0 ? "\n  " : ",\n  ");
        json_decision(s, &v->decisions[d]);
    }
    sink_add(s, "]");
    json_own_kinds(s, v);
    sink_add(s, ",\n \"next_label\": ");
    json_text_or_null(s, v->next_label);
    sink_add(s, "}\n");
    return LW_OK;
}

lw_status lw_van_json(const lw_van *van, char **json) { return text_give(json_van, van, json); }
