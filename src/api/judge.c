/* Judging: study and checks in one call, and the findings as the public sees them. See loomwall/judge.h. */
#include "loomwall/judge.h"
#include "api/handles.h"
#include "api/text.h"

#include <math.h>

const char *lw_gate_word(lw_gate gate)
{
    static const char *const words[] = {
#define X(NAME, word) word,
        GATES(X)
#undef X
    };
    return words[gate];
}

const char *lw_grade_word(lw_grade grade)
{
    static const char *const words[] = {
#define X(NAME, word) word,
        GRADES(X)
#undef X
    };
    return words[grade];
}

/* The public lists and ours are the same lists. */
_Static_assert((int)LW_N_GATES == (int)N_GATES && (int)LW_LIVE == (int)GATE_LIVE && (int)LW_CUT == (int)GATE_CUT, "");
_Static_assert((int)LW_UNPROVEN == (int)GRADE_UNPROVEN && (int)LW_STOP == (int)GRADE_STOP, "");

static const lw_item_position *public_positions(arena *a, const van *v, const finding *f)
{
    lw_item_position *p = ARENA_ARRAY(a, lw_item_position, (size_t)f->n_position_items);
    for (int i = 0; i < f->n_position_items; i++) {
        int item = f->position_items[i];
        p[i] = (lw_item_position){v->items[item].id, position_text(v, item, f->positions[item], a)};
    }
    return p;
}

static lw_value scalar_value(const char *key, const char *text) { return (lw_value){LW_SCALAR, key, text, NULL, 0}; }

static lw_edit public_edit(arena *a, const mend_edit *e)
{
    static const lw_verb verbs[] = {[MEND_PUT] = LW_EDIT_PUT, [MEND_DROP] = LW_EDIT_DROP, [MEND_WIRE] = LW_EDIT_WIRE};
    lw_edit new = {.verb = verbs[e->verb], .path = e->path, .n_path = (size_t)e->n_path};
    lw_value *value = ARENA_NEW(a, lw_value);
    if (e->verb == MEND_PUT) *value = scalar_value(NULL, e->text);
    if (e->verb == MEND_WIRE) {
        lw_value *entries = ARENA_ARRAY(a, lw_value, (size_t)e->n_keys);
        for (int i = 0; i < e->n_keys; i++) entries[i] = scalar_value(e->keys[i].key, e->keys[i].text);
        *value = (lw_value){.form = LW_MAPPING, .entries = entries, .n_entries = (size_t)e->n_keys};
    }
    if (e->verb != MEND_DROP) new.value = value;
    return new;
}

static const lw_mend *public_mends(arena *a, const finding *f)
{
    lw_mend *mends = ARENA_ARRAY(a, lw_mend, f->mends.n);
    for (size_t i = 0; i < f->mends.n; i++) {
        const mend *m = &f->mends.at[i];
        lw_edit *edits = ARENA_ARRAY(a, lw_edit, m->edits.n);
        for (size_t k = 0; k < m->edits.n; k++) edits[k] = public_edit(a, &m->edits.at[k]);
        mends[i] = (lw_mend){m->says, edits, m->edits.n};
    }
    return mends;
}

static lw_finding public_finding(arena *a, const van *v, const finding *f)
{
    int n_rules;
    const rule *table = rules(&n_rules);
    return (lw_finding){
        .rule = table[f->rule].id,
        .gate = (lw_gate)f->gate,
        .grade = (lw_grade)f->grade,
        .where = f->where,
        .n_where = (size_t)f->n_where,
        .says = f->says,
        .value = f->value,
        .limit = f->limit,
        .unit = f->unit ? f->unit : "",
        .positions = f->positions ? public_positions(a, v, f) : NULL,
        .n_positions = f->positions ? (size_t)f->n_position_items : 0,
        .source = f->source ? f->source : "",
        .remedy = f->remedy ? f->remedy : "",
        .mends = public_mends(a, f),
        .n_mends = f->mends.n,
        .decided_why = f->is_decided ? f->decision->why : NULL,
        .decided_date = f->is_decided ? f->decision->date : NULL,
        .line = f->place.line,
        .column = f->place.column,
    };
}

typedef struct judging {
    arena *arena;
    const lw_van *van;
    study_options options;
    lw_judgement *result;
} judging;

static void judge_it(void *context)
{
    judging *j = context;
    const van *v = j->van->van;
    lw_judgement *result = ARENA_NEW(j->arena, lw_judgement);
    const judgement *found = judge(j->arena, study_run(j->arena, v, &j->options));
    *result = (lw_judgement){j->arena, j->van, found, ARENA_ARRAY(j->arena, lw_finding, (size_t)found->n_findings)};
    for (int i = 0; i < found->n_findings; i++) {
        result->findings[i] = public_finding(j->arena, v, &found->findings[i]);
    }
    j->result = result;
}

lw_status lw_judge(const lw_van *van, const lw_judge_options *options, lw_judgement **judgement)
{
    judging j = {.arena = arena_create(), .van = van, .options = {.n_threads = 1}};
    if (options)
        j.options = (study_options){.n_threads = options->n_threads,
                                    .progress = options->progress,
                                    .is_stale = options->is_stale,
                                    .context = options->context};
    if (!j.arena || !arena_try(j.arena, judge_it, &j)) {
        arena_destroy(j.arena);
        const bool is_stale = options && options->is_stale && options->is_stale(options->context);
        return is_stale ? LW_STOPPED : LW_NO_MEMORY;
    }
    *judgement = j.result;
    return LW_OK;
}

void lw_judgement_free(lw_judgement *judgement)
{
    if (judgement) arena_destroy(judgement->arena);
}

lw_gate_state lw_judgement_gate(const lw_judgement *judgement, lw_gate gate)
{
    return (lw_gate_state){judgement->judgement->is_open[gate], judgement->judgement->shut_by[gate]};
}

/* The seasons go over the same positions: the answer rests on the least of them. */
lw_coverage lw_judgement_coverage(const lw_judgement *judgement)
{
    const study *s = judgement->judgement->study;
    const states *least = s->states[0];
    for (int season = 1; season < N_SEASONS; season++) {
        const states *other = s->states[season];
        if (other && (!other->is_complete || other->n_examined < least->n_examined)) least = other;
    }
    return (lw_coverage){
        .n_positions = least->n_positions,
        .n_examined = least->n_examined,
        .is_complete = least->is_complete,
        .why_not = least->is_complete ? NULL : least->why_not,
    };
}

size_t lw_judgement_count(const lw_judgement *judgement) { return (size_t)judgement->judgement->n_findings; }

const lw_finding *lw_judgement_finding(const lw_judgement *judgement, size_t i) { return &judgement->findings[i]; }

/* --- as JSON --- */

static void json_coverage(sink *s, lw_coverage c)
{
    sink_add(s, " \"states\": {\"switch_positions\": ");
    json_number(s, c.n_positions);
    sink_add(s, ", \"examined\": ");
    json_number(s, c.n_examined);
    sink_add(s, ", \"complete\": ");
    json_truth(s, c.is_complete);
    if (c.why_not) {
        sink_add(s, ", \"why_not\": ");
        json_text(s, c.why_not);
    }
    sink_add(s, "},\n");
}

static void json_gates(sink *s, const lw_judgement *j)
{
    sink_add(s, " \"gates\": [");
    for (lw_gate g = LW_CUT; g < LW_N_GATES; g++) {
        sink_printf(s, "%s{\"gate\": \"%s\", \"open\": ", g == LW_CUT ? "" : ", ", lw_gate_word(g));
        json_truth(s, lw_judgement_gate(j, g).is_open);
        sink_add(s, "}");
    }
    sink_add(s, "],\n");
}

static void json_where(sink *s, const lw_finding *f)
{
    sink_add(s, "\"where\": ");
    json_words(s, f->where, (int)f->n_where);
}

static void json_positions(sink *s, const lw_finding *f)
{
    sink_add(s, "\"positions\": {");
    for (size_t i = 0; i < f->n_positions; i++) {
        if (i > 0) sink_add(s, ", ");
        json_text(s, f->positions[i].item);
        sink_add(s, ": ");
        json_text(s, f->positions[i].position);
    }
    sink_add(s, "}");
}

static void json_mends(sink *s, const lw_finding *f)
{
    sink_add(s, ", \"mends\": [");
    for (size_t i = 0; i < f->n_mends; i++) {
        sink_add(s, i ? ", {\"says\": " : "{\"says\": ");
        json_text(s, f->mends[i].says);
        sink_add(s, "}");
    }
    sink_add(s, "]");
}

static void json_decision(sink *s, const lw_finding *f)
{
    if (!f->decided_why) return;
    sink_add(s, ",\n   \"decided\": {\"why\": ");
    json_text(s, f->decided_why);
    sink_add(s, ", \"date\": ");
    json_text_or_null(s, f->decided_date);
    sink_add(s, "}");
}

/* What is not proven is a stop, and says why it is one. */
static void json_grade(sink *s, const lw_finding *f)
{
    bool is_unproven = f->grade == LW_UNPROVEN;
    const char *grade = lw_grade_word(is_unproven ? LW_STOP : f->grade);
    sink_printf(s, ", \"gate\": \"%s\", \"grade\": \"%s\", ", lw_gate_word(f->gate), grade);
    if (is_unproven) sink_add(s, "\"proven\": false, ");
}

static void json_finding(sink *s, const lw_finding *f)
{
    sink_add(s, "  {\"rule\": ");
    json_text(s, f->rule);
    json_grade(s, f);
    json_where(s, f);
    sink_add(s, ",\n   \"says\": ");
    json_text(s, f->says);
    sink_add(s, ",\n   \"value\": ");
    json_number(s, f->value);
    sink_add(s, ", \"limit\": ");
    json_number(s, f->limit);
    sink_add(s, ", \"unit\": ");
    json_text(s, f->unit);
    sink_add(s, ", ");
    json_positions(s, f);
    sink_add(s, ",\n   \"source\": ");
    json_text(s, f->source);
    sink_add(s, ", \"remedy\": ");
    json_text(s, f->remedy);
    json_mends(s, f);
    json_decision(s, f);
    sink_add(s, "}");
}

/* What each wire is to be, and why, where that was left to the program. */
static void json_wire(sink *s, const wire *w, const wire_study *ws)
{
    json_text(s, w->label);
    sink_add(s, ": {\"size\": ");
    json_text_or_null(s, ws->size.series == SIZE_UNSET ? NULL : conductor_size_text(ws->size));
    sink_add(s, ", \"chosen\": ");
    json_truth(s, ws->is_size_chosen);
    sink_add(s, ", \"why\": ");
    json_text_or_null(s, ws->why_size);
    sink_add(s, ", \"ampacity_A\": ");
    json_number(s, ws->ampacity_A > 0 ? ws->ampacity_A : NAN);
    sink_add(s, ", \"worst_A\": ");
    json_number(s, ws->worst_A);
    sink_add(s, ", \"length_m\": ");
    json_number(s, w->is_length_auto ? NAN : w->length_m);
    sink_add(s, "}");
}

static void json_wires(sink *s, const study *of)
{
    sink_add(s, "],\n \"wires\": {");
    for (int i = 0; i < of->van->n_wires; i++) {
        sink_add(s, i ? ",\n  " : "\n  ");
        json_wire(s, &of->van->wires[i], &of->wires[i]);
    }
    sink_add(s, "}}\n");
}

static lw_status json_judgement(sink *s, const void *what)
{
    const lw_judgement *j = what;
    sink_add(s, "{\"van\": ");
    json_text(s, lw_van_name(j->van));
    sink_add(s, ", \"format\": 1,\n");
    json_coverage(s, lw_judgement_coverage(j));
    json_gates(s, j);
    sink_add(s, " \"findings\": [");
    for (size_t i = 0; i < lw_judgement_count(j); i++) {
        sink_add(s, i == 0 ? "\n" : ",\n");
        json_finding(s, lw_judgement_finding(j, i));
    }
    json_wires(s, j->judgement->study);
    return LW_OK;
}

lw_status lw_judgement_json(const lw_judgement *judgement, char **json)
{
    return text_give(json_judgement, judgement, json);
}
