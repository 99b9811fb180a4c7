/* New entries as text. See edit_write.h. */
#include "read/edit_write.h"

#include <ctype.h>
#include <string.h>

enum { step = 2, pad_most = 40 };

writer writer_of(const edit_text *t, const node *root)
{
    scalar_quotes quotes = root->first ? quotes_of(t->text[key_start_of(t, root->first)]) : QUOTES_IF_NEEDED;
    return (writer){t, quotes, root->is_flow && quotes == QUOTES_DOUBLE};
}

/* ---- scalars and keys ---- */

static bool is_number(const char *text)
{
    size_t n = strspn(text, "0123456789");
    return n > 0 && text[n] == '\0';
}

static const char *scalar(const writer *w, const draft *d, bool is_in_flow)
{
    bool is_quoted = d->was && d->was->form == NODE_SCALAR && !d->was->is_plain;
    scalar_place where = {.is_in_flow = is_in_flow};
    if (is_quoted)
        where.quotes = quotes_of(w->text->text[start_of(w->text, d->was)]);
    else if (w->is_json && !d->was && !d->is_plain && !is_number(d->text))
        where.quotes = QUOTES_DOUBLE;
    return scalar_written(w->text->arena, d->text, d->is_plain && is_word_of_yaml(d->text), where);
}

const char *written_key(const writer *w, const char *key, const node *neighbour, bool is_in_flow)
{
    scalar_quotes quotes =
        neighbour && neighbour->key ? quotes_of(w->text->text[key_start_of(w->text, neighbour)]) : w->key_quotes;
    return scalar_written(w->text->arena, key, false,
                          (scalar_place){.is_in_flow = is_in_flow, .is_key = true, .quotes = quotes});
}

/* ---- neighbours ---- */

static const node *entry_of(const node *n, const char *key)
{
    return n && key && n->form == NODE_MAPPING ? node_get(n, key) : NULL;
}

static models models_within(models like, const draft *entry)
{
    return (models){entry_of(like.near, entry->key), entry_of(like.far, entry->key)};
}

static int key_column(const writer *w, const node *n) { return n ? column_of(w->text, key_start_of(w->text, n)) : -1; }

/* The key in front of an entry. */
static const char *key_before(const node *mapping, const node *entry)
{
    const node *before = mapping->first;
    while (before && before->next != entry) before = before->next;
    return before ? before->key : "";
}

/* Where the value starts, if that is on the line of its key. */
static int value_column(const writer *w, const node *n)
{
    if (!n || !n->key || n->start == n->end) return -1;
    size_t key = key_start_of(w->text, n), start = start_of(w->text, n);
    return holds_break(w->text, key, start) ? -1 : column_of(w->text, start);
}

/* The column that both neighbours keep to, or -1. */
static int common(int near, int far) { return near >= 0 && near == far ? near : -1; }

static int width_of(const char *text)
{
    int width = 0;
    for (; *text; text++) width += ((unsigned char)*text & 0xC0) != 0x80;
    return width;
}

static void add_spaces(sink *s, int n) { sink_printf(s, "%*s", n > 0 ? n : 0, ""); }

/* Spaces up to a column, at least one. */
static void pad_to(sink *s, int now, int column)
{
    int n = column - now;
    add_spaces(s, n > 1 && n <= pad_most ? n : 1);
}

/* ---- in brackets ---- */

static void add_flow(const writer *w, sink *s, const draft *d, models like, int column);

/* `column` is that of the end of the sink, or -1; the one behind the entry comes back. */
static void add_flow_entry(const writer *w, sink *s, const draft *e, models like, const node *first, int column)
{
    size_t from = s->n;
    if (e->key) sink_printf(s, "%s: ", written_key(w, e->key, first, true));
    add_flow(w, s, e, like, column < 0 ? -1 : column + width_of(sink_text(s) + from));
}

static void add_flow(const writer *w, sink *s, const draft *d, models like, int column)
{
    if (d->form == NODE_SCALAR) {
        sink_add(s, scalar(w, d, true));
        return;
    }
    bool is_mapping = d->form == NODE_MAPPING;
    size_t from = s->n;
    sink_add(s, is_mapping ? "{" : "[");
    const char *before = "";
    for (const draft *e = d->first; e; before = is_mapping ? e->key : "", e = e->next) {
        models within = models_within(like, e);
        int now = column < 0 ? -1 : column + width_of(s->at + from);
        if (e != d->first) {
            sink_add(s, ",");
            bool is_guided =
                now >= 0 && within.near && within.far && strcmp(key_before(like.near, within.near), before) == 0;
            pad_to(s, now + 1, is_guided ? common(key_column(w, within.near), key_column(w, within.far)) : -1);
            now = column < 0 ? -1 : column + width_of(s->at + from);
        }
        add_flow_entry(w, s, e, within, like.near ? like.near->first : NULL, now);
    }
    sink_add(s, is_mapping ? "}" : "]");
}

const char *written_value(const writer *w, const draft *d, models like, bool is_in_flow)
{
    if (d->form == NODE_SCALAR) return scalar(w, d, is_in_flow);
    sink s = sink_in(w->text->arena);
    add_flow(w, &s, d, like, -1);
    return sink_text(&s);
}

const char *written_flow_entry(const writer *w, const draft *d, models like, int column)
{
    sink s = sink_in(w->text->arena);
    add_flow_entry(w, &s, d, column < 0 ? (models){0} : like, like.near, column);
    return sink_text(&s);
}

/* ---- in lines ---- */

static void add_lines(const writer *w, sink *s, const draft *d, models like, int column, bool has_start);

static bool holds_mapping(const draft *d)
{
    for (const draft *e = d->first; e; e = e->next)
        if (e->n > 0 && (e->form == NODE_MAPPING || holds_mapping(e))) return true;
    return false;
}

/* Whether a value goes in lines: as its neighbour does, else when it would be hard to read in one. */
static bool is_in_lines(const draft *d, const node *like)
{
    if (d->form == NODE_SCALAR || d->n == 0) return false;
    bool is_guided = like && like->form == d->form && like->n > 0 && like->first->form == d->first->form;
    return is_guided ? !like->is_flow : holds_mapping(d);
}

static int column_within(const writer *w, const node *like, int column)
{
    if (!like || !like->first || like->is_flow || like->form == NODE_SCALAR) return column + step;
    int own = like->key ? key_column(w, like) : -1, its = (int)like->where.column - 1;
    return own >= 0 && its >= own ? column + its - own : column + step;
}

static void add_line_end(const writer *w, sink *s) { sink_add(s, w->text->line_break); }

static void add_entries(const writer *w, sink *s, const draft *d, models like, int column, bool has_start)
{
    for (const draft *e = d->first; e; e = e->next, has_start = false)
        add_lines(w, s, e, models_within(like, e), column, has_start);
}

/* An entry of a list behind its dash. */
static void add_listed(const writer *w, sink *s, const draft *d, models like, int column)
{
    sink_add(s, "- ");
    if (is_in_lines(d, like.near)) {
        add_entries(w, s, d, like, column + step, true);
    } else if (d->form == NODE_SCALAR) {
        sink_add(s, scalar(w, d, false));
        add_line_end(w, s);
    } else {
        add_flow(w, s, d, like, column + step);
        add_line_end(w, s);
    }
}

/* `has_start`: the line has its indentation, behind a dash. */
static void add_lines(const writer *w, sink *s, const draft *d, models like, int column, bool has_start)
{
    if (!has_start) add_spaces(s, column);
    if (!d->key) {
        add_listed(w, s, d, like, column);
        return;
    }
    const char *key = written_key(w, d->key, like.near, false);
    sink_printf(s, "%s:", key);
    if (is_in_lines(d, like.near)) {
        add_line_end(w, s);
        add_entries(w, s, d, like, column_within(w, like.near, column), false);
        return;
    }
    int now = column + width_of(key) + 1, near = value_column(w, like.near), far = value_column(w, like.far);
    int to = common(near, far);
    pad_to(s, now, to);
    if (d->form == NODE_SCALAR)
        sink_add(s, scalar(w, d, false));
    else
        add_flow(w, s, d, like, to > now ? to : now + 1);
    add_line_end(w, s);
}

const char *written_lines(const writer *w, const draft *d, models like, int column)
{
    sink s = sink_in(w->text->arena);
    add_lines(w, &s, d, like, column, false);
    return sink_text(&s);
}

const char *written_entries(const writer *w, const draft *d, int column)
{
    sink s = sink_in(w->text->arena);
    add_entries(w, &s, d, (models){0}, column, false);
    return sink_text(&s);
}
