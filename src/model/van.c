/* Looking things up in a van. */
#include "model/van.h"

#include "base/print.h"
#include <stdlib.h>
#include <string.h>

int van_item(const van *v, const char *id) { return names_find(v->item_names, id); }
int van_terminal(const van *v, const char *name) { return names_find(v->terminal_names, name); }
int van_wire(const van *v, const char *label) { return names_find(v->wire_names, label); }

const kind *item_kind(const van *v, int item) { return &v->kinds[v->items[item].kind]; }

const setting *item_setting(const van *v, int item, const char *parameter)
{
    int p = kind_parameter(item_kind(v, item), parameter);
    return p < 0 ? NULL : &v->items[item].settings[p];
}

double item_number(const van *v, int item, const char *parameter, double otherwise)
{
    const setting *s = item_setting(v, item, parameter);
    return s && !s->is_auto ? s->number : otherwise;
}

const written *written_under(const writing *w, const char *key)
{
    for (int i = 0; i < w->n; i++)
        if (strcmp(w->at[i].key, key) == 0) return &w->at[i];
    return NULL;
}

int item_terminal(const van *v, int item, const char *name)
{
    const struct item *it = &v->items[item];
    size_t n_id = strlen(it->id) + 1; /* "pump." comes before the terminal's own name */
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        if (strcmp(v->terminals[t].name + n_id, name) == 0) return t;
    return -1;
}

const char *position_text(const van *v, int item, position p, arena *a)
{
    const kind *k = item_kind(v, item);
    if (k->dial < 0) return k->positions[p.index];
    char percent[number_room];
    return arena_printf(a, "%s %%", number_short(100 * p.fraction, 4, percent));
}

static const terminal_template *template_of(const van *v, int t)
{
    return &item_kind(v, v->terminals[t].item)->terminals[v->terminals[t].template_index];
}

int terminal_fit(const van *v, int terminal, double area_m2)
{
    const terminal_template *t = template_of(v, terminal);
    if (t->smallest_m2 > 0 && area_m2 < t->smallest_m2 * 0.98) return -1;
    return t->largest_m2 > 0 && area_m2 > t->largest_m2 * 1.02;
}

int terminal_n_wires(const van *v, int terminal)
{
    int n = 0;
    for (int w = 0; w < v->n_wires; w++) n += v->wires[w].from == terminal || v->wires[w].to == terminal;
    return n;
}

int item_free_of_row(const van *v, int item)
{
    const struct item *it = &v->items[item];
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        if (v->terminals[t].number && !terminal_n_wires(v, t)) return t;
    return -1;
}

bool item_is_fuse_block(const van *v, int item)
{
    return item_kind(v, item)->role == ROLE_PROTECTION && item_kind(v, item)->row >= 0;
}

bool item_is_bar(const van *v, int item)
{
    const kind *k = item_kind(v, item);
    return k->role == ROLE_SPREADER && k->row >= 0 && kind_parameter(k, "studs") >= 0;
}

bool wire_is_at_item(const van *v, int wire, int item)
{
    return v->terminals[v->wires[wire].from].item == item || v->terminals[v->wires[wire].to].item == item;
}
