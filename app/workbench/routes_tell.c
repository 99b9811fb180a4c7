/* Routes that tell: the van, what the program knows, the meter, the judgement. */
#include "inside.h"
#include "loomwall/meter.h"
#include "loomwall/tell.h"

#include <string.h>

/* --- what is held until the call ends --- */

static void drop(void *held) { snapshot_drop(held); }
static void let_go(void *text) { lw_free(text); }

snapshot *call_now(call *c)
{
    snapshot *now = sitting_now(c->workbench->sitting);
    arena_defer(c->arena, drop, now);
    return now;
}

snapshot *call_readable(call *c)
{
    snapshot *readable = call_now(c)->readable;
    if (!readable) answer_error(c, 422, "there is no van yet that could be read; mend the file, or start one");
    return readable;
}

const char *call_keep(call *c, char *text)
{
    if (text) arena_defer(c->arena, let_go, text);
    return text;
}

bool call_is_good(call *c, lw_status status, char *why)
{
    call_keep(c, why);
    if (status == LW_OK) return true;
    if (status == LW_REFUSED)
        answer_error(c, 422, "%s", why ? why : lw_status_text(status));
    else
        answer_error(c, 503, "%s; ask again later", lw_status_text(status));
    return false;
}

void answer_library(call *c, lw_status status, char *json)
{
    if (call_is_good(c, status, json)) answer_bytes(c, "application/json", json, strlen(json));
}

/* --- the van --- */

void json_faults(sink *s, const lw_report *report, const int *edit_of)
{
    sink_add(s, "\"faults\": [");
    for (size_t i = 0; report && i < lw_report_count(report); i++) {
        lw_fault f = lw_report_fault(report, i);
        sink_printf(s, "%s{\"line\": %u, \"column\": %u, \"wrong\": ", i == 0 ? "" : ", ", f.line, f.column);
        json_text(s, f.wrong);
        sink_add(s, ", \"right\": ");
        json_text(s, f.right);
        if (edit_of && edit_of[i] >= 0) sink_printf(s, ", \"edit\": %d", edit_of[i]);
        sink_add(s, "}");
    }
    sink_add(s, "]");
}

static void json_file(sink *s, const snapshot *now, sitting_place where)
{
    sink_printf(s, "{\"revision\": %u, \"file\": ", now->revision);
    json_text(s, where.name);
    sink_add(s, ", \"folder\": ");
    json_text(s, where.folder);
    sink_add(s, ", \"has_file\": ");
    json_truth(s, where.path);
    sink_add(s, ", \"on_disk\": ");
    json_truth(s, now->is_on_disk);
    sink_add(s, ", \"readable\": ");
    json_truth(s, now->van);
    sink_add(s, ", ");
    json_faults(s, where.path ? now->faults : NULL, NULL);
}

void route_van(call *c)
{
    sitting *sitting = c->workbench->sitting;
    const snapshot *now = call_now(c);
    const char *undo, *redo;
    sitting_turns(sitting, c->arena, &undo, &redo);
    char *json = NULL;
    lw_status status = now->readable ? lw_van_json(now->readable->van, &json) : LW_OK;
    if (!call_is_good(c, status, json)) return;
    sink s = sink_in(c->arena);
    json_file(&s, now, sitting_where(sitting));
    sink_add(&s, ", \"undo\": ");
    json_text_or_null(&s, undo);
    sink_add(&s, ", \"redo\": ");
    json_text_or_null(&s, redo);
    sink_add(&s, ", \"van\": ");
    sink_add(&s, json ? json : "null");
    sink_add(&s, "}");
    answer_json(c, 200, &s);
}

void route_kinds(call *c)
{
    char *json = NULL;
    lw_status status = lw_kinds(NULL, LW_JSON, &json);
    answer_library(c, status, json);
}

void route_why(call *c)
{
    char *json = NULL;
    lw_status status = lw_why(c->rest, LW_JSON, &json);
    answer_library(c, status, json);
}

/* --- the meter --- */

static bool ask_quantity(call *c, const json_t *asked, const char *key, const char *unit, double *value)
{
    const char *words;
    if (!ask_text_or_null(c, asked, key, &words)) return false;
    if (!words) return true;
    char *why = NULL;
    lw_status status = lw_quantity(words, unit, value, &why);
    return call_is_good(c, status, why);
}

static bool ask_positions(call *c, const json_t *asked, lw_meter_options *options)
{
    json_t *positions = json_object_get(asked, "positions");
    if (positions && !json_is_object(positions)) {
        answer_error(c, 400, "`positions` is no object; give one, as {\"pump-switch\": \"on\"}");
        return false;
    }
    const char **set = ARENA_ARRAY(c->arena, const char *, json_object_size(positions) + 1);
    const char *item;
    json_t *position;
    json_object_foreach(positions, item, position)
    {
        const char *word = json_string_value(position);
        if (!word) {
            answer_error(c, 400, "the position of `%s` is no text; give it as a string", item);
            return false;
        }
        set[options->n_set++] = arena_printf(c->arena, "%s=%s", item, word);
    }
    options->set = set;
    return true;
}

static bool ask_meter(call *c, lw_meter_options *options)
{
    const json_t *asked = ask_object(c);
    return asked && ask_only(c, asked, (const char *const[]){"positions", "ambient", "charge", "against", NULL}) &&
           ask_positions(c, asked, options) && ask_quantity(c, asked, "ambient", "K", &options->ambient_K) &&
           ask_quantity(c, asked, "charge", "%", &options->charge) &&
           ask_text_or_null(c, asked, "against", &options->against);
}

/* JSON of the library, an object, with the revision that it is of. */
static void answer_of_revision(call *c, const snapshot *of, const char *object)
{
    sink s = sink_in(c->arena);
    sink_printf(&s, "{\"revision\": %u, ", of->revision);
    sink_add(&s, strchr(object, '{') + 1);
    answer_json(c, 200, &s);
}

void route_meter(call *c)
{
    lw_meter_options options = lw_meter_defaults();
    if (!ask_meter(c, &options)) return;
    const snapshot *of = call_readable(c);
    if (!of) return;
    lw_reading *reading = NULL;
    char *json = NULL, *why = NULL;
    lw_status status = lw_meter(of->van, &options, &reading, &why);
    if (!call_is_good(c, status, why)) return;
    status = lw_reading_json(reading, &json);
    lw_reading_free(reading);
    if (call_is_good(c, status, json)) answer_of_revision(c, of, json);
}

/* --- the judgement --- */

const snapshot *call_judged(call *c, const snapshot *now)
{
    if (now->readable && now->readable->judgement) return now->readable;
    snapshot *judged = sitting_judged(c->workbench->sitting);
    if (judged) arena_defer(c->arena, drop, judged);
    return judged;
}

void route_judgement(call *c)
{
    const snapshot *now = call_now(c), *judged = call_judged(c, now);
    char *json = NULL;
    lw_status status = judged ? lw_judgement_json(judged->judgement, &json) : LW_OK;
    if (!call_is_good(c, status, json)) return;
    sink s = sink_in(c->arena);
    sink_printf(&s, "{\"revision\": %u, \"pending\": ", judged ? judged->revision : now->revision);
    json_truth(&s, now->readable && judged != now->readable);
    sink_add(&s, ", \"judgement\": ");
    sink_add(&s, json ? json : "null");
    sink_add(&s, "}");
    answer_json(c, 200, &s);
}
