/* Where a draft departs from its tree, the text changes. See edit_splice.h. */
#include "read/edit_splice.h"

#include "read/edit_write.h"
#include <string.h>

typedef struct splicing {
    edit_text *text;
    writer writer;
} splicing;

/* Where a value stands. */
typedef struct spot {
    bool is_in_flow;
    int column;    /* of its key or dash; -1: it is the root */
    size_t behind; /* of the colon or dash in front of it: where a value can start */
} spot;

/* An entry of the old tree, and what became of it. */
typedef struct entry {
    const node *was;
    const draft *is;   /* NULL: dropped */
    size_t begin, end; /* of its bytes: from key or value on; with a dash, from there */
} entry;

typedef struct entries {
    entry *at;
    int n;
} entries;

static size_t begin_of(const edit_text *t, const node *n) { return n->key ? key_start_of(t, n) : start_of(t, n); }

/* The dash of the i-th entry. */
static size_t dash_of(const edit_text *t, const node *list, const entries *all, int i)
{
    size_t from = i == 0 ? start_of(t, list) : all->at[i - 1].end;
    return find_mark(t, from, start_of(t, all->at[i].was), '-');
}

/* It is to be written where it stands now. */
static bool is_to_add(const draft *e) { return !e->was || e->is_moved; }

static entries entries_of(const edit_text *t, const draft *d)
{
    const node *o = d->was;
    entries all = {ARENA_ARRAY(t->arena, entry, (size_t)o->n), 0};
    const draft *e = d->first;
    bool has_dashes = o->form == NODE_SEQUENCE && !o->is_flow;
    for (const node *n = o->first; n; n = n->next) {
        while (e && is_to_add(e)) e = e->next;
        bool is_kept = e && e->was == n;
        all.at[all.n] = (entry){n, is_kept ? e : NULL, begin_of(t, n), end_of(t, n)};
        if (has_dashes) all.at[all.n].begin = dash_of(t, o, &all, all.n);
        all.n++;
        if (is_kept) e = e->next;
    }
    return all;
}

static bool is_any_kept(const entries *all, int from)
{
    for (int i = from; i < all->n; i++)
        if (all->at[i].is) return true;
    return false;
}

/* ---- whole values ---- */

static bool is_text_block(const edit_text *t, const node *n)
{
    char first = t->text[start_of(t, n)];
    return n->form == NODE_SCALAR && !n->is_plain && (first == '|' || first == '>');
}

static size_t behind_blanks(const edit_text *t, size_t at)
{
    while (t->text[at] == ' ' || t->text[at] == '\t') at++;
    return at;
}

static size_t before_blanks(const edit_text *t, size_t at)
{
    while (at > 0 && (t->text[at - 1] == ' ' || t->text[at - 1] == '\t')) at--;
    return at;
}

/* Behind the mark of a block, with what says how it ends. */
static size_t mark_end(const edit_text *t, size_t start)
{
    while (start < t->n && !is_break(t->text[start]) && t->text[start] != ' ' && t->text[start] != '\t') start++;
    return start;
}

static const node *last_leaf(const node *n)
{
    while (n->first)
        for (n = n->first; n->next;) n = n->next;
    return n;
}

/* The start of the blank lines in front of a line. */
static size_t before_blank_lines(const edit_text *t, size_t at, size_t least)
{
    while (at > least) {
        size_t before = line_start(t, at - 1);
        if (at >= 2 && t->text[at - 1] == '\n' && t->text[at - 2] == '\r') before = line_start(t, at - 2);
        if (before < least || !is_blank(t, before, line_end(t, before))) break;
        at = before;
    }
    return at;
}

/* Where the lines of a value end, without the blank ones that a block of text ends with. */
static size_t after_content(const edit_text *t, const node *n)
{
    size_t end = after_value(t, n);
    const node *leaf = last_leaf(n);
    return is_text_block(t, leaf) ? before_blank_lines(t, end, after_line(t, start_of(t, leaf))) : end;
}

/* Comments further to the right than the entry they stand below belong to it. `end` is where its lines end. */
static size_t after_own_comments(const edit_text *t, size_t end, int column)
{
    for (size_t at = end; at < t->n; at = after_line(t, at)) {
        size_t first = behind_blanks(t, at);
        bool is_empty = first >= t->n || is_break(t->text[first]);
        if (!is_empty && (t->text[first] != '#' || column_of(t, first) <= column)) break;
        if (!is_empty) end = after_line(t, at);
    }
    return end;
}

/* Where lines can be added behind an entry. Blank lines at the end of a text that keeps them are part of it. */
static size_t behind_entry(const edit_text *t, const entry *e)
{
    const node *leaf = last_leaf(e->was);
    size_t end = after_content(t, e->was), head = is_text_block(t, leaf) ? start_of(t, leaf) : 0;
    if (head > 0 && memchr(t->text + head, '+', mark_end(t, head) - head)) end = after_value(t, e->was);
    return after_own_comments(t, end, column_of(t, e->begin));
}

/* A section of the file that is written in lines. */
static bool is_section(const draft *d, spot where)
{
    if (where.is_in_flow || where.column != 0 || !d->key || d->n == 0) return false;
    return d->form == NODE_MAPPING || d->first->form != NODE_SCALAR;
}

/* In place of `{}` or of nothing. */
static void fill_section(splicing *s, const draft *d, spot where)
{
    edit_text *t = s->text;
    size_t end = end_of(t, d->was);
    if (end > where.behind) splice_in(t, where.behind, end - where.behind, "");
    splice_lines(t, after_line(t, end), 0, written_entries(&s->writer, d, 2));
}

/* ---- blocks of text ---- */

/* How a block ends: "-" without a line break, "" with one, "+" with more. */
static const char *chomp_of(const char *text)
{
    size_t n = strlen(text);
    return text[n - 1] != '\n' ? "-" : n > 1 && text[n - 2] == '\n' ? "+" : "";
}

/* Lines that a block can hold: nothing that it would need quotes or a number for. */
static bool can_be_block(const char *text)
{
    if (!*text || strchr(" \t\n", *text)) return false;
    for (const char *c = text; *c; c++)
        if (((unsigned char)*c < 0x20 && *c != '\n') || (unsigned char)*c >= 0x7F) return false;
    return true;
}

static const char *block_lines(const edit_text *t, const char *text, int column)
{
    sink s = sink_in(t->arena);
    while (*text) {
        size_t n = strcspn(text, "\n");
        if (n > 0) sink_printf(&s, "%*s", column, "");
        sink_add_n(&s, text, n);
        sink_add(&s, t->line_break);
        text += n + (text[n] == '\n');
    }
    return sink_text(&s);
}

/* A text of lines stays one; another becomes a text in its line. What stands behind the mark, as a comment, stays. */
static void replace_text_block(splicing *s, const draft *d, const char *value)
{
    edit_text *t = s->text;
    size_t start = start_of(t, d->was), head = mark_end(t, start), body = after_line(t, start);
    size_t first = behind_blanks(t, body), end = after_content(t, d->was);
    bool is_marked = head - start == 1 || (head - start == 2 && strchr("+-", t->text[start + 1]));
    bool is_literal = t->text[start] == '|' || (d->form == NODE_SCALAR && strchr(d->text, '\n'));
    bool is_block = d->form == NODE_SCALAR && is_marked && is_literal && first > body && end > first &&
                    !is_break(t->text[first]) && can_be_block(d->text);
    if (is_block) {
        const char *mark = arena_printf(t->arena, "|%s", chomp_of(d->text));
        if (mark[1] == '+') end = after_value(t, d->was);
        value = mark;
    }
    splice_in(t, start, head - start, value);
    if (is_block)
        splice_in(t, body, end - body, block_lines(t, d->text, (int)(first - body)));
    else if (end > body)
        splice_in(t, body, end - body, "");
}

/* The lines of a list or mapping. */
static void replace_lines(splicing *s, const draft *d, spot where, const char *value)
{
    edit_text *t = s->text;
    size_t start = start_of(t, d->was);
    if (!holds_break(t, where.behind, start)) {
        splice_in(t, start, end_of(t, d->was) - start, value);
        return;
    }
    size_t from = line_start(t, start);
    splice_in(t, where.behind, 0, arena_printf(t->arena, " %s", value));
    splice_in(t, from, after_content(t, d->was) - from, "");
}

static void replace_value(splicing *s, const draft *d, spot where)
{
    edit_text *t = s->text;
    const node *o = d->was;
    size_t start = start_of(t, o), end = end_of(t, o);
    const char *value = written_value(&s->writer, d, (models){0}, where.is_in_flow);
    if (start == end && is_section(d, where))
        fill_section(s, d, where);
    else if (start == end)
        splice_in(t, start, 0, arena_printf(t->arena, " %s", value));
    else if (is_text_block(t, o))
        replace_text_block(s, d, value);
    else if (o->form != NODE_SCALAR && !o->is_flow)
        replace_lines(s, d, where, value);
    else
        splice_in(t, start, end - start, value);
}

static void differ(splicing *s, const draft *d, spot where);

/* ---- new entries ---- */

/* Those before and behind a place among entries; of the form of the new one, if there are. */
static models models_at(const entries *all, int behind, const draft *is)
{
    models like = {0};
    for (int turn = 0; turn < 2 * all->n; turn++) {
        int i = turn < behind ? behind - 1 - turn : turn;
        if (i >= all->n || i < 0) continue;
        const node *n = all->at[i].was;
        if (n->form != is->form || n == like.near) continue;
        if (!like.near)
            like.near = n;
        else if (!like.far)
            like.far = n;
        if (like.far) break;
    }
    return like;
}

/* ---- in brackets ---- */

static bool starts_own_line(const edit_text *t, size_t at) { return is_blank(t, line_start(t, at), at); }

/* Nothing behind but a comment. */
static bool ends_line(const edit_text *t, size_t at)
{
    at = behind_blanks(t, at);
    return at >= t->n || is_break(t->text[at]) || t->text[at] == '#';
}

/* Where the entry behind the i-th starts, or the bracket that closes. */
static size_t next_of(const edit_text *t, const node *o, const entries *all, int i)
{
    return i + 1 < all->n ? all->at[i + 1].begin : end_of(t, o) - 1;
}

static size_t comma_behind(const edit_text *t, const node *o, const entries *all, int i)
{
    return find_mark(t, all->at[i].end, next_of(t, o, all, i), ',');
}

/* With the comma behind it, and the line if it has one to itself. */
static void drop_with_comma_behind(edit_text *t, const entry *e, size_t comma)
{
    size_t end = comma + 1;
    if (!ends_line(t, end))
        splice_in(t, e->begin, behind_blanks(t, end) - e->begin, "");
    else if (starts_own_line(t, e->begin)) {
        size_t from = line_start(t, e->begin);
        splice_in(t, from, after_line(t, end) - from, "");
    } else {
        size_t from = before_blanks(t, e->begin);
        splice_in(t, from, line_end(t, end) - from, "");
    }
}

/* The last of those that stay has no comma behind it any more. */
static void drop_with_comma_before(edit_text *t, const entry *e, size_t comma, size_t end)
{
    if (is_blank(t, comma + 1, e->begin)) {
        size_t from = before_blanks(t, comma);
        splice_in(t, from, end - from, "");
        return;
    }
    splice_in(t, comma, 1, "");
    bool has_line = starts_own_line(t, e->begin) && ends_line(t, end);
    size_t from = has_line ? line_start(t, e->begin) : e->begin;
    splice_in(t, from, (has_line ? after_line(t, end) : end) - from, "");
}

static void drop_from_flow(edit_text *t, const node *o, const entries *all, int i)
{
    const entry *e = &all->at[i];
    size_t next = next_of(t, o, all, i), comma = comma_behind(t, o, all, i);
    bool is_last = i + 1 == all->n, has_comma = comma < next;
    if (is_any_kept(all, i + 1))
        drop_with_comma_behind(t, e, comma);
    else if (i > 0)
        drop_with_comma_before(t, e, comma_behind(t, o, all, i - 1), e->end);
    else
        splice_in(t, e->begin, (is_last && has_comma ? comma + 1 : e->end) - e->begin, "");
    bool is_empty = !is_any_kept(all, 0);
    if (i > 0 && is_last && has_comma && is_empty) splice_in(t, comma, 1, "");
}

static int last_kept_before(const entries *all, int i)
{
    for (i--; i >= 0; i--)
        if (all->at[i].is) return i;
    return -1;
}

/* Entries with a line each, as those around. */
static bool is_line_each(const edit_text *t, const entries *all, int i)
{
    return starts_own_line(t, all->at[i].begin) && (i == 0 || starts_own_line(t, all->at[i - 1].begin));
}

/* What moves keeps its bytes, comments inside of it as well. */
static const char *entry_in_flow(splicing *s, const draft *d, models like, int column)
{
    const edit_text *t = s->text;
    if (!d->is_moved) return written_flow_entry(&s->writer, d, like, column);
    size_t begin = begin_of(t, d->was), end = end_of(t, d->was);
    return arena_text_n(t->arena, t->text + begin, (end > begin ? end : key_end_of(t, d->was)) - begin);
}

/* Behind the entry `i`, which stays. */
static void add_behind(splicing *s, const node *o, const entries *all, int i, const draft *d, models like)
{
    edit_text *t = s->text;
    const entry *e = &all->at[i];
    size_t comma = comma_behind(t, o, all, i);
    bool has_comma = comma < next_of(t, o, all, i);
    if (!is_line_each(t, all, i)) {
        splice_in(t, e->end, 0, arena_printf(t->arena, ", %s", entry_in_flow(s, d, like, -1)));
        return;
    }
    int column = column_of(t, e->begin);
    const char *value = entry_in_flow(s, d, like, column);
    if (has_comma && ends_line(t, comma + 1))
        splice_in(t, after_line(t, comma), 0, arena_printf(t->arena, "%*s%s,%s", column, "", value, t->line_break));
    else if (!has_comma && ends_line(t, e->end)) {
        splice_in(t, e->end, 0, ",");
        splice_in(t, after_line(t, e->end), 0, arena_printf(t->arena, "%*s%s%s", column, "", value, t->line_break));
    } else
        splice_in(t, e->end, 0, arena_printf(t->arena, ",%s%*s%s", t->line_break, column, "", value));
}

/* A new entry in front of the old entry `i`; all->n: at the end. */
static void add_to_flow(splicing *s, const node *o, const entries *all, int i, const draft *d, bool is_first)
{
    edit_text *t = s->text;
    models like = models_at(all, i, d);
    int before = last_kept_before(all, i), behind = i;
    while (behind < all->n && !all->at[behind].is) behind++;
    if (before >= 0) {
        add_behind(s, o, all, before, d, like);
        return;
    }
    if (!like.near && all->n > 0) like.near = all->at[0].was;
    const char *value = entry_in_flow(s, d, like, -1);
    if (behind < all->n)
        splice_in(t, all->at[behind].begin, 0, arena_printf(t->arena, "%s, ", value));
    else
        splice_in(t, all->n ? all->at[0].begin : end_of(t, o) - 1, 0,
                  is_first ? value : arena_printf(t->arena, ", %s", value));
}

static void differ_in_flow(splicing *s, const draft *d)
{
    edit_text *t = s->text;
    entries all = entries_of(t, d);
    const draft *e = d->first;
    for (int i = 0; i <= all.n; i++) {
        for (; e && is_to_add(e); e = e->next) add_to_flow(s, d->was, &all, i, e, e == d->first);
        if (i == all.n) break;
        const entry *old = &all.at[i];
        if (!old->is) {
            drop_from_flow(t, d->was, &all, i);
            continue;
        }
        size_t behind = old->was->key ? key_end_of(t, old->was) : old->begin;
        size_t colon = find_mark(t, behind, start_of(t, old->was), ':');
        differ(s, old->is, (spot){true, 0, colon < start_of(t, old->was) ? colon + 1 : behind});
        e = old->is->next;
    }
}

/* ---- in lines ---- */

/* The first entry stands behind a dash. Those of the first ones that go make room for the next that stays. */
static int drop_behind_dash(edit_text *t, const entries *all)
{
    int kept = 0;
    while (kept < all->n && !all->at[kept].is) kept++;
    if (kept == all->n) return kept;
    size_t end = after_content(t, all->at[kept - 1].was), next = line_start(t, all->at[kept].begin);
    if (end == next)
        splice_in(t, all->at[0].begin, all->at[kept].begin - all->at[0].begin, "");
    else {
        size_t from = before_blanks(t, all->at[0].begin);
        splice_in(t, from, end - from, t->line_break);
    }
    return kept;
}

static void drop_lines(edit_text *t, const entry *e)
{
    size_t from = line_start(t, e->begin), end = after_content(t, e->was);
    splice_in(t, from, after_own_comments(t, end, column_of(t, e->begin)) - from, "");
}

static void empty_lines(splicing *s, const draft *d, spot where)
{
    edit_text *t = s->text;
    const char *nothing = d->form == NODE_MAPPING ? "{}" : "[]";
    size_t start = start_of(t, d->was);
    if (!holds_break(t, where.behind, start)) {
        splice_in(t, start, end_of(t, d->was) - start, nothing);
        return;
    }
    splice_in(t, where.behind, 0, arena_printf(t->arena, " %s", nothing));
    entries all = entries_of(t, d);
    for (int i = 0; i < all.n; i++) drop_lines(t, &all.at[i]);
}

/* Whether a blank line stands in front of the line. */
static bool is_set_apart(const edit_text *t, size_t at)
{
    size_t start = line_start(t, at);
    return start > 0 && before_blank_lines(t, start, 0) < start;
}

/* The lines of an entry, to the byte, with the comments that belong to it; NULL when it shares a line. */
static const char *lines_of(const edit_text *t, const node *was)
{
    entry e = {was, NULL, begin_of(t, was), end_of(t, was)};
    if (!was->key || !starts_own_line(t, e.begin)) return NULL;
    size_t from = line_start(t, e.begin), end = behind_entry(t, &e);
    bool is_whole = end > from && is_break(t->text[end - 1]);
    return arena_printf(t->arena, "%s%s", arena_text_n(t->arena, t->text + from, end - from),
                        is_whole ? "" : t->line_break);
}

static void add_to_lines(splicing *s, const entries *all, int i, const draft *d, spot where)
{
    edit_text *t = s->text;
    int column = column_of(t, all->at[0].begin);
    models like = models_at(all, i, d);
    const char *kept = d->is_moved ? lines_of(t, d->was) : NULL;
    if (!kept && where.column < 0 && is_section(d, (spot){.column = column})) {
        const char *key = written_key(&s->writer, d->key, all->at[0].was, false);
        bool is_apart = i > 0 && is_set_apart(t, all->at[i - 1].begin);
        splice_lines(t, i > 0 ? behind_entry(t, &all->at[i - 1]) : line_start(t, all->at[0].begin), 0,
                     arena_printf(t->arena, "%s%s:%s%s", is_apart ? t->line_break : "", key, t->line_break,
                                  written_entries(&s->writer, d, 2)));
        return;
    }
    const char *lines = kept ? kept : written_lines(&s->writer, d, like, column);
    if (i > 0)
        splice_lines(t, behind_entry(t, &all->at[i - 1]), 0, lines);
    else if (starts_own_line(t, all->at[0].begin))
        splice_lines(t, line_start(t, all->at[0].begin), 0, lines);
    else
        splice_in(t, all->at[0].begin, 0, arena_printf(t->arena, "%s%*s", lines + column, column, ""));
}

static void differ_in_lines(splicing *s, const draft *d, spot where)
{
    edit_text *t = s->text;
    entries all = entries_of(t, d);
    bool is_compact = !starts_own_line(t, all.at[0].begin);
    if (is_compact && !is_any_kept(&all, 0)) {
        replace_value(s, d, where);
        return;
    }
    const draft *e = d->first;
    int i = is_compact && !all.at[0].is ? drop_behind_dash(t, &all) : 0;
    for (; i <= all.n; i++) {
        for (; e && is_to_add(e); e = e->next) add_to_lines(s, &all, i, e, where);
        if (i == all.n) break;
        const entry *old = &all.at[i];
        if (!old->is) {
            drop_lines(t, old);
            continue;
        }
        size_t start = start_of(t, old->was);
        size_t behind = old->was->key ? find_mark(t, key_end_of(t, old->was), start, ':') + 1 : old->begin + 1;
        differ(s, old->is, (spot){false, column_of(t, old->begin), behind < start ? behind : start});
        e = old->is->next;
    }
}

/* ---- everything ---- */

static bool is_scalar_kept(const draft *d)
{
    return d->text == d->was->text || (strcmp(d->text, d->was->text) == 0 && d->is_plain == d->was->is_plain);
}

static void differ(splicing *s, const draft *d, spot where)
{
    edit_text *t = s->text;
    const node *o = d->was;
    if (d->key && strcmp(d->key, o->key) != 0) {
        size_t start = key_start_of(t, o);
        splice_in(t, start, key_end_of(t, o) - start, written_key(&s->writer, d->key, o, where.is_in_flow));
    }
    if (d->form != o->form || (o->form == NODE_SCALAR && !is_scalar_kept(d)))
        replace_value(s, d, where);
    else if (o->form == NODE_SCALAR || o->form == NODE_BROKEN)
        return;
    else if (o->n == 0 && is_section(d, where))
        fill_section(s, d, where);
    else if (o->is_flow)
        differ_in_flow(s, d);
    else if (d->n == 0)
        empty_lines(s, d, where);
    else
        differ_in_lines(s, d, where);
}

void edit_splice(edit_text *t, const draft *root)
{
    splicing s = {t, writer_of(t, root->was)};
    differ(&s, root, (spot){.column = -1, .behind = 0});
}
