/* What edits mean. See edit_verbs.h. */
#include "read/edit_verbs.h"

#include "read/keys.h"
#include "read/wires.h"
#include <stdlib.h>
#include <string.h>

static bool refuse(editing *e, const char *why)
{
    e->why = why;
    return false;
}

#define REFUSE(e, ...) refuse((e), arena_printf((e)->arena, __VA_ARGS__))

const char *path_text(arena *a, const char *const *path, int n)
{
    sink s = sink_in(a);
    for (int i = 0; i < n; i++) sink_printf(&s, "%s%s", i ? "." : "", path[i]);
    return sink_text(&s);
}

/* ---- places ---- */

/* The number that a path names an entry of a list by; -1 if it is none. */
static int list_index(const char *word)
{
    size_t n = strspn(word, "0123456789");
    return n == 0 || n > 6 || word[n] ? -1 : atoi(word);
}

static draft *entry_at(const draft *d, const char *word)
{
    int i = d->form == NODE_SEQUENCE ? list_index(word) : -1;
    return i >= 0 ? draft_at(d, i) : draft_get(d, word);
}

static draft *find(const editing *e, const char *const *path, int n)
{
    draft *d = e->root;
    for (int i = 0; d && i < n; i++) d = entry_at(d, path[i]);
    return d;
}

static bool is_nothing(const draft *d)
{
    return d->form == NODE_SCALAR && d->is_plain && is_word_of_yaml(d->text) && !is_truth_word(d->text);
}

static const key_rule *top_rule(const char *key, int *index)
{
    for (int i = 0; i < n_top_keys; i++)
        if (strcmp(top_keys.rules[i].name, key) == 0) {
            *index = i;
            return &top_keys.rules[i];
        }
    return NULL;
}

/* Behind the nearest of those that come before it in the table, and behind the sections among them that follow it. */
static void insert_section(editing *e, draft *section)
{
    int own = n_top_keys, nearest = -1, other;
    top_rule(section->key, &own);
    draft *after = NULL;
    for (draft *d = e->root->first; d; d = d->next)
        if (top_rule(d->key, &other) && other < own && other > nearest) after = d, nearest = other;
    while (after && after->next && top_rule(after->next->key, &other) && other >= top_conditions && other < own)
        after = after->next;
    draft_insert(e->root, after, section);
    draft_touch(section, e->edit);
}

/* The section of this name, made if it is not there. NULL when it can't hold anything. */
static draft *section(editing *e, const char *key)
{
    int index;
    const key_rule *rule = top_rule(key, &index);
    bool is_list = rule && (rule->holds == HOLDS_LIST);
    if (!rule || (!is_list && rule->holds != HOLDS_MAPPING)) return NULL;
    draft *d = draft_get(e->root, key);
    node_form form = is_list ? NODE_SEQUENCE : NODE_MAPPING;
    if (d && is_nothing(d)) draft_become(d, draft_collection(e->arena, form), e->edit);
    if (d) return d->form == form ? d : NULL;
    d = draft_collection(e->arena, form);
    d->key = arena_text(e->arena, key);
    insert_section(e, d);
    return d;
}

/* What holds the entry of a path, made if it may be: a section, and what is within a kind. */
static draft *holder(editing *e, const edit *what)
{
    if (what->n_path == 1) return e->root;
    draft *d = section(e, what->path[0]);
    if (!d) {
        REFUSE(e, "`%s` holds no entries; name one of the sections of a van file", what->path[0]);
        return NULL;
    }
    for (int i = 1; i + 1 < what->n_path; i++) {
        draft *within = entry_at(d, what->path[i]);
        if (!within && i >= 2 && d->form == NODE_MAPPING) {
            within = draft_collection(e->arena, NODE_MAPPING);
            within->key = what->path[i];
            draft_append(d, within);
        }
        if (!within) {
            REFUSE(e, "there is no `%s`; add it first, or name another", path_text(e->arena, what->path, i + 1));
            return NULL;
        }
        d = within;
    }
    return d;
}

/* ---- put ---- */

static bool put_in_list(editing *e, const edit *what, draft *list)
{
    const char *word = what->path[what->n_path - 1];
    int i = strcmp(word, "-") == 0 ? list->n : list_index(word);
    if (i < 0 || i > list->n)
        return REFUSE(e, "`%s` is no place in a list of %d; number its entries from 0", word, list->n);
    if (i < list->n)
        draft_become(draft_at(list, i), what->value, e->edit);
    else
        draft_append(list, what->value), draft_touch(what->value, e->edit);
    return true;
}

static bool put(editing *e, const edit *what)
{
    if (what->n_path == 0) return refuse(e, "an edit without a path; name what it is about");
    draft *in = holder(e, what);
    if (!in) return false;
    const char *key = what->path[what->n_path - 1];
    if (in->form == NODE_SEQUENCE) return put_in_list(e, what, in);
    if (in->form != NODE_MAPPING)
        return REFUSE(e, "`%s` holds a text; put a mapping there first",
                      path_text(e->arena, what->path, what->n_path - 1));
    draft *d = draft_get(in, key);
    if (d) {
        draft_become(d, what->value, e->edit);
        return true;
    }
    what->value->key = arena_text(e->arena, key);
    if (in == e->root)
        insert_section(e, what->value);
    else
        draft_append(in, what->value), draft_touch(what->value, e->edit);
    return true;
}

/* ---- drop ---- */

void retire_label(editing *e, const char *label)
{
    draft *list = draft_get(e->root, "retired");
    if (!list || list->form != NODE_SEQUENCE) list = section(e, "retired");
    if (!list) return;
    for (const draft *d = list->first; d; d = d->next)
        if (d->form == NODE_SCALAR && strcmp(d->text, label) == 0) return;
    draft *entry = draft_scalar(e->arena, label);
    entry->edit = e->edit;
    draft_append(list, entry);
}

static bool says(const draft *d, const char *text) { return d && d->form == NODE_SCALAR && strcmp(d->text, text) == 0; }

/* "pump.pos" of "pump". */
static bool is_of_item(const char *text, const char *id)
{
    size_t n = strlen(id);
    return strncmp(text, id, n) == 0 && text[n] == '.';
}

static bool names_part(const draft *d, const char *id)
{
    return d && d->form == NODE_SCALAR && is_of_item(d->text, id);
}

/* `item pump` or `terminal pump.neg`. */
static bool is_about_item(const draft *where, const char *id)
{
    static const char item[] = "item ", terminal[] = "terminal ";
    if (!where || where->form != NODE_SCALAR) return false;
    if (strncmp(where->text, item, strlen(item)) == 0) return strcmp(where->text + strlen(item), id) == 0;
    return strncmp(where->text, terminal, strlen(terminal)) == 0 && is_of_item(where->text + strlen(terminal), id);
}

typedef bool entry_test(const editing *e, const draft *entry, const char *name);

static void drop_where(editing *e, draft *d, entry_test *test, const char *name)
{
    for (draft *entry = d ? d->first : NULL, *next; entry; entry = next) {
        next = entry->next;
        if (test(e, entry, name)) draft_remove(d, entry), d->edit = e->edit;
    }
}

static bool is_decided_on_wire(const editing *e, const draft *entry, const char *label)
{
    return says(draft_get(entry, "where"), arena_printf(e->arena, "wire %s", label));
}

static bool is_decided_on_item(const editing *e, const draft *entry, const char *id)
{
    (void)e;
    return is_about_item(draft_get(entry, "where"), id);
}

static bool is_mention(const editing *e, const draft *entry, const char *id)
{
    (void)e;
    return names_part(entry, id);
}

static bool ends_on_item(const editing *e, const draft *wire, const char *id)
{
    (void)e;
    return names_part(draft_get(wire, "from"), id) || names_part(draft_get(wire, "to"), id);
}

static void drop_wire(editing *e, draft *wires, const draft *wire)
{
    draft_remove(wires, wire);
    wires->edit = e->edit;
    retire_label(e, wire->key);
    drop_where(e, draft_get(e->root, "decided"), is_decided_on_wire, wire->key);
}

static void drop_mentions(editing *e, draft *item, const char *id)
{
    draft *never = draft_get(item, "never-with");
    if (!never || never->form != NODE_SEQUENCE) return;
    int n = never->n;
    drop_where(e, never, is_mention, id);
    if (n > 0 && never->n == 0) draft_remove(item, never);
}

static void drop_item(editing *e, draft *items, const draft *item)
{
    const char *id = item->key;
    draft *wires = draft_get(e->root, "wires");
    draft_remove(items, item);
    items->edit = e->edit;
    for (draft *w = wires ? wires->first : NULL, *next; w; w = next) {
        next = w->next;
        if (ends_on_item(e, w, id)) drop_wire(e, wires, w);
    }
    drop_where(e, draft_get(e->root, "unlabelled"), ends_on_item, id);
    drop_where(e, draft_get(e->root, "decided"), is_decided_on_item, id);
    for (draft *other = items->first; other; other = other->next) drop_mentions(e, other, id);
}

static bool is_section_path(const edit *what, const char *key, int n)
{
    return what->n_path == n && strcmp(what->path[0], key) == 0;
}

static bool drop(editing *e, const edit *what)
{
    draft *in = what->n_path > 0 ? find(e, what->path, what->n_path - 1) : NULL;
    draft *d = in ? entry_at(in, what->path[what->n_path - 1]) : NULL;
    if (!d)
        return REFUSE(e, "there is no `%s` to take out; read the file again, or name another",
                      path_text(e->arena, what->path, what->n_path));
    if (is_section_path(what, "wires", 2))
        drop_wire(e, in, d);
    else if (is_section_path(what, "items", 2))
        drop_item(e, in, d);
    else if (is_section_path(what, "wires", 1)) {
        while (d->first) drop_wire(e, d, d->first);
        draft_remove(in, d);
    } else
        draft_remove(in, d);
    in->edit = e->edit;
    return true;
}

/* ---- rename ---- */

/* The id at `at` within the text of `d` becomes another. */
static void rename_within(editing *e, draft *d, size_t at, const char *id, const char *to)
{
    const char *text = d->text;
    draft_say(d, arena_printf(e->arena, "%.*s%s%s", (int)at, text, to, text + at + strlen(id)), e->edit);
}

static void rename_part(editing *e, draft *d, const char *id, const char *to)
{
    if (names_part(d, id)) rename_within(e, d, 0, id, to);
}

static void rename_ends(editing *e, const draft *wires, const char *id, const char *to)
{
    for (draft *w = wires ? wires->first : NULL; w; w = w->next) {
        rename_part(e, draft_get(w, "from"), id, to);
        rename_part(e, draft_get(w, "to"), id, to);
    }
}

static void rename_item(editing *e, const draft *items, draft *item, const char *to)
{
    const char *id = item->key;
    rename_ends(e, draft_get(e->root, "wires"), id, to);
    rename_ends(e, draft_get(e->root, "unlabelled"), id, to);
    for (draft *other = items->first; other; other = other->next) {
        const draft *never = draft_get(other, "never-with");
        for (draft *m = never ? never->first : NULL; m; m = m->next) rename_part(e, m, id, to);
    }
    const draft *decided = draft_get(e->root, "decided");
    for (draft *entry = decided ? decided->first : NULL; entry; entry = entry->next) {
        draft *where = draft_get(entry, "where");
        if (is_about_item(where, id))
            rename_within(e, where, (size_t)(strchr(where->text, ' ') + 1 - where->text), id, to);
    }
    item->key = to;
}

static void rename_kind_of(editing *e, const draft *holders, const char *name, const char *to)
{
    for (draft *d = holders ? holders->first : NULL; d; d = d->next) {
        draft *kind = draft_get(d, "kind");
        if (says(kind, name)) draft_say(kind, to, e->edit);
    }
}

static void rename_kind(editing *e, const draft *kinds, draft *kind, const char *to)
{
    const char *name = kind->key;
    rename_kind_of(e, draft_get(e->root, "items"), name, to);
    for (draft *other = kinds->first; other; other = other->next)
        rename_kind_of(e, draft_get(other, "inside"), name, to);
    kind->key = to;
}

/* Failures, in the order of the code: a wire; neither item nor kind; not there; not an id; taken. */
static bool rename_entry(editing *e, const edit *what)
{
    bool is_item = is_section_path(what, "items", 2);
    if (is_section_path(what, "wires", 2))
        return REFUSE(e,
                      "the label of a wire never changes: it is printed on both of its sleeves; take the wire `%s` out "
                      "(its label is retired) and add one under another label",
                      what->path[1]);
    if (!is_item && !is_section_path(what, "kinds", 2))
        return REFUSE(e, "`%s` can't be renamed; only items and kinds can",
                      path_text(e->arena, what->path, what->n_path));
    draft *in = draft_get(e->root, what->path[0]), *d = in ? draft_get(in, what->path[1]) : NULL;
    if (!d)
        return REFUSE(e, "there is no `%s` to rename; read the file again, or name another",
                      path_text(e->arena, what->path, 2));
    if (!id_is_sound(what->to))
        return REFUSE(e,
                      "`%s` is not an id; an id is lower-case words joined by hyphens, at most 64 characters, as "
                      "`pump-switch`",
                      what->to);
    const draft *other = draft_get(in, what->to);
    if (other && other != d)
        return REFUSE(e, "there is a `%s` already; take another name",
                      path_text(e->arena, (const char *[]){what->path[0], what->to}, 2));
    const char *to = arena_text(e->arena, what->to);
    if (is_item)
        rename_item(e, in, d, to);
    else
        rename_kind(e, in, d, to);
    d->edit = e->edit;
    return true;
}

/* ---- move ---- */

static bool move(editing *e, const edit *what)
{
    draft *in = what->n_path > 0 ? find(e, what->path, what->n_path - 1) : NULL;
    draft *d = in ? draft_get(in, what->path[what->n_path - 1]) : NULL, *before = in ? draft_get(in, what->to) : NULL;
    if (!d)
        return REFUSE(e, "there is no `%s` to move; read the file again, or name another",
                      path_text(e->arena, what->path, what->n_path));
    if (!before) return REFUSE(e, "there is no `%s` beside it; name an entry of the same mapping", what->to);
    if (d == before || d->next == before) return true;
    draft_remove(in, d);
    draft *after = NULL;
    for (draft *other = in->first; other != before; other = other->next) after = other;
    draft_insert(in, after, d);
    d->is_moved = true;
    d->edit = in->edit = e->edit;
    return true;
}

/* ---- wires ---- */

static int highest_number(const editing *e)
{
    int number = 0;
    const draft *wires = draft_get(e->root, "wires"), *retired = draft_get(e->root, "retired");
    for (const draft *d = wires ? wires->first : NULL; d; d = d->next) number = label_higher(number, d->key);
    for (const draft *d = retired ? retired->first : NULL; d; d = d->next)
        if (d->form == NODE_SCALAR) number = label_higher(number, d->text);
    return number;
}

static bool is_retired(const editing *e, const char *label)
{
    const draft *retired = draft_get(e->root, "retired");
    for (const draft *d = retired ? retired->first : NULL; d; d = d->next)
        if (says(d, label)) return true;
    return false;
}

static bool add_wire(editing *e, const edit *what)
{
    draft *wires = section(e, "wires");
    if (!wires || what->value->form != NODE_MAPPING)
        return refuse(e, "a wire is a mapping under `wires`; give it `from` and `to`");
    int number = highest_number(e);
    const char *label;
    do label = arena_printf(e->arena, "W%d", ++number);
    while (draft_get(wires, label) || is_retired(e, label));
    what->value->key = label;
    draft_append(wires, what->value);
    draft_touch(what->value, e->edit);
    *ARRAY_ADD(e->arena, &e->labels) = label;
    return true;
}

bool edit_do(editing *e, const edit *what)
{
    switch (what->verb) {
    case EDIT_PUT:
        return put(e, what);
    case EDIT_DROP:
        return drop(e, what);
    case EDIT_RENAME:
        return rename_entry(e, what);
    case EDIT_WIRE:
        return add_wire(e, what);
    case EDIT_MOVE:
        return move(e, what);
    }
    return refuse(e, "an edit that is not known; put, drop, rename, wire or move");
}
