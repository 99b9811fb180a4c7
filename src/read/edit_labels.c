/* Labels that stand from now on: wires move from `unlabelled` to `wires`. See edit.h. */
#include "read/edit.h"

#include "read/edit_text.h"
#include "read/read.h"
#include "read/values.h"
#include <string.h>

typedef struct labelling {
    arena *arena;
    const edited_file *file;
    edit_text *text;
    const char *quote; /* around keys: "", or as the file has them */
    const node *root, *wires, *unlabelled;
    const char *why;
} labelling;

static int column_of_key(const node *entry) { return (int)entry->key_where.column - 1; }

/* ---- labels ---- */

/* Of the i-th wire of `unlabelled`: they are the last of the van, in the order of the file. */
static const char *label_of(const labelling *e, int i)
{
    const van *v = e->file->van;
    return v->wires[v->n_wires - e->unlabelled->n + i].label;
}

/* `- ` in front of an entry, looked for from the end of the one before; comments may stand between. */
static size_t dash_before(const labelling *e, size_t from, size_t entry)
{
    const char *text = e->file->text;
    for (size_t at = from; at < entry; at++) {
        if (text[at] == '#')
            while (at < entry && !is_break(text[at])) at++;
        else if (text[at] == '-')
            return at;
    }
    return entry;
}

/* Lines in front of the first dash, no further to the right than it is: behind a block of text they would be part of it. */
static void add_lead(sink *s, const char *text, size_t n, size_t column)
{
    for (const char *end = text + n; text < end;) {
        size_t n_line = strcspn(text, "\r\n"), n_spaces = strspn(text, " ");
        if (n_line > (size_t)(end - text)) n_line = (size_t)(end - text); /* the dash's own */
        n_line += strspn(text + n_line, "\r\n");
        size_t n_cut = n_spaces > column ? n_spaces - column : 0;
        sink_add_n(s, text + n_cut, n_line - n_cut);
        text += n_line;
    }
}

static void add_spaces(sink *s, int n) { sink_printf(s, "%*s", n > 0 ? n : 0, ""); }

/* The lines of a list with dashes, each dash a label. A wire that starts behind its dash and goes on below it starts on a
 * line of its own behind its label. */
static const char *with_labels(labelling *e, size_t from, size_t to)
{
    const char *text = e->file->text;
    sink s = sink_in(e->arena);
    int i = 0;
    for (const node *n = e->unlabelled->first; n; n = n->next, i++) {
        size_t start = start_of(e->text, n), dash = dash_before(e, from, start),
               behind = dash < start ? dash + 1 : start;
        if (i == 0)
            add_lead(&s, text + from, dash - from, e->unlabelled->where.column - 1);
        else
            sink_add_n(&s, text + from, dash - from);
        sink_printf(&s, "%s%s%s:", e->quote, label_of(e, i), e->quote);
        if (n->is_flow || holds_break(e->text, dash, start))
            sink_add_n(&s, text + behind, start - behind);
        else {
            sink_add(&s, e->text->line_break);
            add_spaces(&s, (int)n->where.column - 1);
        }
        from = end_of(e->text, n);
        sink_add_n(&s, text + start, from - start);
    }
    sink_add_n(&s, text + from, to - from);
    if (!starts_line(e->text, to)) sink_add(&s, e->text->line_break);
    return sink_text(&s);
}

/* Lines moved to the right, or to the left as far as there are spaces. Empty ones stay empty. */
static const char *shifted(labelling *e, const char *lines, int columns)
{
    sink s = sink_in(e->arena);
    while (*lines) {
        size_t n = strcspn(lines, "\r\n");
        if (n > 0) add_spaces(&s, columns);
        size_t n_spaces = strspn(lines, " "), n_less = columns < 0 ? (size_t)-columns : 0;
        size_t n_cut = n_spaces < n_less ? n_spaces : n_less;
        n += strspn(lines + n, "\r\n");
        sink_add_n(&s, lines + n_cut, n - n_cut);
        lines += n;
    }
    return sink_text(&s);
}

/* Wires in braces, one after the other: `A: {...}`. */
static const char *entries(labelling *e, const char *between)
{
    sink s = sink_in(e->arena);
    int i = 0;
    for (const node *n = e->unlabelled->first; n; n = n->next, i++)
        sink_printf(&s, "%s%s%s%s: %s", i ? between : "", e->quote, label_of(e, i), e->quote, bytes_of(e->text, n));
    return sink_text(&s);
}

/* The same, a line each. */
static const char *entry_lines(labelling *e, int indent)
{
    const char *between = arena_printf(e->arena, "%s%*s", e->text->line_break, indent, "");
    return arena_printf(e->arena, "%*s%s%s", indent, "", entries(e, between), e->text->line_break);
}

/* Whether nothing but the wires, and the marks and spaces that set them apart, stands in the bytes: a comment would be
 * lost. */
static bool is_bare(const labelling *e, size_t from, size_t to, const char *marks)
{
    for (const node *n = e->unlabelled->first;; n = n->next) {
        size_t end = n ? start_of(e->text, n) : to;
        for (; from < end; from++)
            if (!strchr(marks, e->file->text[from])) return false;
        if (!n) return true;
        from = end_of(e->text, n);
    }
}

static bool are_in_braces(const labelling *e)
{
    for (const node *n = e->unlabelled->first; n; n = n->next)
        if (!n->is_flow) return false;
    return true;
}

/* The file has no `wires`: it gets them in front of, or behind, `unlabelled`. */
static void add_wires(labelling *e, size_t from, size_t to)
{
    int indent = column_of_key(e->unlabelled);
    sink s = sink_in(e->arena);
    add_spaces(&s, indent);
    sink_printf(&s, "wires:%s", e->text->line_break);
    if (e->root->is_flow)
        splice_in(e->text, key_start_of(e->text, e->unlabelled), 0,
                  arena_printf(e->arena, "%swires%s: {%s}, ", e->quote, e->quote, entries(e, ", ")));
    else if (e->unlabelled->is_flow) {
        sink_add(&s, entry_lines(e, indent + 2));
        splice_lines(e->text, after_value(e->text, e->unlabelled), 0, sink_text(&s));
    } else {
        int column = (int)e->unlabelled->where.column - 1;
        sink_add(&s, shifted(e, with_labels(e, from, to), indent + 2 - column));
        splice_lines(e->text, from, 0, sink_text(&s));
    }
}

static void add_to_flow(labelling *e)
{
    const char *text = entries(e, ", ");
    const node *last = e->wires->first;
    while (last && last->next) last = last->next;
    if (last)
        splice_in(e->text, end_of(e->text, last), 0, arena_printf(e->arena, ", %s", text));
    else
        splice_in(e->text, end_of(e->text, e->wires) - 1, 0, text);
}

static void add_to_block(labelling *e, size_t from, size_t to)
{
    int column = column_of_key(e->wires->first), dashes = (int)e->unlabelled->where.column - 1;
    splice_lines(e->text, after_value(e->text, e->wires), 0,
                 e->unlabelled->is_flow ? entry_lines(e, column)
                                        : shifted(e, with_labels(e, from, to), column - dashes));
}

static void move_wires(labelling *e)
{
    const node *list = e->unlabelled;
    size_t from, to; /* of what goes */
    if (list->is_flow) {
        from = start_of(e->text, list) + 1;
        to = end_of(e->text, list) - 1;
    } else {
        from = after_line(e->text, key_start_of(e->text, list));
        to = after_value(e->text, list);
    }
    bool is_joined = e->wires && e->wires->is_flow;
    if (is_joined && !are_in_braces(e)) {
        e->why = "`wires` stands in braces, and a wire under `unlabelled` does not: write both in the same way";
        return;
    }
    if ((list->is_flow || is_joined) && !is_bare(e, from, to, list->is_flow ? " \t\r\n," : " \t\r\n-")) {
        e->why =
            "a comment stands between the wires under `unlabelled`: take it out, or write `wires` and `unlabelled` "
            "without brackets, a line for each wire";
        return;
    }
    if (!e->wires)
        add_wires(e, from, to);
    else if (is_joined)
        add_to_flow(e);
    else
        add_to_block(e, from, to);
    splice_in(e->text, from, to - from, "");
}

/* ---- whether it is what was meant ---- */

static bool is_same_text(const char *a, const char *b) { return a == b || (a && b && strcmp(a, b) == 0); }

static bool are_same(const node *a, const node *b);

static bool is_same(const node *a, const node *b)
{
    if (!a || !b) return a == b;
    return a->form == b->form && a->n == b->n && a->is_plain == b->is_plain && is_same_text(a->text, b->text) &&
           are_same(a->first, b->first);
}

/* Entries from here on, with their keys. */
static bool are_same(const node *a, const node *b)
{
    for (; a && b; a = a->next, b = b->next)
        if (!is_same_text(a->key, b->key) || !is_same(a, b)) return false;
    return !a && !b;
}

static int count_of(const node *n) { return n ? n->n : 0; }

/* Everything but wires stands as it did. */
static bool is_rest_kept(const labelling *e, const node *now)
{
    int n_kept = 0;
    for (const node *was = e->root->first; was; was = was->next) {
        const node *is = node_get(now, was->key);
        if (!is) return false;
        n_kept++;
        if (was != e->wires && was != e->unlabelled && !is_same(was, is)) return false;
    }
    bool has_new_wires = !e->wires && node_get(now, "wires");
    return now->n == n_kept + has_new_wires;
}

/* The wires that were there, then those that have labels now. */
static bool are_wires_meant(const labelling *e, const node *now)
{
    const node *wires = node_get(now, "wires"), *unlabelled = node_get(now, "unlabelled");
    int n_moved = count_of(e->unlabelled);
    if (count_of(wires) != count_of(e->wires) + n_moved || count_of(unlabelled) != count_of(e->unlabelled) - n_moved)
        return false;
    const node *is = wires ? wires->first : NULL;
    for (const node *was = e->wires ? e->wires->first : NULL; was; was = was->next, is = is->next)
        if (!is || !is_same_text(was->key, is->key) || !is_same(was, is)) return false;
    int i = 0;
    for (const node *was = e->unlabelled->first; was; was = was->next, is = is->next, i++)
        if (!is || !is_same_text(label_of(e, i), is->key) || !is_same(was, is)) return false;
    return true;
}

/* The text as it is to be written; NULL unless it reads, and as what was meant. */
static const char *proven(labelling *e)
{
    if (e->why) return NULL;
    e->why =
        "the file is written in a way that can't be changed here without touching more: move the wires to `wires` by "
        "hand, under the labels that are proposed";
    const char *text = spliced(e->text);
    if (!text) return NULL;
    report *faults = report_create(e->arena, e->file->van->file);
    const node *now = tree_read(e->arena, text, strlen(text), faults);
    if (!now || !report_is_empty(faults) || !is_rest_kept(e, now) || !are_wires_meant(e, now)) return NULL;
    return read_van(e->arena, e->file->van->file, text, strlen(text), faults) ? text : NULL;
}

const char *edit_give_labels(arena *a, const edited_file *file, const char **why)
{
    const node *root = tree_read(a, file->text, file->n, report_create(a, file->van->file));
    edit_text t = edit_text_of(a, file->text, file->n);
    labelling e = {.arena = a,
                   .file = file,
                   .text = &t,
                   .root = root,
                   .wires = node_get(root, "wires"),
                   .unlabelled = node_get(root, "unlabelled")};
    char first = file->text[key_start_of(&t, root->first)];
    e.quote = first == '"' ? "\"" : first == '\'' ? "'" : "";
    if (count_of(e.unlabelled) == 0) return arena_text_n(a, file->text, file->n);
    move_wires(&e);
    const char *text = proven(&e);
    if (!text) *why = e.why;
    return text;
}
