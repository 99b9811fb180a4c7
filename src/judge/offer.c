/* Mends as edits. See offer.h. */
#include "judge/offer.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

mend *offer(finder *f, finding *n, const char *format, ...)
{
    char text[400];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    mend *m = ARRAY_ADD(f->arena, &n->mends);
    *m = (mend){.says = arena_text(f->arena, text)};
    return m;
}

static mend_edit *edit_at(finder *f, mend *m, mend_verb verb)
{
    mend_edit *e = ARRAY_ADD(f->arena, &m->edits);
    *e = (mend_edit){.verb = verb};
    return e;
}

void mend_put(finder *f, mend *m, const char *section, const char *id, const char *key, int entry, const char *text)
{
    mend_edit *e = edit_at(f, m, MEND_PUT);
    e->path[e->n_path++] = section;
    e->path[e->n_path++] = id;
    if (key) e->path[e->n_path++] = key;
    if (entry >= 0) e->path[e->n_path++] = arena_printf(f->arena, "%d", entry);
    e->text = text;
}

void mend_drop(finder *f, mend *m, const char *section, const char *id)
{
    mend_edit *e = edit_at(f, m, MEND_DROP);
    e->path[e->n_path++] = section;
    e->path[e->n_path++] = id;
}

static void add_key(mend_edit *e, const char *key, const char *text)
{
    if (text) e->keys[e->n_keys++] = (mend_key){key, text};
}

void mend_wire(finder *f, mend *m, int from, int to, const char *length, conductor_size size, const char *colour)
{
    mend_edit *e = edit_at(f, m, MEND_WIRE);
    add_key(e, "from", f->van->terminals[from].name);
    add_key(e, "to", f->van->terminals[to].name);
    add_key(e, "length", length);
    if (size.series != SIZE_UNSET) add_key(e, "size", conductor_size_text(size));
    add_key(e, "colour", colour);
}

static const char *amps(finder *f, double rating_A)
{
    char number[number_room];
    return arena_printf(f->arena, "%s A", number_short(rating_A, 6, number));
}

/* The list of ratings of a kind with a row is its row parameter. */
void mend_rating(finder *f, mend *m, int device, double rating_A)
{
    const net_element *el = element_of(f, device);
    const kind *k = item_kind(f->van, el->item);
    const char *id = f->van->items[el->item].id;
    if (el->number)
        mend_put(f, m, "items", id, k->parameters[k->terminals[k->row].row_parameter].name, el->number - 1,
                 amps(f, rating_A));
    else
        mend_put(f, m, "items", id, "rating", -1, amps(f, rating_A));
}

void mend_size(finder *f, mend *m, int wire, conductor_size size)
{
    mend_put(f, m, "wires", f->van->wires[wire].label, "size", -1, conductor_size_text(size));
}

void mend_end(finder *f, mend *m, int wire, int terminal, int instead)
{
    const char *key = f->van->wires[wire].from == terminal ? "from" : "to";
    mend_put(f, m, "wires", f->van->wires[wire].label, key, -1, f->van->terminals[instead].name);
}

/* ---- sizes ---- */

void offer_sizes(finder *f, finding *n, const sized_wire *sizes, int n_sizes)
{
    if (!n_sizes) return;
    const char **words = ARENA_ARRAY(f->arena, const char *, (size_t)n_sizes + 1);
    for (int i = 0; i < n_sizes; i++)
        words[i] = arena_printf(f->arena, "%s %s", f->van->wires[sizes[i].wire].label, size_words(sizes[i].size));
    mend *m = offer(f, n, "make %s", list_words(f, words, n_sizes));
    for (int i = 0; i < n_sizes; i++) mend_size(f, m, sizes[i].wire, sizes[i].size);
}

bool offer_thicker(finder *f, finding *n, int wire, double protector_A)
{
    sized_wire sized = {.wire = wire};
    if (f->is_tied || !study_size_thicker(f->study, wire, protector_A, &sized.size)) return false;
    offer_sizes(f, n, &sized, 1);
    return true;
}

void offer_thicker_all(finder *f, finding *n, const int *wires, int n_wires)
{
    sized_wire *sizes = ARENA_ARRAY(f->arena, sized_wire, (size_t)n_wires + 1);
    for (int i = 0; i < n_wires; i++) {
        sizes[i].wire = wires[i];
        if (!study_size_thicker(f->study, wires[i], f->study->wires[wires[i]].protector_A, &sizes[i].size)) return;
    }
    offer_sizes(f, n, sizes, n_wires);
}

void offer_rating(finder *f, finding *n, int device, double rating_A)
{
    const net_element *el = element_of(f, device);
    const char *id = f->van->items[el->item].id;
    mend *m = el->number ? offer(f, n, "put a %s fuse in %s slot %d", amps(f, rating_A), id, el->number)
                         : offer(f, n, "make %s %s", id, amps(f, rating_A));
    mend_rating(f, m, device, rating_A);
}

/* ---- wires ---- */

static bool is_row(const finder *f, int t) { return f->van->terminals[t].number > 0; }

/* A terminal that may do without this wire. */
static bool may_lose(const finder *f, int t)
{
    const terminal *at = &f->van->terminals[t];
    if (terminal_n_wires(f->van, t) > 1) return true;
    if (!item_kind(f->van, at->item)->terminals[at->template_index].may_be_open && !is_row(f, t)) return false;
    for (int o = f->van->items[at->item].first_terminal, i = 0; i < f->van->items[at->item].n_terminals; i++, o++)
        if (o != t && terminal_n_wires(f->van, o)) return true;
    return false;
}

bool is_left_over(const finder *f, int t)
{
    const int item = f->van->terminals[t].item;
    int n = 0;
    for (int w = 0; w < f->van->n_wires; w++) n += wire_is_at_item(f->van, w, item);
    return n == 1 && item_kind(f->van, item)->role == ROLE_SPREADER;
}

bool offer_without(finder *f, finding *n, int wire)
{
    const int ends[2] = {f->van->wires[wire].from, f->van->wires[wire].to};
    const char *left_over = NULL;
    for (int k = 0; k < 2; k++) {
        if (may_lose(f, ends[k])) continue;
        if (!is_left_over(f, ends[k]) || left_over) return false;
        left_over = f->van->items[f->van->terminals[ends[k]].item].id;
    }
    const char *label = f->van->wires[wire].label;
    if (left_over)
        mend_drop(f, offer(f, n, "take out %s with %s", left_over, label), "items", left_over);
    else
        mend_drop(f, offer(f, n, "take out %s", label), "wires", label);
    return true;
}

const char *usual_colour(const finder *f, const char *use)
{
    const char *wanted;
    source from;
    colour_suits(f->van->practice, use, "", &wanted, &from);
    const size_t n = strcspn(wanted, ",");
    return arena_text_n(f->arena, wanted, n);
}

bool takes_more(const finder *f, int t)
{
    const terminal *at = &f->van->terminals[t];
    const int takes = item_kind(f->van, at->item)->terminals[at->template_index].takes_conductors;
    return terminal_n_wires(f->van, t) < (takes > 0 ? takes : (int)limit_for(f, "stud-conductors")->value);
}

static int first_of_role(const finder *f, role wanted, const char *own)
{
    for (int i = 0; i < f->van->n_items; i++)
        if (item_kind(f->van, i)->role == wanted) return item_terminal(f->van, i, own);
    return -1;
}

int return_place(const finder *f, int block)
{
    const int bar = study_return_bar(f->study, block);
    if (bar >= 0) return item_free_of_row(f->van, bar);
    int t = first_of_role(f, ROLE_SHUNT, "load");
    if (t < 0) t = first_of_role(f, ROLE_BATTERY, "neg");
    return t >= 0 && takes_more(f, t) ? t : -1;
}
