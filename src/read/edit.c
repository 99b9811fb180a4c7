/* Edits of a van file: a draft is changed, the text follows, and both are compared. See edit.h. */
#include "read/edit.h"

#include "read/edit_splice.h"
#include "read/edit_text.h"
#include "read/edit_verbs.h"
#include <stdlib.h>
#include <string.h>

static const node *tree_of(arena *a, const char *name, const char *text, size_t n)
{
    report *faults = report_create(a, name);
    const node *root = tree_read(a, text, n, faults);
    return report_is_empty(faults) ? root : NULL;
}

static void refuse(edited *out, const char *why, int edit)
{
    out->text = NULL;
    out->why = why;
    out->edit = edit;
}

/* The draft says what is meant; the text is to say it, too. */
static void follow(arena *a, const edited_file *file, const draft *root, edited *out)
{
    edit_text t = edit_text_of(a, file->text, file->n);
    edit_splice(&t, root);
    const char *text = spliced(&t);
    const node *now = text ? tree_of(a, file->van->file, text, strlen(text)) : NULL;
    out->meant = root;
    if (!now || !draft_is(root, now)) return;
    out->text = text;
    out->now = now;
}

static const char *about(arena *a, const edit *what)
{
    return what->verb == EDIT_WIRE ? "wires" : path_text(a, what->path, what->n_path);
}

edited edit_make(arena *a, const edited_file *file, const edit *edits, int n)
{
    edited out = {.edit = -1};
    const node *root = tree_of(a, file->van->file, file->text, file->n);
    editing e = {.arena = a, .root = draft_of(a, root)};
    for (; e.edit < n; e.edit++)
        if (!edit_do(&e, &edits[e.edit])) {
            refuse(&out, e.why, e.edit);
            return out;
        }
    follow(a, file, e.root, &out);
    if (!out.text)
        refuse(
            &out,
            arena_printf(a,
                         "the file is written in a way in which %s%s%s can't be changed without touching more; change "
                         "it by hand",
                         n == 1 ? "`" : "", n == 1 ? about(a, &edits[0]) : "this", n == 1 ? "`" : ""),
            n == 1 ? 0 : -1);
    out.labels = e.labels.at;
    out.n_labels = (int)e.labels.n;
    return out;
}

const char *edit_retire(arena *a, const edited_file *file, const char *label, const char **why)
{
    if (names_find(file->van->retired, label) >= 0) return arena_text_n(a, file->text, file->n);
    edited out = {.edit = -1};
    editing e = {.arena = a, .root = draft_of(a, tree_of(a, file->van->file, file->text, file->n))};
    retire_label(&e, label);
    follow(a, file, e.root, &out);
    if (!out.text)
        *why = "the file is written in a way that can't be changed here without touching more: add the label to "
               "`retired` by hand";
    return out.text;
}

/* ---- who did what ---- */

static bool is_at(place a, place b) { return a.line == b.line && a.column == b.column; }

/* The draft and its tree say the same, entry for entry. */
static bool find_edit(const draft *d, const node *n, place where, int *edit)
{
    bool is_here = is_at(n->where, where) || (n->key && is_at(n->key_where, where));
    if (is_here && d->edit >= 0) {
        *edit = d->edit;
        return true;
    }
    const draft *e = d->first;
    for (const node *m = n->first; m; m = m->next, e = e->next)
        if (find_edit(e, m, where, edit)) return true;
    return false;
}

int edit_at(const edited *e, place where)
{
    int edit = -1;
    if (e->now) find_edit(e->meant, e->now, where, &edit);
    return edit;
}

/* ---- places of a text that need not be a van ---- */

static const node *entry_at(const node *n, const char *word)
{
    if (n->form == NODE_MAPPING) return node_get(n, word);
    if (n->form != NODE_SEQUENCE || strspn(word, "0123456789") != strlen(word) || !*word) return NULL;
    long i = strtol(word, NULL, 10);
    const node *e = n->first;
    while (e && i-- > 0) e = e->next;
    return e;
}

bool edit_raw_value(arena *a, const char *text, size_t n, const char *const *path, int n_path, const char **raw)
{
    const char *kept = arena_text_n(a, text, n);
    const node *at = tree_read(a, kept, n, report_create(a, ""));
    if (!at) return false;
    for (int i = 0; at && i < n_path; i++) at = entry_at(at, path[i]);
    edit_text t = edit_text_of(a, kept, n);
    *raw = at ? bytes_of(&t, at) : NULL;
    return true;
}
