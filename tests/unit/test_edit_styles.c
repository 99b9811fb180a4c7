/* Edits of files of every style: each scalar changed, each entry taken out, something added to each list and mapping, each entry
 * moved, each item renamed and copied. What comes out is the file that was meant, told by a printer of trees that knows nothing of how edits
 * are made, with every byte in place that is not of the entry; or it is refused, which may be rare.
 *
 * Arguments: van files. Each is looked at as it is, with CRLF, with a byte-order mark, and without a last line end; of a large
 * one, some entries. */
#include "fewer.h"
#include "read/edit.h"
#include "read/read.h"

#include "tap.h"
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- files ---- */

static arena *kept; /* the files */
static arena *a;    /* one edit */

enum { AS_IS, CRLF, MARK, NO_END, N_VARIANTS };
static const char *const variant_words[] = {"as it is", "CRLF", "byte-order mark", "no last line end"};

static char **paths;
static int n_paths;

static char *slurp(const char *path)
{
    FILE *f = fopen(path, "rb");
    ck_assert_msg(f != NULL, "%s can't be opened", path);
    char *text = arena_take(kept, 1 << 20, 1);
    size_t n = fread(text, 1, (1 << 20) - 1, f);
    fclose(f);
    ck_assert(n > 0 && n < (1 << 20) - 1);
    return text;
}

static const char *variant_of(const char *text, int variant)
{
    if (variant == MARK) return arena_printf(kept, "\xEF\xBB\xBF%s", text);
    if (variant == NO_END) return arena_text_n(kept, text, strlen(text) - 1);
    if (variant == AS_IS) return text;
    sink s = sink_in(kept);
    for (; *text; text++) {
        if (*text == '\n') sink_add(&s, "\r");
        sink_add_n(&s, text, 1);
    }
    return sink_text(&s);
}

static const node *tree_of(arena *in, const char *text)
{
    report *r = report_create(in, "van.yaml");
    const node *root = tree_read(in, text, strlen(text), r);
    return root && report_is_empty(r) ? root : NULL;
}

typedef struct subject {
    const char *name, *text;
    edited_file file;
    const node *root;
    ARRAY(size_t) begins; /* of keys and values, in their order */
} subject;

static size_t byte_at(const char *text, place where);
static place begin_of(const node *n) { return n->key ? n->key_where : n->where; }

static void note_begins(subject *s, const node *n)
{
    for (const node *e = n->first; e; e = e->next) {
        *ARRAY_ADD(kept, &s->begins) = byte_at(s->text, begin_of(e));
        note_begins(s, e);
    }
}

static subject subject_of(int i)
{
    const char *path = paths[i / N_VARIANTS];
    int variant = i % N_VARIANTS;
    subject s = {.name = arena_printf(kept, "%s, %s", path, variant_words[variant])};
    s.text = variant_of(slurp(path), variant);
    report *r = report_create(kept, path);
    const van *v = read_van(kept, path, s.text, strlen(s.text), r);
    ck_assert_msg(v != NULL, "%s", report_text(r, kept));
    s.file = (edited_file){v, s.text, strlen(s.text)};
    s.root = tree_of(kept, s.text);
    note_begins(&s, s.root);
    return s;
}

/* ---- what a tree says ---- */

/* What is meant to be different: at `at`, another text, nothing, another first entry, or one more behind the last. */
typedef struct change {
    const node *at;
    const char *text; /* NULL: none */
    bool is_dropped;
    const node *ahead;   /* entry that stands before the others */
    const char *more;    /* printed entry */
    const char *without; /* sections that are not looked at, as ",a,b," */
} change;

static void print_text(sink *s, const char *text) { sink_printf(s, "\"%zu:%s\"", strlen(text), text); }

static void print_entries(sink *s, const node *n, const change *c, bool is_root);

static void print_node(sink *s, const node *n, const change *c, bool is_root)
{
    if (c && n == c->at && c->text)
        print_text(s, c->text);
    else if (n->form == NODE_SCALAR && n->is_plain && !*n->text)
        sink_add(s, "nothing");
    else if (n->form == NODE_SCALAR)
        print_text(s, n->text);
    else
        print_entries(s, n, c, is_root);
}

static void print_entry(sink *s, const node *e, const change *c)
{
    if (e->key) print_text(s, e->key), sink_add(s, "=");
    print_node(s, e, c, false);
    sink_add(s, ";");
}

static void print_entries(sink *s, const node *n, const change *c, bool is_root)
{
    const node *ahead = c && n == c->at ? c->ahead : NULL;
    sink_add(s, n->form == NODE_MAPPING ? "{" : "[");
    if (ahead) print_entry(s, ahead, c);
    for (const node *e = n->first; e; e = e->next) {
        if (e == ahead || (c && e == c->at && c->is_dropped)) continue;
        if (is_root && c && c->without && strstr(c->without, arena_printf(a, ",%s,", e->key))) continue;
        print_entry(s, e, c);
    }
    if (c && n == c->at && c->more) sink_add(s, c->more);
    sink_add(s, n->form == NODE_MAPPING ? "}" : "]");
}

static const char *printed(const node *root, const change *c)
{
    sink s = sink_in(a);
    print_node(&s, root, c, true);
    return sink_text(&s);
}

/* ---- bytes ---- */

/* Places are found by line and column, not by the index of characters that edits use. */
static size_t byte_at(const char *text, place where)
{
    size_t at = strncmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    for (uint32_t line = 1; line < where.line; line++) {
        at += strcspn(text + at, "\r\n");
        at += text[at] == '\r' && text[at + 1] == '\n' ? 2 : 1;
    }
    for (uint32_t column = 1; column < where.column; column++) {
        at++;
        while (((unsigned char)text[at] & 0xC0) == 0x80) at++;
    }
    return at;
}

static size_t same_at_start(const char *x, const char *y)
{
    size_t n = 0;
    while (x[n] && x[n] == y[n]) n++;
    return n;
}

static size_t same_at_end(const char *x, const char *y)
{
    size_t n = 0, n_x = strlen(x), n_y = strlen(y);
    while (n < n_x && n < n_y && x[n_x - 1 - n] == y[n_y - 1 - n]) n++;
    return n;
}

/* What is different lies in [from, to) of the old text. */
static bool is_confined(const char *was, const char *is, size_t from, size_t to)
{
    return same_at_start(was, is) >= from && same_at_end(was, is) >= strlen(was) - to;
}

static size_t line_start(const char *text, size_t at)
{
    while (at > 0 && text[at - 1] != '\n' && text[at - 1] != '\r') at--;
    return at;
}

static size_t line_after(const char *text, size_t at)
{
    at += strcspn(text + at, "\r\n");
    return text[at] ? at + (text[at] == '\r' && text[at + 1] == '\n' ? 2 : 1) : at;
}

/* Line ends of one kind. */
static bool has_foreign_breaks(const char *was, const char *is)
{
    if (!strstr(was, "\r\n")) return strchr(is, '\r') != NULL;
    for (const char *c = is; (c = strchr(c, '\n')); c++)
        if (c == is || c[-1] != '\r') return true;
    return false;
}

/* Lines that hold nothing but a comment, in their order; those in [from, to) left out. */
static const char *comments(const char *text, size_t from, size_t to)
{
    sink s = sink_in(a);
    for (size_t at = 0, next; text[at]; at = next) {
        next = line_after(text, at);
        size_t mark = at + strspn(text + at, " \t\xEF\xBB\xBF");
        if (text[mark] == '#' && !(mark >= from && mark < to))
            sink_add_n(&s, text + mark, strcspn(text + mark, "\r\n"));
    }
    return sink_text(&s);
}

/* ---- walking ---- */

typedef struct walk {
    const subject *of;
    const char *path[16];
    int depth;
    int n_done, n_refused, n_wrong, n_seen, every;
    sink trouble;
} walk;

static void count_refused(walk *w, const char *what)
{
    w->n_refused++;
    if (getenv("SHOW_REFUSED")) sink_printf(&w->trouble, "refused: %s %s\n", what, path_text(a, w->path, w->depth));
}

static void count_wrong(walk *w, const char *what, const char *is)
{
    w->n_wrong++;
    if (w->n_wrong < 30)
        sink_printf(&w->trouble, "%s %s of %s:\n%s\n", what, path_text(kept, w->path, w->depth), w->of->name, is);
}

static edited make(const walk *w, edit_verb verb, draft *value, const char *to)
{
    edit what = {verb, w->path, w->depth, value, to};
    return edit_make(a, &w->of->file, &what, 1);
}

typedef void visit(walk *w, const node *n, const node *in);

static void go(walk *w, const node *n, const node *in, visit *do_one)
{
    if (in && w->n_seen++ % w->every == 0) {
        a = arena_create();
        do_one(w, n, in);
        arena_destroy(a);
    }
    int i = 0;
    for (const node *e = n->first; e; e = e->next, i++) {
        w->path[w->depth++] = e->key ? e->key : arena_printf(kept, "%d", i);
        go(w, e, n, do_one);
        w->depth--;
    }
}

/* Of a small file every entry; of a large one a share, and a smaller one under the sanitizers. */
static int every(bool is_large, int variant)
{
    int one_in = 100 / fewer(100);
    return is_large ? (variant == AS_IS ? 4 : 29) * one_in : one_in;
}

/* At least 98 % are done, and none is wrong. */
static void check_all(int i, const char *what, visit *do_one)
{
    subject s = subject_of(i);
    bool is_large = strlen(s.text) > 10000;
    if (is_large && i % N_VARIANTS > CRLF) return;
    walk w = {.of = &s, .trouble = sink_in(kept), .every = every(is_large, i % N_VARIANTS)};
    go(&w, s.root, NULL, do_one);
    fprintf(stderr, "# %s: %s: %d done, %d refused, %d wrong\n", s.name, what, w.n_done, w.n_refused, w.n_wrong);
    if (getenv("SHOW_REFUSED")) fputs(sink_text(&w.trouble), stderr);
    ck_assert_msg(w.n_wrong == 0, "%s", sink_text(&w.trouble));
    ck_assert_msg(w.n_refused <= 1 || 50 * w.n_refused <= w.n_done + w.n_refused, "%s: %d refused of %d", s.name,
                  w.n_refused, w.n_done + w.n_refused);
}

/* Where the text of a value can end at most: where the next key or value starts. */
static size_t next_begin(const subject *of, const node *n)
{
    size_t at = byte_at(of->text, n->where), low = 0, high = of->begins.n;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (of->begins.at[middle] > at)
            high = middle;
        else
            low = middle + 1;
    }
    return low < of->begins.n ? of->begins.at[low] : strlen(of->text);
}

/* ---- every scalar ---- */

static const char *const changed[] = {"changed", "it's: a # b, {c}",  "", "true", "~", "one\ntwo\n", "ü 車 – ",
                                      "- x",     "\"quoted\" \\ text"};
enum { n_changed = sizeof changed / sizeof changed[0] };

static void put_one(walk *w, const node *n, const char *to)
{
    const char *was = w->of->text;
    edited out = make(w, EDIT_PUT, draft_scalar(a, to), NULL);
    if (!out.text) {
        count_refused(w, "put");
        return;
    }
    const node *now = tree_of(a, out.text);
    size_t from = byte_at(was, n->where), end = next_begin(w->of, n);
    bool is_meant = now && strcmp(printed(now, NULL), printed(w->of->root, &(change){.at = n, .text = to})) == 0;
    if (!is_meant || !is_confined(was, out.text, from, end) || has_foreign_breaks(was, out.text) ||
        strcmp(comments(was, from, end), comments(out.text, from, end + strlen(out.text) - strlen(was))) != 0)
        count_wrong(w, "put", out.text);
    else
        w->n_done++;
}

static void put_each(walk *w, const node *n, const node *in)
{
    (void)in;
    if (n->form != NODE_SCALAR) return;
    bool is_example = strstr(w->of->name, "examples/") != NULL;
    for (int i = 0; i < n_changed; i++)
        if (strcmp(n->text, changed[i]) != 0 && (!is_example || i == 1)) put_one(w, n, changed[i]);
}

START_TEST(puts_each_scalar) { check_all(_i, "put", put_each); }
END_TEST

/* ---- and back ---- */

/* A text that is written over several lines can't come back: where its lines broke is not part of what it says. */
static bool can_come_back(const walk *w, const node *n)
{
    const char *start = w->of->text + byte_at(w->of->text, n->where);
    if (n->form != NODE_SCALAR || (n->is_plain && !*n->text)) return false;
    if (n->is_plain) return strncmp(start, n->text, strlen(n->text)) == 0;
    if (*start == '|') return true;
    size_t n_line = strcspn(start, "\r\n");
    return *start != '>' && memchr(start + 1, *start, n_line > 0 ? n_line - 1 : 0) != NULL &&
           !memchr(start, '\\', n_line);
}

static void put_back(walk *w, const node *n, const node *in)
{
    (void)in;
    if (!can_come_back(w, n)) return;
    const char *to = arena_printf(a, "%s%s", strchr(n->text, '\n') ? "more\n" : "more", n->text);
    if (is_truth_word(n->text)) to = strcmp(n->text, "true") == 0 ? "false" : "true";
    edited out = make(w, EDIT_PUT, draft_scalar(a, to), NULL);
    if (!out.text) {
        count_refused(w, "put before put-back");
        return;
    }
    edit what = {EDIT_PUT, w->path, w->depth, draft_scalar(a, n->text), NULL};
    edited back = edit_make(a, &(edited_file){w->of->file.van, out.text, strlen(out.text)}, &what, 1);
    if (!back.text)
        count_refused(w, "put-back");
    else if (strcmp(back.text, w->of->text) != 0)
        count_wrong(w, "put-back", arena_printf(kept, "%s---\n%s", out.text, back.text));
    else
        w->n_done++;
}

START_TEST(comes_back) { check_all(_i, "put and put back", put_back); }
END_TEST

/* ---- every entry ---- */

/* Where what goes with an entry starts and ends: the entry before it, the one behind. */
static size_t drop_start(const walk *w, const node *n, const node *in)
{
    const char *text = w->of->text;
    if (in->first == n) return in->key ? byte_at(text, in->key_where) : line_start(text, byte_at(text, in->where));
    const node *before = in->first;
    while (before->next != n) before = before->next;
    return byte_at(text, before->where);
}

static const node *last_leaf(const node *n)
{
    while (n->first)
        for (n = n->first; n->next;) n = n->next;
    return n;
}

static bool is_retired(const node *root, const char *label)
{
    const node *retired = node_get(root, "retired");
    for (const node *e = retired ? retired->first : NULL; e; e = e->next)
        if (strcmp(e->text, label) == 0) return true;
    return false;
}

/* In a file without brackets around an entry, comments below it that are further to the right belong to it. */
static size_t end_of_own(const char *text, const node *n, const node *in)
{
    size_t own = byte_at(text, last_leaf(n)->where);
    if (in->is_flow) return own;
    size_t column = begin_of(n).column - 1 - (n->key ? 0 : 2);
    for (size_t at = line_after(text, own); text[at]; at = line_after(text, at)) {
        size_t n_blank = strspn(text + at, " \t");
        if (text[at + n_blank] == '#' && n_blank > column)
            own = at + n_blank + 1;
        else if (!strchr("\r\n", text[at + n_blank]))
            break;
    }
    return own;
}

/* What goes along with a wire or an item changes elsewhere, and is looked at there. */
static void drop_each(walk *w, const node *n, const node *in)
{
    const char *was = w->of->text;
    edited out = make(w, EDIT_DROP, NULL, NULL);
    if (!out.text) {
        count_refused(w, "drop");
        return;
    }
    const node *now = tree_of(a, out.text), *leaf = last_leaf(n);
    bool is_wire = strcmp(w->path[0], "wires") == 0 && w->depth <= 2;
    bool is_item = strcmp(w->path[0], "items") == 0 && w->depth == 2;
    const char *without = is_wire ? ",retired,decided," : is_item ? ",wires,unlabelled,retired,decided,items," : NULL;
    size_t from = drop_start(w, n, in), end = next_begin(w->of, leaf);
    bool is_right = now && !has_foreign_breaks(was, out.text) &&
                    strcmp(printed(now, &(change){.without = without}),
                           printed(w->of->root, &(change){.at = n, .is_dropped = true, .without = without})) == 0;
    if (!without) is_right = is_right && is_confined(was, out.text, from, end);
    if (is_wire && w->depth == 2) is_right = is_right && is_retired(now, n->key);
    /* Comments within an entry go with it; those around it belong to others. */
    if (!is_item)
        is_right = is_right && strcmp(comments(was, byte_at(was, begin_of(n)), end_of_own(was, n, in)),
                                      comments(out.text, 0, 0)) == 0;
    if (is_right)
        w->n_done++;
    else
        count_wrong(w, "drop", out.text);
}

START_TEST(drops_each_entry) { check_all(_i, "drop", drop_each); }
END_TEST

/* ---- one more ---- */

static void add_each(walk *w, const node *n, const node *in)
{
    (void)in;
    if (n->form == NODE_SCALAR) return;
    const char *was = w->of->text;
    bool is_mapping = n->form == NODE_MAPPING;
    w->path[w->depth++] = is_mapping ? "new-key" : "-";
    edited out = make(w, EDIT_PUT, draft_scalar(a, "a: value"), NULL);
    w->depth--;
    if (!out.text) {
        count_refused(w, "add to");
        return;
    }
    const node *now = tree_of(a, out.text);
    const char *more = is_mapping ? "\"7:new-key\"=\"8:a: value\";" : "\"8:a: value\";";
    bool is_meant = now && strcmp(printed(now, NULL), printed(w->of->root, &(change){.at = n, .more = more})) == 0;
    if (is_meant && !has_foreign_breaks(was, out.text) && strcmp(comments(was, 0, 0), comments(out.text, 0, 0)) == 0 &&
        same_at_start(was, out.text) >= byte_at(was, n->where) - (n->n == 0))
        w->n_done++;
    else
        count_wrong(w, "add to", out.text);
}

START_TEST(adds_to_each) { check_all(_i, "add", add_each); }
END_TEST

/* ---- another order ---- */

/* Before the first of its mapping; its own comments come along, the others stay. */
static void move_each(walk *w, const node *n, const node *in)
{
    if (!n->key || in->first == n) return;
    const char *was = w->of->text;
    edited out = make(w, EDIT_MOVE, NULL, in->first->key);
    if (!out.text) {
        count_refused(w, "move");
        return;
    }
    const node *now = tree_of(a, out.text);
    bool is_meant = now && strcmp(printed(now, NULL), printed(w->of->root, &(change){.at = in, .ahead = n})) == 0;
    if (is_meant && !has_foreign_breaks(was, out.text) &&
        strlen(comments(was, 0, 0)) == strlen(comments(out.text, 0, 0)) &&
        is_confined(was, out.text, line_start(was, byte_at(was, begin_of(in->first))), strlen(was)))
        w->n_done++;
    else
        count_wrong(w, "move", out.text);
}

START_TEST(moves_each_entry) { check_all(_i, "move", move_each); }
END_TEST

/* ---- items ---- */

static const van *van_of(const char *text)
{
    return read_van(a, "van.yaml", text, strlen(text), report_create(a, "van.yaml"));
}

static bool is_item_path(const walk *w) { return w->depth == 2 && strcmp(w->path[0], "items") == 0; }

/* As long as the other, so that the file comes back when it is renamed again. */
static void rename_each(walk *w, const node *n, const node *in)
{
    (void)n, (void)in;
    if (!is_item_path(w)) return;
    const van *before = w->of->file.van;
    edited out = make(w, EDIT_RENAME, NULL, "another-name");
    if (!out.text) {
        count_refused(w, "rename");
        return;
    }
    const van *v = van_of(out.text);
    bool is_right = v && v->n_items == before->n_items && v->n_wires == before->n_wires &&
                    v->n_decisions == before->n_decisions && van_item(v, w->path[1]) < 0 &&
                    van_item(v, "another-name") == van_item(before, w->path[1]);
    for (int i = 0; is_right && i < v->n_wires; i++)
        is_right = v->wires[i].from == before->wires[i].from && v->wires[i].to == before->wires[i].to;
    edit what = {EDIT_RENAME, (const char *[]){"items", "another-name"}, 2, NULL, w->path[1]};
    edited back = edit_make(a, &(edited_file){before, out.text, strlen(out.text)}, &what, 1);
    if (is_right && back.text && strcmp(back.text, w->of->text) == 0)
        w->n_done++;
    else
        count_wrong(w, "rename", out.text);
}

START_TEST(renames_each_item) { check_all(_i, "rename", rename_each); }
END_TEST

static void copy_each(walk *w, const node *n, const node *in)
{
    if (!is_item_path(w)) return;
    const char *was = w->of->text;
    draft *value = draft_of(a, n);
    value->was = NULL;
    for (draft *e = value->first; e; e = e->next) {
        e->was = NULL;
        for (draft *m = e->first; m; m = m->next) m->was = NULL;
    }
    const char *id = w->path[1];
    w->path[1] = "a-copy";
    edited out = make(w, EDIT_PUT, value, NULL);
    w->path[1] = id;
    if (!out.text) {
        count_refused(w, "copy");
        return;
    }
    const node *now = tree_of(a, out.text);
    sink more = sink_in(a);
    sink_add(&more, "\"6:a-copy\"=");
    print_node(&more, n, NULL, false);
    sink_add(&more, ";");
    bool is_meant =
        now && strcmp(printed(now, NULL), printed(w->of->root, &(change){.at = in, .more = sink_text(&more)})) == 0;
    if (is_meant && van_of(out.text) && !has_foreign_breaks(was, out.text) &&
        strcmp(comments(was, 0, 0), comments(out.text, 0, 0)) == 0)
        w->n_done++;
    else
        count_wrong(w, "copy", out.text);
}

START_TEST(copies_each_item) { check_all(_i, "copy", copy_each); }
END_TEST

/* Nothing of it is left, and what is left reads. */
static void drop_item(walk *w, const node *n, const node *in)
{
    (void)n;
    if (!is_item_path(w) || in->n == 1) return;
    edited out = make(w, EDIT_DROP, NULL, NULL);
    if (!out.text) {
        count_refused(w, "drop item");
        return;
    }
    const van *before = w->of->file.van, *v = van_of(out.text);
    int n_wires = before->n_wires, item = van_item(before, w->path[1]);
    for (int i = 0; i < before->n_wires; i++)
        n_wires -= before->terminals[before->wires[i].from].item == item ||
                   before->terminals[before->wires[i].to].item == item;
    if (v && v->n_items == before->n_items - 1 && v->n_wires == n_wires && van_item(v, w->path[1]) < 0)
        w->n_done++;
    else
        count_wrong(w, "drop item", out.text);
}

START_TEST(drops_each_item) { check_all(_i, "drop item", drop_item); }
END_TEST

/* ---- */

static void setup(void) { kept = arena_create(); }
static void teardown(void) { arena_destroy(kept); }

int main(int argc, char **argv)
{
    paths = argv + 1;
    n_paths = argc - 1;
    int n = n_paths * N_VARIANTS;
    Suite *s = suite_create("edit-styles");
    TCase *t = tcase_create("edit-styles");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_set_timeout(t, 240);
    tcase_add_loop_test(t, puts_each_scalar, 0, n);
    tcase_add_loop_test(t, comes_back, 0, n);
    tcase_add_loop_test(t, drops_each_entry, 0, n);
    tcase_add_loop_test(t, adds_to_each, 0, n);
    tcase_add_loop_test(t, moves_each_entry, 0, n);
    tcase_add_loop_test(t, renames_each_item, 0, n);
    tcase_add_loop_test(t, copies_each_item, 0, n);
    tcase_add_loop_test(t, drops_each_item, 0, n);
    suite_add_tcase(s, t);
    return tap_run(s);
}
