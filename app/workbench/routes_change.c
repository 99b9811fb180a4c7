/* Routes that change the file: edits, texts, undo and redo, ready-made circuits, the start. */
#include "inside.h"
#include "loomwall/circuits.h"
#include "loomwall/edit.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

/* --- what all of them share --- */

static void drop_result(void *context) { snapshot_drop(((change *)context)->result); }

/* The change that is asked: its revision, its words, whether it is dry. NULL, having answered, when that is not told right. */
static change *ask_change(call *c, const json_t *asked, const char *says)
{
    enum { most_words = 300 };
    change *g = ARENA_NEW(c->arena, change);
    g->arena = c->arena;
    g->says = says;
    arena_defer(c->arena, drop_result, g);
    if (!ask_count(c, asked, "revision", &g->revision) || !ask_truth(c, asked, "dry", false, &g->is_dry)) return NULL;
    if (!says && !ask_text(c, asked, "says", "an edit", &g->says)) return NULL;
    if (strlen(g->says) <= most_words) return g;
    answer_error(c, 400, "`says` is too long; tell in a few words what is done");
    return NULL;
}

static void answer_faults(call *c, const lw_report *report, const int *edit_of)
{
    sink s = sink_in(c->arena);
    sink_add(&s, "{\"error\": \"the file could not be read as a van any more; mend what is wrong\", ");
    json_faults(&s, report, edit_of);
    sink_add(&s, "}");
    answer_json(c, 422, &s);
}

static void answer_failure(call *c, int why)
{
    const char *name = sitting_where(c->workbench->sitting).name;
    bool is_full = why == ENOSPC || why == EDQUOT || why == EFBIG;
    const char *way_out = is_full ? "make room on the disk"
                          : why == EACCES || why == EPERM || why == EROFS
                              ? "get the right to write to it and to its folder"
                              : "look to the disk";
    answer_error(c, is_full ? 507 : 500, "%s could not be written: %s; nothing is changed: %s, and do it again",
                 name[0] ? name : "the file", strerror(why), way_out);
}

/* What came of a change that was not made. REFUSED was answered by who refused. */
static void answer_not_made(call *c, const change *g, change_outcome outcome)
{
    int why = errno;
    switch (outcome) {
    case CHANGE_UNREADABLE:
        answer_faults(c, g->result->faults, NULL);
        return;
    case CHANGE_STALE:
        answer_error(c, 409, "the file is another by now than revision %u; look at it, and do it again", g->revision);
        return;
    case CHANGE_CONTESTED:
        answer_error(c, 409, "another program is writing to the file; do it again in a moment");
        return;
    case CHANGE_FAILED:
        answer_failure(c, why);
        return;
    case CHANGE_REFUSED:
    case CHANGE_DONE:
        return;
    }
}

/* {"revision": N; what else there is to tell is added before the end. */
static sink begin_made(call *c, const change *g)
{
    sink s = sink_in(c->arena);
    unsigned revision = g->is_dry ? g->revision : g->result->revision;
    sink_printf(&s, "{\"revision\": %u", revision);
    return s;
}

static void end_made(call *c, sink *s)
{
    sink_add(s, "}");
    answer_json(c, 200, s);
}

static bool is_van(call *c, const snapshot *now)
{
    if (!now->van) answer_error(c, 422, "the file can't be read as a van; mend its faults as text first");
    return now->van;
}

/* --- edits --- */

typedef struct editing {
    call *call;
    const lw_edit *edits;
    size_t n;
    lw_edited edited;
} editing;

static void finish_edited(void *context) { lw_edited_finish(&((editing *)context)->edited); }

/* How a scalar of JSON is written in a file; NULL for what is none. */
static const char *scalar_text(arena *a, const json_t *value)
{
    char number[number_room];
    if (json_is_string(value)) return json_string_value(value);
    if (json_is_boolean(value)) return json_is_true(value) ? "true" : "false";
    if (json_is_number(value)) return arena_text(a, number_exact(json_number_value(value), number));
    return NULL;
}

/* Nested as deep as ask_object lets pass. False for null. */
static bool read_value(arena *a, const json_t *json, lw_value *value)
{
    size_t i = 0;
    const char *key;
    json_t *part;
    if (!json_is_object(json) && !json_is_array(json)) {
        value->form = LW_SCALAR;
        value->text = scalar_text(a, json);
        return value->text;
    }
    bool is_list = json_is_array(json);
    value->form = is_list ? LW_LIST : LW_MAPPING;
    value->n_entries = is_list ? json_array_size(json) : json_object_size(json);
    lw_value *entries = ARENA_ARRAY(a, lw_value, value->n_entries + 1);
    value->entries = entries;
    json_array_foreach(json, i, part) if (!read_value(a, part, &entries[i])) return false;
    i = 0;
    json_object_foreach((json_t *)json, key, part)
    {
        entries[i].key = key;
        if (!read_value(a, part, &entries[i++])) return false;
    }
    return true;
}

static bool read_path(call *c, const json_t *json, lw_edit *edit)
{
    size_t i;
    const json_t *part;
    const char **path = ARENA_ARRAY(c->arena, const char *, json_array_size(json) + 1);
    json_array_foreach(json, i, part)
    {
        path[i] = json_string_value(part);
        if (!path[i]) break;
    }
    edit->path = path;
    edit->n_path = json_array_size(json);
    if (edit->n_path > 0 && i == edit->n_path) return true;
    answer_error(c, 400, "`path` is missing or no list of texts; give one, as [\"wires\", \"P3\", \"size\"]");
    return false;
}

static bool read_verb(call *c, const json_t *json, lw_verb *verb)
{
    static const char *const words[] = {
#define X(NAME, word, says) word,
        LW_EDIT_VERBS(X)
#undef X
    };
    const char *word = json_string_value(json_object_get(json, "do"));
    for (*verb = 0; word && *verb < LW_N_EDIT_VERBS; ++*verb)
        if (strcmp(words[*verb], word) == 0) return true;
    answer_error(c, 400, "`do` is missing or no edit; it is put, drop, rename, wire or move");
    return false;
}

static bool read_edit(call *c, const json_t *json, lw_edit *edit)
{
    if (!ask_only(c, json, (const char *const[]){"do", "path", "value", "to", NULL}) ||
        !read_verb(c, json, &edit->verb))
        return false;
    if (edit->verb != LW_EDIT_WIRE && !read_path(c, json_object_get(json, "path"), edit)) return false;
    bool has_to = edit->verb == LW_EDIT_RENAME || edit->verb == LW_EDIT_MOVE;
    if (has_to && !ask_text(c, json, "to", NULL, &edit->to)) return false;
    if (has_to || edit->verb == LW_EDIT_DROP) return true;
    lw_value *value = ARENA_NEW(c->arena, lw_value);
    edit->value = value;
    if (read_value(c->arena, json_object_get(json, "value"), value)) return true;
    answer_error(c, 400, "`value` is missing or has nothing in it; give a text, a list or an object");
    return false;
}

static bool read_edits(editing *e, const json_t *asked)
{
    enum { most_edits = 1000 };
    size_t i;
    json_t *json;
    e->n = json_array_size(asked);
    if (e->n == 0 || e->n > most_edits) {
        answer_error(e->call, 400, "`edits` is missing or no list of up to %d edits; give one", most_edits);
        return false;
    }
    lw_edit *edits = ARENA_ARRAY(e->call->arena, lw_edit, e->n);
    json_array_foreach(asked, i, json) if (!read_edit(e->call, json, &edits[i])) return false;
    e->edits = edits;
    return true;
}

/* The value at the path of an edit, as it stands in the text; NULL where nothing stands. */
static const char *raw_value(call *c, text in, const lw_edit *edit)
{
    char *raw = NULL;
    lw_status status = lw_edit_value(in.at, in.n, edit->path, edit->n_path, &raw);
    call_keep(c, raw);
    return status == LW_OK ? raw : NULL;
}

static bool is_same_text(const char *x, const char *y) { return x == y || (x && y && strcmp(x, y) == 0); }

static void json_value(sink *s, const lw_value *v)
{
    if (v->form == LW_SCALAR) {
        json_text(s, v->text);
        return;
    }
    bool is_list = v->form == LW_LIST;
    sink_add(s, is_list ? "[" : "{");
    for (size_t i = 0; i < v->n_entries; i++) {
        if (i > 0) sink_add(s, ", ");
        if (!is_list) json_text(s, v->entries[i].key);
        if (!is_list) sink_add(s, ": ");
        json_value(s, &v->entries[i]);
    }
    sink_add(s, is_list ? "]" : "}");
}

static void json_conflict(sink *s, const lw_edit *edit, const char *theirs)
{
    sink_add(s, "{\"path\": ");
    json_words(s, edit->path, (int)edit->n_path);
    sink_add(s, ", \"mine\": ");
    if (edit->value)
        json_value(s, edit->value);
    else
        sink_add(s, "null");
    sink_add(s, ", \"theirs\": ");
    json_text_or_null(s, theirs);
    sink_add(s, "}");
}

/* True when no place that is touched is another by now than whoever edits has seen; else 409 is answered, with both. */
static bool is_untouched(editing *e, const change *g, text base, const snapshot *now)
{
    if (g->revision == now->revision) return true;
    sink s = sink_in(e->call->arena);
    sink_add(&s, "{\"error\": \"the file was changed at the same place meanwhile; choose which of the two is to "
                 "stand\", \"conflict\": [");
    int n = 0;
    for (size_t i = 0; i < e->n; i++) {
        if (e->edits[i].verb == LW_EDIT_WIRE) continue;
        const char *was = raw_value(e->call, base, &e->edits[i]);
        const char *theirs = raw_value(e->call, (text){now->text, now->n}, &e->edits[i]);
        if (is_same_text(was, theirs)) continue;
        if (n++ > 0) sink_add(&s, ", ");
        json_conflict(&s, &e->edits[i], theirs);
    }
    sink_printf(&s, "], \"revision\": %u}", now->revision);
    if (n > 0) answer_json(e->call, 409, &s);
    return n == 0;
}

static void answer_edit_refused(editing *e)
{
    const lw_edited *made = &e->edited;
    if (!made->refusal) {
        answer_faults(e->call, made->report, made->edit_of);
        return;
    }
    sink s = sink_in(e->call->arena);
    sink_add(&s, "{\"error\": ");
    json_text(&s, made->refusal);
    sink_printf(&s, ", \"edit\": %d, \"faults\": []}", made->edit);
    answer_json(e->call, 422, &s);
}

static bool make_edit(change *g, text base, const snapshot *now)
{
    editing *e = g->context;
    if (!is_van(e->call, now) || !is_untouched(e, g, base, now)) return false;
    lw_edited_finish(&e->edited);
    e->edited = (lw_edited){0};
    lw_status status = lw_van_edit(now->van, e->edits, e->n, &e->edited);
    if (status == LW_REFUSED) answer_edit_refused(e);
    if (status == LW_NO_MEMORY) call_is_good(e->call, status, NULL);
    g->made = (text){e->edited.text, e->edited.n_bytes};
    g->van = e->edited.van;
    e->edited.van = NULL;
    return status == LW_OK;
}

/* Makes the edits and answers. */
static void edit_file(editing *e, change *g)
{
    call *c = e->call;
    g->make = make_edit;
    g->context = e;
    change_outcome outcome = sitting_change(c->workbench->sitting, g);
    if (outcome != CHANGE_DONE) {
        answer_not_made(c, g, outcome);
        return;
    }
    sink s = begin_made(c, g);
    sink_add(&s, ", \"labels\": ");
    json_words(&s, e->edited.labels, (int)e->edited.n_labels);
    end_made(c, &s);
}

static editing *editing_of(call *c)
{
    editing *e = ARENA_NEW(c->arena, editing);
    e->call = c;
    arena_defer(c->arena, finish_edited, e);
    return e;
}

void route_edit(call *c)
{
    const json_t *asked = ask_object(c);
    if (!asked || !ask_only(c, asked, (const char *const[]){"revision", "says", "edits", "dry", NULL})) return;
    change *g = ask_change(c, asked, NULL);
    editing *e = editing_of(c);
    if (g && read_edits(e, json_object_get(asked, "edits"))) edit_file(e, g);
}

/* --- mends --- */

/* The judgement in which findings are numbered: that of the newest van that is judged. */
static const lw_mend *find_mend(call *c, unsigned finding, unsigned mend)
{
    const snapshot *judged = call_judged(c, call_now(c));
    const lw_judgement *j = judged ? judged->judgement : NULL;
    if (j && finding < lw_judgement_count(j)) {
        const lw_finding *f = lw_judgement_finding(j, finding);
        if (mend < f->n_mends) return &f->mends[mend];
    }
    answer_error(c, 422, "there is no mend of that number; look at the findings again");
    return NULL;
}

void route_mend(call *c)
{
    const json_t *asked = ask_object(c);
    unsigned finding, number;
    if (!asked || !ask_only(c, asked, (const char *const[]){"revision", "finding", "mend", "dry", NULL})) return;
    change *g = ask_change(c, asked, "");
    if (!g || !ask_count(c, asked, "finding", &finding) || !ask_count(c, asked, "mend", &number)) return;
    const lw_mend *mend = find_mend(c, finding, number);
    if (!mend) return;
    editing *e = editing_of(c);
    e->edits = mend->edits;
    e->n = mend->n_edits;
    g->says = mend->says;
    edit_file(e, g);
}

/* --- the whole text --- */

void route_text(call *c)
{
    const snapshot *now = call_now(c);
    if (!text_is_utf8(now->text, now->n)) {
        answer_error(c, 422, "the file holds bytes that are no text; mend it in an editor of your own");
        return;
    }
    sink s = sink_in(c->arena);
    sink_printf(&s, "{\"revision\": %u, \"text\": ", now->revision);
    json_text(&s, now->text);
    sink_add(&s, "}");
    answer_json(c, 200, &s);
}

typedef struct writing {
    call *call;
    text text;
} writing;

static bool make_text(change *g, text base, const snapshot *now)
{
    (void)base;
    writing *w = g->context;
    g->made = w->text;
    bool is_same = now->n == w->text.n && memcmp(now->text, w->text.at, w->text.n) == 0;
    if (g->revision == now->revision || is_same) return true;
    sink s = sink_in(w->call->arena);
    sink_printf(
        &s,
        "{\"error\": \"the file was changed meanwhile; choose which of the two texts is to stand\", \"revision\": %u, ",
        now->revision);
    sink_add(&s, "\"theirs\": ");
    json_text(&s, now->text);
    sink_add(&s, "}");
    answer_json(w->call, 409, &s);
    return false;
}

void route_text_put(call *c)
{
    const json_t *asked = ask_object(c);
    if (!asked || !ask_only(c, asked, (const char *const[]){"revision", "says", "text", "dry", NULL})) return;
    writing w = {.call = c};
    change *g = ask_change(c, asked, NULL);
    if (!g || !ask_text(c, asked, "text", NULL, &w.text.at)) return;
    w.text.n = strlen(w.text.at);
    g->make = make_text;
    g->context = &w;
    change_outcome outcome = sitting_change(c->workbench->sitting, g);
    if (outcome != CHANGE_DONE) {
        answer_not_made(c, g, outcome);
        return;
    }
    sink s = begin_made(c, g);
    end_made(c, &s);
}

/* --- undo and redo --- */

static void turn(call *c, bool is_undo)
{
    const json_t *asked = ask_object(c);
    if (!asked || !ask_only(c, asked, (const char *const[]){"revision", NULL})) return;
    change *g = ask_change(c, asked, "");
    if (!g) return;
    change_outcome outcome = sitting_undo(c->workbench->sitting, g, is_undo);
    if (outcome == CHANGE_REFUSED) answer_error(c, 409, "there is nothing to %s; go on", is_undo ? "undo" : "redo");
    if (outcome != CHANGE_DONE) {
        answer_not_made(c, g, outcome);
        return;
    }
    sink s = begin_made(c, g);
    sink_add(&s, ", \"says\": ");
    json_text(&s, g->says);
    end_made(c, &s);
}

void route_undo(call *c) { turn(c, true); }
void route_redo(call *c) { turn(c, false); }

/* --- ready-made circuits --- */

void route_circuits(call *c)
{
    const snapshot *readable = call_now(c)->readable;
    char *json = NULL;
    lw_status status = lw_circuits_json(readable ? readable->van : NULL, &json);
    answer_library(c, status, json);
}

/* An object of answers; a missing one has none. */
static bool ask_answers(call *c, const json_t *asked, const lw_answer **answers, size_t *n)
{
    json_t *given = json_object_get(asked, "answers");
    if (given && !json_is_object(given)) {
        answer_error(c, 400, "`answers` is no object; give one, as {\"draws\": \"6 A\"}");
        return false;
    }
    lw_answer *read = ARENA_ARRAY(c->arena, lw_answer, json_object_size(given) + 1);
    const char *name;
    json_t *value;
    *n = 0;
    json_object_foreach(given, name, value)
    {
        read[*n] = (lw_answer){name, scalar_text(c->arena, value)};
        if (!read[(*n)++].value) {
            answer_error(c, 400, "the answer to `%s` is no text; give it as a string", name);
            return false;
        }
    }
    *answers = read;
    return true;
}

typedef struct adding {
    call *call;
    const char *circuit;
    const lw_answer *answers;
    size_t n_answers;
    lw_addition *addition;
} adding;

static void free_addition(void *context) { lw_addition_free(((adding *)context)->addition); }

static bool make_addition(change *g, text base, const snapshot *now)
{
    (void)base;
    adding *a = g->context;
    if (!is_van(a->call, now)) return false;
    lw_addition_free(a->addition);
    a->addition = NULL;
    char *why = NULL;
    lw_status status = lw_circuit_add(now->van, a->circuit, a->answers, a->n_answers, &a->addition, &why);
    if (!call_is_good(a->call, status, why)) return false;
    const char *made = lw_addition_text(a->addition);
    g->made = (text){made, strlen(made)};
    g->says = lw_addition_says(a->addition);
    return true;
}

void route_circuit(call *c)
{
    const json_t *asked = ask_object(c);
    if (!asked || !ask_only(c, asked, (const char *const[]){"circuit", "answers", "revision", "dry", NULL})) return;
    adding *a = ARENA_NEW(c->arena, adding);
    a->call = c;
    arena_defer(c->arena, free_addition, a);
    change *g = ask_change(c, asked, "");
    if (!g || !ask_text(c, asked, "circuit", NULL, &a->circuit) || !ask_answers(c, asked, &a->answers, &a->n_answers))
        return;
    g->make = make_addition;
    g->context = a;
    change_outcome outcome = sitting_change(c->workbench->sitting, g);
    if (outcome != CHANGE_DONE) {
        answer_not_made(c, g, outcome);
        return;
    }
    size_t n_items, n_wires;
    const char *const *items = lw_addition_items(a->addition, &n_items), *const *wires =
                                                                             lw_addition_wires(a->addition, &n_wires);
    sink s = begin_made(c, g);
    sink_add(&s, ", \"added\": {\"items\": ");
    json_words(&s, items, (int)n_items);
    sink_add(&s, ", \"wires\": ");
    json_words(&s, wires, (int)n_wires);
    sink_add(&s, "}");
    end_made(c, &s);
}

/* --- the guided start --- */

static bool is_plain_name(const char *name)
{
    static const char *const endings[] = {".yaml", ".yml"};
    enum { most_of_name = 200 };
    size_t n = strlen(name);
    if (n > most_of_name || name[0] == '.') return false;
    for (const char *at = name; *at; at++)
        if (*at == '/' || *at == '\\' || (unsigned char)*at < ' ' || *at == 0x7F) return false;
    for (int i = 0; i < 2; i++) {
        size_t n_ending = strlen(endings[i]);
        if (n > n_ending && strcmp(name + n - n_ending, endings[i]) == 0) return true;
    }
    return false;
}

static bool ask_file_name(call *c, const json_t *asked, const char **name)
{
    const char *given = sitting_where(c->workbench->sitting).name;
    if (!ask_text(c, asked, "file", given[0] ? given : NULL, name)) return false;
    if (is_plain_name(*name)) return true;
    answer_error(c, 422, "`%s` is no name for a van file; give one without a folder that ends in .yaml", *name);
    return false;
}

static bool ask_wishes(call *c, const json_t *asked, const lw_circuit_wish **wishes, size_t *n)
{
    enum { most_wishes = 50 };
    const json_t *given = json_object_get(asked, "circuits");
    size_t i;
    json_t *wish;
    *n = json_array_size(given);
    if ((given && !json_is_array(given)) || *n > most_wishes) {
        answer_error(c, 400, "`circuits` is no list of up to %d circuits; give one", most_wishes);
        return false;
    }
    lw_circuit_wish *read = ARENA_ARRAY(c->arena, lw_circuit_wish, *n + 1);
    json_array_foreach(given, i, wish)
    {
        unsigned count = 1;
        if (!ask_only(c, wish, (const char *const[]){"circuit", "count", "answers", NULL}) ||
            !ask_text(c, wish, "circuit", NULL, &read[i].circuit) ||
            (json_object_get(wish, "count") && !ask_count(c, wish, "count", &count)) ||
            !ask_answers(c, wish, &read[i].answers, &read[i].n_answers))
            return false;
        read[i].count = count > 1000 ? 1000 : (int)count; /* the library says how many are too many */
    }
    *wishes = read;
    return true;
}

void route_start(call *c)
{
    static const char *const known[] = {"answers", "circuits", "file", "dry", "revision", NULL};
    const json_t *asked = ask_object(c);
    const char *name;
    const lw_answer *answers;
    const lw_circuit_wish *wishes;
    size_t n_answers, n_wishes;
    if (!asked || !ask_only(c, asked, known) || !ask_file_name(c, asked, &name) ||
        !ask_answers(c, asked, &answers, &n_answers) || !ask_wishes(c, asked, &wishes, &n_wishes))
        return;
    change *g = ARENA_NEW(c->arena, change);
    *g = (change){.arena = c->arena, .revision = 1, .says = "the start"};
    arena_defer(c->arena, drop_result, g);
    if (!ask_truth(c, asked, "dry", false, &g->is_dry)) return;
    char *made = NULL;
    lw_status status = lw_start(answers, n_answers, wishes, n_wishes, &made);
    if (!call_is_good(c, status, made)) return;
    g->made = (text){made, strlen(made)};
    change_outcome outcome = sitting_start(c->workbench->sitting, g, name);
    if (outcome == CHANGE_REFUSED)
        answer_error(c, 409, "`%s` is there already, or this sitting has a file; choose another name", name);
    if (outcome != CHANGE_DONE) {
        answer_not_made(c, g, outcome);
        return;
    }
    sink s = begin_made(c, g);
    end_made(c, &s);
}
