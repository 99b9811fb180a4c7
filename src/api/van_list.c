/* The van for people: its items and wires, what the file says about each, and what was taken where it is silent. See
 * lw_van_list in loomwall/van.h. */
#include "api/handles.h"
#include "api/text.h"
#include "read/keys.h"

#include <string.h>

/* "a, b": what was given, what was taken. */
typedef struct phrases {
    sink given, taken;
} phrases;

static phrases phrases_in(arena *a) { return (phrases){sink_in(a), sink_in(a)}; }

static void add_phrase(sink *s, const char *key, const char *value)
{
    sink_printf(s, "%s%s %s", s->n ? ", " : "", key, *value ? value : "(nothing)");
}

static void add_written(sink *s, const written *w)
{
    sink list = sink_in(s->arena);
    for (int i = 0; i < w->n_list; i++) sink_printf(&list, "%s%s", i ? ", " : "", w->list[i]);
    add_phrase(s, w->key, w->text ? w->text : arena_printf(s->arena, "[%s]", sink_text(&list)));
}

static void add_phrases(sink *s, const phrases *p)
{
    if (p->given.n) sink_printf(s, "    given  %s\n", sink_text(&p->given));
    if (p->taken.n) sink_printf(s, "    taken  %s\n", sink_text(&p->taken));
}

/* --- items --- */

static const char *setting_text(const parameter *p, const setting *s, arena *a)
{
    if (s->is_auto) return "auto";
    if (s->word) return s->word;
    if (p->is_truth) return s->number != 0 ? "true" : "false";
    if (p->is_count) return arena_printf(a, "%.0f", s->number);
    return quantity_text(s->number, s->dimension, 4, a);
}

static bool is_told_elsewhere(const char *key)
{
    return strcmp(key, "kind") == 0 || strcmp(key, "name") == 0 || strcmp(key, "says") == 0 ||
           strcmp(key, "panel") == 0;
}

static phrases item_phrases(const van *v, int i, arena *a)
{
    const item *it = &v->items[i];
    const kind *k = item_kind(v, i);
    phrases out = phrases_in(a);
    for (int w = 0; w < it->given.n; w++)
        if (!is_told_elsewhere(it->given.at[w].key)) add_written(&out.given, &it->given.at[w]);
    for (int p = 0; p < k->n_parameters; p++)
        if (!it->settings[p].is_given && !written_under(&it->given, k->parameters[p].name))
            add_phrase(&out.taken, k->parameters[p].name, setting_text(&k->parameters[p], &it->settings[p], a));
    return out;
}

static void add_item(sink *s, const van *v, int i)
{
    const item *it = &v->items[i];
    sink_printf(s, "  %s: %s", it->id, item_kind(v, i)->name);
    if (strcmp(it->name, it->id) != 0) sink_printf(s, ", %s", it->name);
    if (it->panel) sink_printf(s, ", on panel %s", it->panel);
    sink_add(s, "\n");
    if (*it->says) sink_printf(s, "    %s\n", it->says);
    phrases p = item_phrases(v, i, s->arena);
    add_phrases(s, &p);
}

/* --- wires --- */

static const char *wire_default(const wire *w, int key, arena *a)
{
    switch (key) {
    case wire_length:
    case wire_size:
        return "auto";
    case wire_insulation:
        return quantity_text(w->insulation_K, DIMENSION_TEMPERATURE, 4, a);
    case wire_bundled:
        return "1";
    default:
        return NULL;
    }
}

static bool is_end(const char *key)
{
    return strcmp(key, wire_keys.rules[wire_from].name) == 0 || strcmp(key, wire_keys.rules[wire_to].name) == 0;
}

static void add_wire(sink *s, const van *v, const wire *w)
{
    phrases p = phrases_in(s->arena);
    sink_printf(s, "  %s: %s to %s%s\n", w->label, v->terminals[w->from].name, v->terminals[w->to].name,
                w->is_label_proposed ? " (label proposed)" : "");
    for (int i = 0; i < w->given.n; i++)
        if (!is_end(w->given.at[i].key)) add_written(&p.given, &w->given.at[i]);
    for (int key = 0; key < wire_keys.n; key++) {
        const char *value = wire_default(w, key, s->arena);
        if (value && !written_under(&w->given, wire_keys.rules[key].name))
            add_phrase(&p.taken, wire_keys.rules[key].name, value);
    }
    add_phrases(s, &p);
}

/* --- the van --- */

static void add_unconnected(sink *s, const van *v)
{
    bool *is_wired = ARENA_ARRAY(s->arena, bool, (size_t)v->n_terminals + 1), is_first = true;
    for (int w = 0; w < v->n_wires; w++) is_wired[v->wires[w].from] = is_wired[v->wires[w].to] = true;
    for (int t = 0; t < v->n_terminals; t++) {
        if (is_wired[t]) continue;
        sink_printf(s, "%s%s", is_first ? "\nnot connected\n  " : ", ", v->terminals[t].name);
        is_first = false;
    }
    if (!is_first) sink_add(s, "\n");
}

static lw_status list_van(sink *s, const void *what)
{
    const van *v = ((const lw_van *)what)->van;
    arena *a = s->arena;
    sink_printf(s, "%s: practice %s, air from %s to %s\n", v->name, practice_words[v->practice],
                quantity_text(v->coldest_K, DIMENSION_TEMPERATURE, 4, a),
                quantity_text(v->hottest_K, DIMENSION_TEMPERATURE, 4, a));
    sink_add(s, "\nitems\n");
    for (int i = 0; i < v->n_items; i++) add_item(s, v, i);
    sink_add(s, "\nwires\n");
    for (int w = 0; w < v->n_wires; w++) add_wire(s, v, &v->wires[w]);
    add_unconnected(s, v);
    return LW_OK;
}

lw_status lw_van_list(const lw_van *van, char **text) { return text_give(list_van, van, text); }
