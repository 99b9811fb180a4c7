/* A plan into a file: its items behind the last item, its wires behind the last wire, and longer rows in their place. See
 * write.h. What comes out is read again by whoever asked for it. */
#include "ready/write.h"

#include <string.h>

#define WHY(p, ...) ((p)->why = arena_printf((p)->arena, __VA_ARGS__), false)

typedef struct splice { /* n bytes at `at` give way to `text` */
    size_t at, n;
    const char *text;
} splice;

typedef struct rewriting {
    plan *p;
    const char *text;
    size_t n;
    const uint32_t *byte_of; /* of each character, and of the end */
    const char *line_break;
    ARRAY(splice) splices;
} rewriting;

static const uint32_t *index_characters(arena *a, const char *text, size_t n)
{
    uint32_t *byte_of = ARENA_ARRAY(a, uint32_t, n + 1);
    size_t n_characters = 0;
    const bool has_mark = n >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0;
    for (size_t i = has_mark ? 3 : 0; i < n; i++)
        if (((unsigned char)text[i] & 0xC0) != 0x80) byte_of[n_characters++] = (uint32_t)i;
    while (n_characters <= n) byte_of[n_characters++] = (uint32_t)n;
    return byte_of;
}

static void splice_in(rewriting *w, size_t at, size_t n, const char *text)
{
    *ARRAY_ADD(w->p->arena, &w->splices) = (splice){at, n, text};
}

static size_t after_line(const rewriting *w, size_t at)
{
    at += strcspn(w->text + at, "\n");
    return at < w->n ? at + 1 : at;
}

/* Lines of the plan with the line ends of the file. */
static const char *broken(const rewriting *w, const char *lines)
{
    if (!strcmp(w->line_break, "\n")) return lines;
    sink s = sink_in(w->p->arena);
    for (const char *c = lines; *c; c++) {
        if (*c == '\n')
            sink_add(&s, w->line_break);
        else
            sink_add_n(&s, c, 1);
    }
    return sink_text(&s);
}

typedef void add_lines(const plan *p, int section, int indent, sink *s);

/* Behind the last entry of a mapping whose entries have lines of their own. */
static bool append(rewriting *w, const node *mapping, const char *key, add_lines *add)
{
    plan *p = w->p;
    sink lines = sink_in(p->arena);
    const bool is_new = !mapping || !mapping->first;
    if (mapping && mapping->first && mapping->is_flow)
        return WHY(p, "`%s` stands in braces on one line; give each entry a line of its own, then try again", key);
    const int indent = is_new ? 2 : (int)mapping->first->key_where.column - 1;
    if (is_new) sink_printf(&lines, "%s%s:\n", mapping ? "" : "\n", key);
    for (size_t i = 0; i < p->sections.n; i++) {
        sink own = sink_in(p->arena);
        add(p, (int)i, indent, &own);
        if (!own.n) continue;
        sink_printf(&lines, "%s%*s# ---- %s ----\n%s", is_new && !i ? "" : "\n", indent, "", p->sections.at[i],
                    sink_text(&own));
    }
    size_t at = w->n, n = 0;
    if (mapping && is_new) {
        at = w->byte_of[mapping->key_start];
        n = w->byte_of[mapping->end] - at;
        if (n < strlen(key) + 1) n = strlen(key) + 1;
    } else if (mapping)
        at = after_line(w, w->byte_of[mapping->end] - 1);
    const bool is_in_line = at > 0 && w->text[at - 1] != '\n' && !n;
    splice_in(w, at, n, broken(w, arena_printf(p->arena, "%s%s", is_in_line ? "\n" : "", sink_text(&lines))));
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
        splice_in(w, w->byte_of[row->start], w->byte_of[row->end] - w->byte_of[row->start],
                  plan_row_text(p, &p->rows.at[i]));
    }
    return true;
}

static const char *spliced(rewriting *w)
{
    sink s = sink_in(w->p->arena);
    size_t at = 0;
    for (;;) {
        const splice *next = NULL;
        for (size_t i = 0; i < w->splices.n; i++)
            if (w->splices.at[i].at >= at && (!next || w->splices.at[i].at < next->at)) next = &w->splices.at[i];
        if (!next) break;
        sink_add_n(&s, w->text + at, next->at - at);
        sink_add(&s, next->text);
        at = next->at + next->n;
        w->splices.at[next - w->splices.at] = w->splices.at[--w->splices.n];
    }
    sink_add_n(&s, w->text + at, w->n - at);
    return sink_text(&s);
}

const char *plan_written(plan *p, void *file)
{
    const written_file *f = file;
    const node *root = tree_read(p->arena, f->text, f->n, report_create(p->arena, "file"));
    const char *first = strchr(f->text, '\n');
    rewriting w = {.p = p, .text = f->text, .n = f->n};
    w.line_break = first && first > f->text && first[-1] == '\r' ? "\r\n" : "\n";
    w.byte_of = index_characters(p->arena, f->text, f->n);
    const node *items = node_get(root, "items"), *wires = node_get(root, "wires");
    if (root->is_flow) return (void)WHY(p, "the file stands in braces; write it in lines, then try again"), NULL;
    if (!rows_write(&w, items) || !append(&w, items, "items", plan_item_lines) ||
        !append(&w, wires, "wires", plan_wire_lines))
        return NULL;
    return spliced(&w);
}
