/* A plan into a file: its items behind the last item, its wires behind the last wire, and longer rows in their place. See
 * write.h. What comes out is read again by whoever asked for it. */
#include "ready/write.h"

#include "read/edit_text.h"
#include <string.h>

#define WHY(p, ...) ((p)->why = arena_printf((p)->arena, __VA_ARGS__), false)

typedef struct rewriting {
    plan *p;
    edit_text text;
} rewriting;

/* Lines of the plan with the line ends of the file. */
static const char *broken(const rewriting *w, const char *lines)
{
    if (!strcmp(w->text.line_break, "\n")) return lines;
    sink s = sink_in(w->p->arena);
    for (const char *c = lines; *c; c++) {
        if (*c == '\n')
            sink_add(&s, w->text.line_break);
        else
            sink_add_n(&s, c, 1);
    }
    return sink_text(&s);
}

typedef void add_lines(const plan *p, int section, int indent, sink *s);

/* Where the entries of a mapping without any can start: behind its key, whose braces go, and the comments that are further
 * to the right. */
static size_t opened(edit_text *t, const node *mapping)
{
    const size_t from = start_of(t, mapping), column = (size_t)column_of(t, key_start_of(t, mapping));
    const size_t braced = end_of(t, mapping);
    if (braced > from) splice_in(t, from, braced - from, "");
    size_t at = after_line(t, key_start_of(t, mapping));
    while (at < t->n) {
        const size_t n_blank = strspn(t->text + at, " ");
        if (n_blank <= column || t->text[at + n_blank] != '#') break;
        at = after_line(t, at);
    }
    return at;
}

/* Behind the last entry of a mapping whose entries have lines of their own. */
static bool append(rewriting *w, const node *mapping, const char *key, add_lines *add)
{
    plan *p = w->p;
    sink lines = sink_in(p->arena);
    const bool is_new = !mapping || !mapping->first;
    if (mapping && mapping->first && mapping->is_flow)
        return WHY(p, "`%s` stands in braces on one line; give each entry a line of its own, then try again", key);
    const int indent = is_new ? 2 : (int)mapping->first->key_where.column - 1;
    if (!mapping) sink_printf(&lines, "\n%s:\n", key);
    for (size_t i = 0; i < p->sections.n; i++) {
        sink own = sink_in(p->arena);
        add(p, (int)i, indent, &own);
        if (!own.n) continue;
        sink_printf(&lines, "%s%*s# ---- %s ----\n%s", is_new && !i ? "" : "\n", indent, "", p->sections.at[i],
                    sink_text(&own));
    }
    edit_text *t = &w->text;
    const size_t at = !mapping ? t->n : is_new ? opened(t, mapping) : after_value(t, mapping);
    splice_lines(t, at, 0, broken(w, sink_text(&lines)));
    return true;
}

static bool rows_write(rewriting *w, const node *items)
{
    const plan *p = w->p;
    for (size_t i = 0; i < p->rows.n; i++) {
        const item *it = &p->van->items[p->rows.at[i].item];
        const kind *k = item_kind(p->van, p->rows.at[i].item);
        const char *key = k->parameters[k->terminals[k->row].row_parameter].name;
        const node *row = node_get(node_get(items, it->id), key);
        if (!row || (row->form != NODE_SCALAR && !row->is_flow))
            return WHY(w->p, "`%s` of %s must stand in brackets on its line, as `%s: [5 A, 10 A]`, to be made longer",
                       key, it->id, key);
        splice_in(&w->text, start_of(&w->text, row), end_of(&w->text, row) - start_of(&w->text, row),
                  plan_row_text(p, &p->rows.at[i]));
    }
    return true;
}

const char *plan_written(plan *p, void *file)
{
    const written_file *f = file;
    const node *root = tree_read(p->arena, f->text, f->n, report_create(p->arena, "file"));
    rewriting w = {.p = p, .text = edit_text_of(p->arena, f->text, f->n)};
    const node *items = node_get(root, "items"), *wires = node_get(root, "wires");
    if (root->is_flow) return (void)WHY(p, "the file stands in braces; write it in lines, then try again"), NULL;
    if (!rows_write(&w, items) || !append(&w, items, "items", plan_item_lines) ||
        !append(&w, wires, "wires", plan_wire_lines))
        return NULL;
    return spliced(&w.text);
}
