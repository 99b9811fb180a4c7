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
