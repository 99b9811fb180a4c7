/* Splices of a van file. See edit.h. */
#include "read/edit.h"

#include "read/read.h"
#include "read/tree.h"
#include "read/values.h"
#include <stdlib.h>
#include <string.h>

typedef struct splice { /* n bytes at `at` give way to `text` */
    size_t at, n;
    const char *text;
} splice;

typedef struct editing {
    arena *arena;
    const edited_file *file;
    const uint32_t *byte_of; /* of each character of the text, and of its end */
    const char *line_break;
    const char *quote; /* around keys: "", or as the file has them */
    const node *root, *wires, *unlabelled, *retired;
    ARRAY(splice) splices;
    const char *why;
} editing;

/* ---- places in the text ---- */

static bool is_break(char c) { return c == '\n' || c == '\r'; }

/* Marks count characters, and a byte-order mark is none. */
static const uint32_t *index_characters(arena *a, const char *text, size_t n)
{
    uint32_t *byte_of = ARENA_ARRAY(a, uint32_t, n + 1);
    size_t n_characters = 0;
    bool has_mark = n >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0;
    for (size_t i = has_mark ? 3 : 0; i < n; i++)
        if (((unsigned char)text[i] & 0xC0) != 0x80) byte_of[n_characters++] = (uint32_t)i;
    while (n_characters <= n) byte_of[n_characters++] = (uint32_t)n;
    return byte_of;
}

static const char *line_break_of(const char *text, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (is_break(text[i])) return text[i] == '\n' ? "\n" : i + 1 < n && text[i + 1] == '\n' ? "\r\n" : "\r";
    return "\n";
}

static size_t start_of(const editing *e, const node *n) { return e->byte_of[n->start]; }
static size_t end_of(const editing *e, const node *n) { return e->byte_of[n->end]; }
static int column_of_key(const node *entry) { return (int)entry->key_where.column - 1; }

static bool starts_line(const editing *e, size_t at)
{
    return at > 0 && is_break(e->file->text[at - 1]) && !(e->file->text[at - 1] == '\r' && e->file->text[at] == '\n');
}

/* Where the next line starts, or the end of the text. */
static size_t after_line(const editing *e, size_t at)
{
    const char *text = e->file->text;
    while (at < e->file->n && !is_break(text[at])) at++;
    if (at < e->file->n && text[at] == '\r' && at + 1 < e->file->n && text[at + 1] == '\n') at++;
    return at < e->file->n ? at + 1 : at;
}

/* Where the lines of a value end; that of a block of text ends behind its last line. */
static size_t after_value(const editing *e, const node *n)
{
    size_t end = end_of(e, n);
    return starts_line(e, end) ? end : after_line(e, end);
}

static void splice_in(editing *e, size_t at, size_t n, const char *text)
{
    *ARRAY_ADD(e->arena, &e->splices) = (splice){at, n, text};
}

/* Whole lines, each with its break, where a line starts or the text ends. */
static void splice_lines(editing *e, size_t at, size_t n, const char *lines)
{
    bool is_in_line = at > 0 && at == e->file->n && !starts_line(e, at);
    splice_in(e, at, n, is_in_line ? arena_printf(e->arena, "%s%s", e->line_break, lines) : lines);
}

/* What is put in stands in front of what is taken out at the same place. */
static int by_place(const void *a, const void *b)
{
    const splice *x = a, *y = b;
    return x->at != y->at ? (x->at > y->at) - (x->at < y->at) : (x->n > y->n) - (x->n < y->n);
}

static const char *spliced(editing *e)
{
    sink s = sink_in(e->arena);
    size_t at = 0;
    if (e->splices.n) qsort(e->splices.at, e->splices.n, sizeof *e->splices.at, by_place);
    for (size_t i = 0; i < e->splices.n; i++) {
        const splice *p = &e->splices.at[i];
        sink_add_n(&s, e->file->text + at, p->at - at);
        sink_add(&s, p->text);
        at = p->at + p->n;
    }
    sink_add_n(&s, e->file->text + at, e->file->n - at);
    return sink_text(&s);
}

/* ---- labels ---- */

/* Of the i-th wire of `unlabelled`: they are the last of the van, in the order of the file. */
static const char *label_of(const editing *e, int i)
{
    const van *v = e->file->van;
    return v->wires[v->n_wires - e->unlabelled->n + i].label;
}

/* `- ` in front of an entry, looked for from the end of the one before; comments may stand between. */
static size_t dash_before(const editing *e, size_t from, size_t entry)
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

static bool holds_break(const editing *e, size_t from, size_t to)
{
    while (from < to && !is_break(e->file->text[from])) from++;
    return from < to;
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
static const char *with_labels(editing *e, size_t from, size_t to)
{
    const char *text = e->file->text;
    sink s = sink_in(e->arena);
    int i = 0;
    for (const node *n = e->unlabelled->first; n; n = n->next, i++) {
        size_t start = start_of(e, n), dash = dash_before(e, from, start), behind = dash < start ? dash + 1 : start;
        if (i == 0)
            add_lead(&s, text + from, dash - from, e->unlabelled->where.column - 1);
        else
            sink_add_n(&s, text + from, dash - from);
        sink_printf(&s, "%s%s%s:", e->quote, label_of(e, i), e->quote);
        if (n->is_flow || holds_break(e, dash, start))
            sink_add_n(&s, text + behind, start - behind);
        else {
            sink_add(&s, e->line_break);
            add_spaces(&s, (int)n->where.column - 1);
        }
        from = end_of(e, n);
        sink_add_n(&s, text + start, from - start);
    }
    sink_add_n(&s, text + from, to - from);
    if (!starts_line(e, to)) sink_add(&s, e->line_break);
    return sink_text(&s);
}

/* Lines moved to the right, or to the left as far as there are spaces. Empty ones stay empty. */
static const char *shifted(editing *e, const char *lines, int columns)
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

static const char *bytes_of(const editing *e, const node *n)
{
    return arena_text_n(e->arena, e->file->text + start_of(e, n), end_of(e, n) - start_of(e, n));
}

/* Wires in braces, one after the other: `A: {...}`. */
static const char *entries(editing *e, const char *between)
{
    sink s = sink_in(e->arena);
    int i = 0;
    for (const node *n = e->unlabelled->first; n; n = n->next, i++)
        sink_printf(&s, "%s%s%s%s: %s", i ? between : "", e->quote, label_of(e, i), e->quote, bytes_of(e, n));
    return sink_text(&s);
}

/* The same, a line each. */
static const char *entry_lines(editing *e, int indent)
{
    const char *between = arena_printf(e->arena, "%s%*s", e->line_break, indent, "");
    return arena_printf(e->arena, "%*s%s%s", indent, "", entries(e, between), e->line_break);
}

/* Whether nothing but the wires, and the marks and spaces that set them apart, stands in the bytes: a comment would be
 * lost. */
static bool is_bare(const editing *e, size_t from, size_t to, const char *marks)
{
    for (const node *n = e->unlabelled->first;; n = n->next) {
        size_t end = n ? start_of(e, n) : to;
        for (; from < end; from++)
            if (!strchr(marks, e->file->text[from])) return false;
        if (!n) return true;
        from = end_of(e, n);
    }
}

static bool are_in_braces(const editing *e)
{
    for (const node *n = e->unlabelled->first; n; n = n->next)
        if (!n->is_flow) return false;
    return true;
}

/* The file has no `wires`: it gets them in front of, or behind, `unlabelled`. */
static void add_wires(editing *e, size_t from, size_t to)
{
    int indent = column_of_key(e->unlabelled);
    sink s = sink_in(e->arena);
    add_spaces(&s, indent);
    sink_printf(&s, "wires:%s", e->line_break);
    if (e->root->is_flow)
        splice_in(e, e->byte_of[e->unlabelled->key_start], 0,
                  arena_printf(e->arena, "%swires%s: {%s}, ", e->quote, e->quote, entries(e, ", ")));
    else if (e->unlabelled->is_flow) {
        sink_add(&s, entry_lines(e, indent + 2));
        splice_lines(e, after_value(e, e->unlabelled), 0, sink_text(&s));
    } else {
        int column = (int)e->unlabelled->where.column - 1;
        sink_add(&s, shifted(e, with_labels(e, from, to), indent + 2 - column));
        splice_lines(e, from, 0, sink_text(&s));
    }
}

static void add_to_flow(editing *e)
{
    const char *text = entries(e, ", ");
    const node *last = e->wires->first;
    while (last && last->next) last = last->next;
    if (last)
        splice_in(e, end_of(e, last), 0, arena_printf(e->arena, ", %s", text));
    else
        splice_in(e, end_of(e, e->wires) - 1, 0, text);
}

static void add_to_block(editing *e, size_t from, size_t to)
{
    int column = column_of_key(e->wires->first), dashes = (int)e->unlabelled->where.column - 1;
    splice_lines(e, after_value(e, e->wires), 0,
                 e->unlabelled->is_flow ? entry_lines(e, column)
                                        : shifted(e, with_labels(e, from, to), column - dashes));
}

static void move_wires(editing *e)
{
    const node *list = e->unlabelled;
    size_t from, to; /* of what goes */
    if (list->is_flow) {
        from = start_of(e, list) + 1;
        to = end_of(e, list) - 1;
    } else {
        from = after_line(e, e->byte_of[list->key_start]);
        to = after_value(e, list);
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
    splice_in(e, from, to - from, "");
}

/* ---- retiring ---- */

static void retire(editing *e, const char *label)
{
    const char *quoted_label = arena_printf(e->arena, "%s%s%s", e->quote, label, e->quote);
    const node *list = e->retired, *last = list ? list->first : e->root->first;
    while (last && last->next) last = last->next;
    if (!list && e->root->is_flow)
        splice_in(e, end_of(e, last), 0,
                  arena_printf(e->arena, ", %sretired%s: [%s]", e->quote, e->quote, quoted_label));
    else if (!list) {
        const node *before = e->wires ? e->wires : last;
        splice_lines(e, after_value(e, before), 0,
                     arena_printf(e->arena, "%*sretired: [%s]%s", column_of_key(before), "", label, e->line_break));
    } else if (list->form == NODE_SCALAR)
        splice_in(e, start_of(e, list), 0, arena_printf(e->arena, " [%s]", quoted_label));
    else if (!list->is_flow)
        splice_lines(e, after_value(e, list), 0,
                     arena_printf(e->arena, "%*s- %s%s", (int)list->where.column - 1, "", label, e->line_break));
    else if (last)
        splice_in(e, end_of(e, last), 0, arena_printf(e->arena, ", %s", quoted_label));
    else
        splice_in(e, end_of(e, list) - 1, 0, quoted_label);
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

/* Everything but wires and labels stands as it did. */
static bool is_rest_kept(const editing *e, const node *now)
{
    int n_kept = 0;
    for (const node *was = e->root->first; was; was = was->next) {
        const node *is = node_get(now, was->key);
        if (!is) return false;
        n_kept++;
        if (was != e->wires && was != e->unlabelled && was != e->retired && !is_same(was, is)) return false;
    }
    bool has_new_wires = !e->wires && node_get(now, "wires"), has_new_retired = !e->retired && node_get(now, "retired");
    return now->n == n_kept + has_new_wires + has_new_retired;
}

/* The wires that were there, then those that have labels now. */
static bool are_wires_meant(const editing *e, const node *now, bool are_moved)
{
    const node *wires = node_get(now, "wires"), *unlabelled = node_get(now, "unlabelled");
    int n_moved = are_moved ? count_of(e->unlabelled) : 0;
    if (count_of(wires) != count_of(e->wires) + n_moved || count_of(unlabelled) != count_of(e->unlabelled) - n_moved)
        return false;
    const node *is = wires ? wires->first : NULL;
    for (const node *was = e->wires ? e->wires->first : NULL; was; was = was->next, is = is->next)
        if (!is || !is_same_text(was->key, is->key) || !is_same(was, is)) return false;
    if (!are_moved) return !unlabelled || is_same(e->unlabelled, unlabelled);
    int i = 0;
    for (const node *was = e->unlabelled->first; was; was = was->next, is = is->next, i++)
        if (!is || !is_same_text(label_of(e, i), is->key) || !is_same(was, is)) return false;
    return true;
}

/* The labels that were retired, then the new one, if any. */
static bool is_retired_meant(const editing *e, const node *now, const char *label)
{
    const node *retired = node_get(now, "retired");
    if (count_of(retired) != count_of(e->retired) + (label ? 1 : 0)) return false;
    const node *is = retired ? retired->first : NULL;
    for (const node *was = e->retired ? e->retired->first : NULL; was; was = was->next, is = is->next)
        if (!is || !is_same(was, is)) return false;
    return !label || (is->form == NODE_SCALAR && strcmp(is->text, label) == 0);
}

/* The text as it is to be written; NULL unless it reads, and as what was meant. `label` is retired by it, or NULL: then the
 * wires of `unlabelled` have moved. */
static const char *proven(editing *e, const char *label)
{
    if (e->why) return NULL;
    e->why = label ? "the file is written in a way that can't be changed here without touching more: add the label to "
                     "`retired` by hand"
                   : "the file is written in a way that can't be changed here without touching more: move the wires to "
                     "`wires` by hand, under the labels that are proposed";
    const char *text = spliced(e);
    report *faults = report_create(e->arena, e->file->van->file);
    const node *now = tree_read(e->arena, text, strlen(text), faults);
    if (!now || !report_is_empty(faults)) return NULL;
    if (!is_rest_kept(e, now) || !are_wires_meant(e, now, !label) || !is_retired_meant(e, now, label)) return NULL;
    return read_van(e->arena, e->file->van->file, text, strlen(text), faults) ? text : NULL;
}

/* ---- the edits ---- */

static editing *begin(arena *a, const edited_file *file)
{
    editing *e = ARENA_NEW(a, editing);
    const node *root = tree_read(a, file->text, file->n, report_create(a, file->van->file));
    *e = (editing){.arena = a,
                   .file = file,
                   .byte_of = index_characters(a, file->text, file->n),
                   .line_break = line_break_of(file->text, file->n),
                   .root = root,
                   .wires = node_get(root, "wires"),
                   .unlabelled = node_get(root, "unlabelled"),
                   .retired = node_get(root, "retired")};
    char first = file->text[e->byte_of[root->first->key_start]];
    e->quote = first == '"' ? "\"" : first == '\'' ? "'" : "";
    return e;
}

static const char *same_text(arena *a, const edited_file *file) { return arena_text_n(a, file->text, file->n); }

const char *edit_give_labels(arena *a, const edited_file *file, const char **why)
{
    editing *e = begin(a, file);
    if (count_of(e->unlabelled) == 0) return same_text(a, file);
    move_wires(e);
    const char *text = proven(e, NULL);
    if (!text) *why = e->why;
    return text;
}

const char *edit_retire(arena *a, const edited_file *file, const char *label, const char **why)
{
    if (names_find(file->van->retired, label) >= 0) return same_text(a, file);
    editing *e = begin(a, file);
    retire(e, label);
    const char *text = proven(e, label);
    if (!text) *why = e->why;
    return text;
}
