#include "judge/find.h"

#include <string.h>

finding *raise_finding(finder *f, place where)
{
    int n;
    const rule *r = &rules(&n)[f->rule];
    finding *new = ARRAY_ADD(f->arena, &f->findings);
    *new = (finding){.rule = f->rule, .gate = r->gate, .grade = r->grade, .place = where};
    new->value = new->limit = NAN;
    new->unit = new->says = new->source = new->remedy = "";
    return new;
}

enum { where_most = 24 };

void add_where(finder *f, finding *n, const char *reference)
{
    for (int i = 0; i < n->n_where; i++)
        if (!strcmp(n->where[i], reference)) return;
    if (!n->where) n->where = ARENA_ARRAY(f->arena, const char *, where_most);
    if (n->n_where < where_most) n->where[n->n_where++] = reference;
}

void add_wire(finder *f, finding *n, int index)
{
    add_where(f, n, arena_printf(f->arena, "wire %s", f->van->wires[index].label));
}

void add_item(finder *f, finding *n, int index)
{
    add_where(f, n, arena_printf(f->arena, "item %s", f->van->items[index].id));
}

void add_terminal(finder *f, finding *n, int index)
{
    add_where(f, n, arena_printf(f->arena, "terminal %s", f->van->terminals[index].name));
}

static bool is_at_rest(const item *it, const kind *k, position p)
{
    return k->dial >= 0 ? p.fraction == it->positions[0].fraction : p.index == it->positions[0].index;
}

/* Only items that stand where they do by themselves or by a hand, and not at rest, say when it is worst. */
void set_positions(finder *f, finding *n, const position *positions)
{
    if (!positions) return;
    const van *v = f->van;
    int *items = ARENA_ARRAY(f->arena, int, v->n_items + 1);
    n->n_position_items = 0;
    for (int i = 0; i < v->n_items; i++) {
        const kind *k = item_kind(v, i);
        if (v->items[i].n_positions < 2 || kind_coil(k) >= 0) continue;
        if (!is_at_rest(&v->items[i], k, positions[i])) items[n->n_position_items++] = i;
    }
    n->positions = positions;
    n->position_items = items;
}

void set_value(finding *n, double value, double limit, const char *unit)
{
    n->value = value;
    n->limit = limit;
    n->unit = unit;
}

void set_source(finder *f, finding *n, const source *from) { n->source = source_text(from, f->arena); }

const char *num(finder *f, double value)
{
    char text[number_room];
    return arena_text(f->arena, number_short(value, 3, text));
}

const char *item_words(finder *f, int index)
{
    const item *it = &f->van->items[index];
    if (!it->name || !strcmp(it->name, it->id)) return it->id;
    return arena_printf(f->arena, "%s (%s)", it->id, it->name);
}

const char *size_words(conductor_size size)
{
    return size.series == SIZE_UNSET ? "no size" : conductor_size_text(size);
}

const char *list_words(finder *f, const char *const *words, int n)
{
    enum { named_most = 6 };
    sink s = sink_in(f->arena);
    const int n_named = n > named_most + 1 ? named_most : n;
    for (int i = 0; i < n_named; i++) {
        if (i) sink_add(&s, i == n_named - 1 && n_named == n ? " and " : ", ");
        sink_add(&s, words[i]);
    }
    if (n_named < n) sink_printf(&s, " and %d more", n - n_named);
    return sink_text(&s);
}

const limit *limit_for(const finder *f, const char *name) { return limit_of(f->van->practice, name); }

const net_element *element_of(const finder *f, int element) { return &f->study->nets[SEASON_HARD]->elements[element]; }

static device_style style_of(const finder *f, int element)
{
    const setting *style = item_setting(f->van, element_of(f, element)->item, "style");
    device_style found = DEVICE_BLADE;
    if (style && style->word) device_style_of(style->word, &found);
    return found;
}

double rating_at_least(const finder *f, int element, double amps)
{
    int n;
    source from;
    const double *ratings_A = device_ratings(style_of(f, element), &n, &from);
    for (int i = 0; i < n; i++)
        if (ratings_A[i] >= amps) return ratings_A[i];
    return 0;
}

double rating_at_most(const finder *f, int element, double amps)
{
    int n;
    source from;
    const double *ratings_A = device_ratings(style_of(f, element), &n, &from);
    double found_A = 0;
    for (int i = 0; i < n; i++)
        if (ratings_A[i] <= amps) found_A = ratings_A[i];
    return found_A;
}

const char *device_words(finder *f, int element)
{
    const net_element *el = element_of(f, element);
    const char *id = f->van->items[el->item].id;
    if (el->number) return arena_printf(f->arena, "%s, slot %d (%s A)", id, el->number, num(f, el->rating_A));
    return arena_printf(f->arena, "%s (%s A)", id, num(f, el->rating_A));
}

bool is_too_warm(const finder *f, int wire) { return f->study->wires[wire].ambient_factor <= 0; }

void mend_too_warm(finder *f, finding *n, int wire)
{
    MEND(f, n, "Take insulation that is rated for more than %s degC, well above the air around it.",
         num(f, f->van->wires[wire].insulation_K - 273.15));
}

bool is_explained(const finder *f, const load_study *l)
{
    return f->is_shorted || f->is_swapped[l->feed->item] || f->is_open[l->feed->item];
}

bool has_dark_lamp(const finder *f, int index)
{
    const item_study *is = &f->study->items[index];
    if (is->lamp < 0 || !is->is_lamp_wired || f->is_open[index] || f->is_shorted) return false;
    if (is->lamp_lit_when_closed || !is->is_live_when_closed) return false;
    return !is->lamp_ever_lit || is->lamp_lit_when_open;
}

bool is_bypassed(const finder *f, int element)
{
    return f->study->solid[element_of(f, element)->a] == f->study->solid[element_of(f, element)->b];
}
