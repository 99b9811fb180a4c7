/* What is meant. See draft.h. */
#include "read/draft.h"

#include <string.h>

enum { nobody = -1 };

draft *draft_of(arena *a, const node *n)
{
    draft *d = ARENA_NEW(a, draft);
    *d = (draft){.was = n, .form = n->form, .key = n->key, .text = n->text, .is_plain = n->is_plain, .edit = nobody};
    draft **end = &d->first;
    for (const node *e = n->first; e; e = e->next, end = &(*end)->next) *end = draft_of(a, e);
    d->n = n->n;
    return d;
}

bool is_truth_word(const char *text) { return strcmp(text, "true") == 0 || strcmp(text, "false") == 0; }

bool is_word_of_yaml(const char *text)
{
    return !*text || is_truth_word(text) || strcmp(text, "null") == 0 || strcmp(text, "~") == 0;
}

draft *draft_scalar(arena *a, const char *text)
{
    draft *d = ARENA_NEW(a, draft);
    *d = (draft){.form = NODE_SCALAR, .text = arena_text(a, text), .is_plain = is_truth_word(text), .edit = nobody};
    return d;
}

draft *draft_collection(arena *a, node_form form)
{
    draft *d = ARENA_NEW(a, draft);
    *d = (draft){.form = form, .edit = nobody};
    return d;
}

draft *draft_get(const draft *d, const char *key)
{
    for (draft *e = d->form == NODE_MAPPING ? d->first : NULL; e; e = e->next)
        if (strcmp(e->key, key) == 0) return e;
    return NULL;
}

draft *draft_at(const draft *d, int i)
{
    draft *e = d->first;
    while (e && i-- > 0) e = e->next;
    return e;
}

void draft_insert(draft *d, draft *after, draft *entry)
{
    draft **at = after ? &after->next : &d->first;
    entry->next = *at;
    *at = entry;
    d->n++;
}

void draft_append(draft *d, draft *entry)
{
    draft *last = d->first;
    while (last && last->next) last = last->next;
    draft_insert(d, last, entry);
}

void draft_remove(draft *d, const draft *entry)
{
    draft **at = &d->first;
    while (*at != entry) at = &(*at)->next;
    *at = entry->next;
    d->n--;
}

void draft_touch(draft *d, int edit)
{
    d->edit = edit;
    for (draft *e = d->first; e; e = e->next) draft_touch(e, edit);
}

void draft_say(draft *d, const char *text, int edit)
{
    d->edit = edit;
    bool is_quoted = d->was && d->was->form == NODE_SCALAR && !d->was->is_plain;
    bool is_plain = !is_quoted && is_truth_word(text);
    if (strcmp(d->text, text) == 0 && (!is_word_of_yaml(text) || d->is_plain == is_plain)) return;
    d->text = text;
    d->is_plain = is_plain;
}

static void replace(draft *d, const draft *value, int edit)
{
    d->form = value->form;
    d->text = value->text;
    d->is_plain = value->is_plain;
    d->first = value->first;
    d->n = value->n;
    draft_touch(d, edit);
}

static void become_mapping(draft *d, const draft *value, int edit)
{
    for (draft *e = d->first, *next; e; e = next) {
        next = e->next;
        if (!draft_get(value, e->key)) draft_remove(d, e);
    }
    for (draft *v = value->first, *next; v; v = next) {
        next = v->next;
        draft *e = draft_get(d, v->key);
        if (e)
            draft_become(e, v, edit);
        else
            draft_append(d, v), draft_touch(v, edit);
    }
}

static bool says_same(const draft *a, const draft *b)
{
    return a->form == NODE_SCALAR && b->form == NODE_SCALAR && strcmp(a->text, b->text) == 0;
}

/* What stands the same at the end of both; `n` entries of each may be in it. */
static int same_at_end(const draft *a, const draft *b, int n)
{
    int n_same = 0;
    while (n_same < n && says_same(draft_at(a, a->n - 1 - n_same), draft_at(b, b->n - 1 - n_same))) n_same++;
    return n_same;
}

/* Entries that are the same at the start and at the end stay; in between, one becomes the other as far as both go. */
static void become_list(draft *d, const draft *value, int edit)
{
    draft *e = d->first, *before = NULL, *v = value->first;
    int n_start = 0;
    for (; e && v && says_same(e, v); before = e, e = e->next, v = v->next) n_start++;
    int n_less = d->n < value->n ? d->n : value->n, n_end = same_at_end(d, value, n_less - n_start);
    int n_was = d->n - n_start - n_end, n_is = value->n - n_start - n_end;
    for (; e && v && n_was > 0 && n_is > 0; n_was--, n_is--, before = e, e = e->next, v = v->next)
        draft_become(e, v, edit);
    for (draft *next; e && n_was > 0; n_was--, e = next) next = e->next, draft_remove(d, e);
    for (draft *next; v && n_is > 0; n_is--, before = v, v = next)
        next = v->next, draft_insert(d, before, v), draft_touch(v, edit);
}

void draft_become(draft *d, const draft *value, int edit)
{
    d->edit = edit;
    if (d->form != value->form)
        replace(d, value, edit);
    else if (d->form == NODE_SCALAR)
        draft_say(d, value->text, edit);
    else if (d->form == NODE_MAPPING)
        become_mapping(d, value, edit);
    else
        become_list(d, value, edit);
}

static bool is_same_scalar(const draft *d, const node *n)
{
    bool is_kept = d->was && d->was->form == NODE_SCALAR && d->was->text == d->text;
    if (strcmp(d->text, n->text) != 0) return false;
    return is_kept || is_word_of_yaml(d->text) ? d->is_plain == n->is_plain : true;
}

bool draft_is(const draft *d, const node *n)
{
    if (d->form != n->form || d->n != n->n || (d->form == NODE_SCALAR && !is_same_scalar(d, n))) return false;
    const draft *e = d->first;
    const node *m = n->first;
    for (; e && m; e = e->next, m = m->next)
        if ((d->form == NODE_MAPPING && strcmp(e->key, m->key) != 0) || !draft_is(e, m)) return false;
    return !e && !m;
}
