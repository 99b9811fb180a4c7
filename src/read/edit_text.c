/* Places and splices. See edit_text.h. */
#include "read/edit_text.h"

#include <stdlib.h>
#include <string.h>

bool is_break(char c) { return c == '\n' || c == '\r'; }

static bool is_continuation(char c) { return ((unsigned char)c & 0xC0) == 0x80; }

static const uint32_t *index_characters(arena *a, const char *text, size_t n)
{
    uint32_t *byte_of = ARENA_ARRAY(a, uint32_t, n + 1);
    size_t n_characters = 0;
    bool has_mark = n >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0;
    for (size_t i = has_mark ? 3 : 0; i < n; i++)
        if (!is_continuation(text[i])) byte_of[n_characters++] = (uint32_t)i;
    while (n_characters <= n) byte_of[n_characters++] = (uint32_t)n;
    return byte_of;
}

static const char *line_break_of(const char *text, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (is_break(text[i])) return text[i] == '\n' ? "\n" : i + 1 < n && text[i + 1] == '\n' ? "\r\n" : "\r";
    return "\n";
}

edit_text edit_text_of(arena *a, const char *text, size_t n)
{
    return (edit_text){.arena = a,
                       .text = text,
                       .n = n,
                       .byte_of = index_characters(a, text, n),
                       .line_break = line_break_of(text, n)};
}

/* ---- places ---- */

size_t start_of(const edit_text *t, const node *n) { return t->byte_of[n->start]; }
size_t end_of(const edit_text *t, const node *n) { return t->byte_of[n->end]; }
size_t key_start_of(const edit_text *t, const node *n) { return t->byte_of[n->key_start]; }
size_t key_end_of(const edit_text *t, const node *n) { return t->byte_of[n->key_end]; }

const char *bytes_of(const edit_text *t, const node *n)
{
    return arena_text_n(t->arena, t->text + start_of(t, n), end_of(t, n) - start_of(t, n));
}

bool starts_line(const edit_text *t, size_t at)
{
    return at > 0 && is_break(t->text[at - 1]) && !(t->text[at - 1] == '\r' && t->text[at] == '\n');
}

size_t line_start(const edit_text *t, size_t at)
{
    while (at > 0 && !is_break(t->text[at - 1])) at--;
    return at == 0 && t->n >= 3 && memcmp(t->text, "\xEF\xBB\xBF", 3) == 0 ? 3 : at;
}

size_t line_end(const edit_text *t, size_t at)
{
    while (at < t->n && !is_break(t->text[at])) at++;
    return at;
}

size_t after_line(const edit_text *t, size_t at)
{
    at = line_end(t, at);
    if (at < t->n && t->text[at] == '\r' && at + 1 < t->n && t->text[at + 1] == '\n') at++;
    return at < t->n ? at + 1 : at;
}

size_t after_value(const edit_text *t, const node *n)
{
    size_t end = end_of(t, n);
    return starts_line(t, end) ? end : after_line(t, end);
}

size_t find_mark(const edit_text *t, size_t from, size_t to, char c)
{
    for (; from < to && t->text[from] != c; from++)
        if (t->text[from] == '#') from = line_end(t, from) - 1;
    return from < to ? from : to;
}

bool is_blank(const edit_text *t, size_t from, size_t to)
{
    while (from < to && (t->text[from] == ' ' || t->text[from] == '\t')) from++;
    return from >= to;
}

bool holds_break(const edit_text *t, size_t from, size_t to) { return line_end(t, from) < to; }

int column_of(const edit_text *t, size_t at)
{
    int column = 0;
    for (size_t i = line_start(t, at); i < at; i++) column += !is_continuation(t->text[i]);
    return column;
}

/* ---- splices ---- */

void splice_in(edit_text *t, size_t at, size_t n, const char *text)
{
    *ARRAY_ADD(t->arena, &t->splices) = (splice){at, n, text, false};
}

void splice_lines(edit_text *t, size_t at, size_t n, const char *lines)
{
    *ARRAY_ADD(t->arena, &t->splices) = (splice){at, n, lines, true};
}

/* What is put in stands in front of what is taken out at the same place; of what is put in at one place, the first that was
 * told comes first. */
static int by_place(const void *a, const void *b)
{
    const splice *x = a, *y = b;
    if (x->at != y->at) return (x->at > y->at) - (x->at < y->at);
    if ((x->n == 0) != (y->n == 0)) return (x->n > 0) - (y->n > 0);
    return 0;
}

/* Stable; there are few, and nearly in order. */
static void sort_splices(edit_text *t)
{
    for (size_t i = 1; i < t->splices.n; i++) {
        splice moved = t->splices.at[i];
        size_t to = i;
        for (; to > 0 && by_place(&t->splices.at[to - 1], &moved) > 0; to--) t->splices.at[to] = t->splices.at[to - 1];
        t->splices.at[to] = moved;
    }
}

const char *spliced(edit_text *t)
{
    sink s = sink_in(t->arena);
    size_t at = 0;
    sort_splices(t);
    for (size_t i = 0; i < t->splices.n; i++) {
        const splice *p = &t->splices.at[i];
        bool is_overlapping = p->at < at;
        if (is_overlapping && *p->text) return NULL;
        if (!is_overlapping) sink_add_n(&s, t->text + at, p->at - at);
        if (p->are_lines && s.n > 0 && !is_break(s.at[s.n - 1])) sink_add(&s, t->line_break);
        sink_add(&s, p->text);
        if (p->at + p->n > at) at = p->at + p->n;
    }
    sink_add_n(&s, t->text + at, t->n - at);
    return sink_text(&s);
}
