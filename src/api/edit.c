/* Edits of a van file. See loomwall/edit.h. */
#include "loomwall/edit.h"
#include "api/handles.h"
#include "api/text.h"
#include "base/json.h"
#include "read/edit.h"

#include <stdlib.h>
#include <string.h>

/* ---- values ---- */

/* As deep as a file may be; what is deeper is refused by the reader. */
enum { deepest = 80 };

static draft *draft_value(arena *a, const lw_value *value, int depth)
{
    if (value->form == LW_SCALAR || depth > deepest) return draft_scalar(a, value->text ? value->text : "");
    draft *d = draft_collection(a, value->form == LW_LIST ? NODE_SEQUENCE : NODE_MAPPING);
    draft *last = NULL;
    for (size_t i = 0; i < value->n_entries; i++) {
        draft *entry = draft_value(a, &value->entries[i], depth + 1);
        if (value->form == LW_MAPPING) entry->key = arena_text(a, value->entries[i].key);
        draft_insert(d, last, entry);
        last = entry;
    }
    return d;
}

static edit *edits_of(arena *a, const lw_edit *given, size_t n)
{
    static const edit_verb verbs[] = {[LW_EDIT_PUT] = EDIT_PUT,
                                      [LW_EDIT_DROP] = EDIT_DROP,
                                      [LW_EDIT_RENAME] = EDIT_RENAME,
                                      [LW_EDIT_WIRE] = EDIT_WIRE,
                                      [LW_EDIT_MOVE] = EDIT_MOVE};
    edit *edits = ARENA_ARRAY(a, edit, n);
    for (size_t i = 0; i < n; i++)
        edits[i] = (edit){verbs[given[i].verb], given[i].path, (int)given[i].n_path,
                          given[i].value ? draft_value(a, given[i].value, 0) : NULL, given[i].to};
    return edits;
}

/* ---- edits ---- */

typedef struct edit_work {
    arena *arena;
    const lw_van *van;
    const lw_edit *edits;
    size_t n;
    lw_edited out;
    edited made;
    lw_status status;
} edit_work;

static void make(void *context)
{
    edit_work *w = context;
    edited_file file = {w->van->van, w->van->text, w->van->n_bytes};
    w->made = edit_make(w->arena, &file, edits_of(w->arena, w->edits, w->n), (int)w->n);
    w->status = w->made.text ? LW_OK : LW_REFUSED;
    w->out = (lw_edited){.text = w->made.text,
                         .n_bytes = w->made.text ? strlen(w->made.text) : 0,
                         .labels = w->made.labels,
                         .n_labels = (size_t)w->made.n_labels,
                         .refusal = w->made.why,
                         .edit = w->made.edit,
                         .memory = w->arena};
}

/* Which edit each fault comes from. A single edit has caused them all: the van read before it. */
static void blame(void *context)
{
    edit_work *w = context;
    size_t n = lw_report_count(w->out.report);
    int *edit_of = ARENA_ARRAY(w->arena, int, n);
    for (size_t i = 0; i < n; i++) {
        lw_fault f = lw_report_fault(w->out.report, i);
        edit_of[i] = w->n == 1 ? 0 : edit_at(&w->made, (place){f.line, f.column});
    }
    w->out.edit_of = edit_of;
    w->out.text = NULL;
    w->out.n_bytes = 0;
}

static bool read_again(edit_work *w)
{
    w->status = lw_van_read(w->van->van->file, w->out.text, w->out.n_bytes, &w->out.van, &w->out.report);
    if (w->status == LW_REFUSED) return arena_try(w->arena, blame, w);
    return w->status == LW_OK;
}

lw_status lw_van_edit(const lw_van *van, const lw_edit *edits, size_t n_edits, lw_edited *out)
{
    edit_work w = {.arena = arena_create(), .van = van, .edits = edits, .n = n_edits, .status = LW_OK};
    w.out.memory = w.arena;
    bool is_done = w.arena && arena_try(w.arena, make, &w) && (w.status != LW_OK || read_again(&w));
    if (!is_done) {
        lw_edited_finish(&w.out);
        return LW_NO_MEMORY;
    }
    *out = w.out;
    return w.status;
}

void lw_edited_finish(lw_edited *edited)
{
    if (!edited) return;
    lw_van_free(edited->van);
    lw_report_free(edited->report);
    arena_destroy(edited->memory);
    *edited = (lw_edited){.edit = LW_NO_EDIT};
}

/* ---- places ---- */

typedef struct place_asked {
    const char *text;
    size_t n_bytes;
    const char *const *path;
    size_t n_path;
    bool is_absent;
} place_asked;

static lw_status find_value(sink *s, const void *what)
{
    const place_asked *asked = what;
    const char *raw = NULL;
    if (!edit_raw_value(s->arena, asked->text, asked->n_bytes, asked->path, (int)asked->n_path, &raw))
        return LW_REFUSED;
    sink_add(s, raw ? "=" : "-");
    if (raw) sink_add(s, raw);
    return LW_OK;
}

lw_status lw_edit_value(const char *text, size_t n_bytes, const char *const *path, size_t n_path, char **raw)
{
    char *found = NULL;
    lw_status status = text_give(find_value, &(place_asked){text, n_bytes, path, n_path, false}, &found);
    if (status != LW_OK) {
        if (status == LW_REFUSED) lw_free(found);
        return status;
    }
    if (found[0] == '-') {
        lw_free(found);
        *raw = NULL;
        return LW_OK;
    }
    memmove(found, found + 1, strlen(found));
    *raw = found;
    return LW_OK;
}

/* ---- values of a command line ---- */

struct lw_parsed_value {
    arena *arena;
    const char *text;
    lw_value value;
    bool is_read;
};

static lw_value value_of(arena *a, const node *n)
{
    static const lw_value_form forms[] = {
        [NODE_SCALAR] = LW_SCALAR, [NODE_SEQUENCE] = LW_LIST, [NODE_MAPPING] = LW_MAPPING};
    lw_value *entries = ARENA_ARRAY(a, lw_value, (size_t)n->n);
    size_t n_entries = 0;
    for (const node *e = n->first; e; e = e->next) entries[n_entries++] = value_of(a, e);
    return (lw_value){forms[n->form], n->key, n->text, entries, n_entries};
}

static void parse_value(void *context)
{
    lw_parsed_value *p = context;
    const char *text = arena_text(p->arena, p->text);
    p->is_read = true;
    p->value = (lw_value){.form = LW_SCALAR, .text = text};
    if (!*text || !strchr("[{\"'", *text)) return;
    report *faults = report_create(p->arena, "value");
    const char *file = arena_printf(p->arena, "value: %s\n", text);
    const node *root = tree_read(p->arena, file, strlen(file), faults);
    p->is_read = root && root->n == 1 && report_is_empty(faults);
    if (p->is_read) p->value = value_of(p->arena, root->first);
}

lw_status lw_value_parse(const char *text, lw_parsed_value **parsed)
{
    arena *a = arena_create();
    lw_parsed_value *p = calloc(1, sizeof *p);
    if (p) *p = (lw_parsed_value){.arena = a, .text = text};
    lw_status status = !a || !p || !arena_try(a, parse_value, p) ? LW_NO_MEMORY : p->is_read ? LW_OK : LW_REFUSED;
    if (status == LW_OK) {
        *parsed = p;
        return LW_OK;
    }
    arena_destroy(a);
    free(p);
    return status;
}

const lw_value *lw_value_get(const lw_parsed_value *parsed) { return &parsed->value; }

void lw_value_free(lw_parsed_value *parsed)
{
    if (parsed) arena_destroy(parsed->arena);
    free(parsed);
}

/* ---- what was done, for other programs ---- */

typedef struct edit_told {
    const lw_edited *edited;
    bool is_changed, is_written;
} edit_told;

static lw_status json_edited(sink *s, const void *what)
{
    const edit_told *told = what;
    sink_add(s, "{\"van\": ");
    json_text(s, lw_van_name(told->edited->van));
    sink_add(s, ", \"labels\": ");
    json_words(s, told->edited->labels, (int)told->edited->n_labels);
    sink_add(s, ", \"changed\": ");
    json_truth(s, told->is_changed);
    sink_add(s, ", \"written\": ");
    json_truth(s, told->is_written);
    sink_add(s, "}\n");
    return LW_OK;
}

lw_status lw_edited_json(const lw_edited *edited, bool is_changed, bool is_written, char **json)
{
    return text_give(json_edited, &(edit_told){edited, is_changed, is_written}, json);
}
