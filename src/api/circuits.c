/* Ready-made circuits and the guided start. See loomwall/circuits.h. */
#include "loomwall/circuits.h"
#include "api/handles.h"
#include "api/text.h"
#include "ready/ready.h"
#include "ready/write.h"

#include <string.h>

/* --- what there is, as JSON --- */

/* The default at each voltage: before there is a van, the one that is chosen may still change. */
static void json_defaults(sink *s, const ask *q, const answers *with)
{
    static const double nominals_V[] = {12, 24};
    sink_add(s, ", \"defaults\": {");
    for (size_t i = 0; i < sizeof nominals_V / sizeof *nominals_V; i++) {
        answers at = *with;
        at.voltage = plan_voltage(nominals_V[i]);
        if (i) sink_add(s, ", ");
        json_text(s, at.voltage);
        sink_add(s, ": ");
        const char *preset = answers_scalar(&at, q->preset);
        json_text(s, preset ? preset : "");
    }
    sink_add(s, "}");
}

static void json_ask(sink *s, const ask *q, const answers *with, const lw_van *van)
{
    sink_add(s, "{\"name\": ");
    json_text(s, q->name);
    sink_add(s, ", \"label\": ");
    json_text(s, q->label);
    sink_add(s, ", \"in\": ");
    json_text(s, q->in);
    const bool has_panels = !strcmp(q->in, "panel") && van && van->van->n_panels;
    const char *preset = has_panels ? van->van->panels[0] : answers_scalar(with, q->preset);
    sink_add(s, ", \"default\": ");
    json_text(s, preset ? preset : "");
    json_defaults(s, q, with);
    sink_add(s, ", \"choices\": ");
    if (has_panels)
        json_words(s, (const char *const *)van->van->panels, van->van->n_panels);
    else
        json_words(s, (const char *const *)q->choices, q->n_choices);
    sink_add(s, ", \"least\": ");
    json_text(s, q->least);
    sink_add(s, ", \"most\": ");
    json_text(s, q->most);
    sink_add(s, "}");
}

/* The block to take a fuse of is asked like the rest, where the van gives a choice. */
static void json_blocks(sink *s, const recipe *r, const lw_van *van)
{
    if (!van || !recipe_uses_block(r)) return;
    const char *first = plan_block_of(van->van);
    if (!first) return;
    sink_add(
        s, ",\n     {\"name\": \"fuses\", \"label\": \"Fuse block that feeds it\", \"in\": \"choice\", \"default\": ");
    json_text(s, first);
    sink_add(s, ", \"choices\": [");
    for (int i = 0; i < van->van->n_items; i++) {
        if (!item_is_fuse_block(van->van, i)) continue;
        json_text(s, van->van->items[i].id);
        sink_add(s, ", ");
    }
    sink_add(s, "\"new\"], \"defaults\": {}, \"least\": \"\", \"most\": \"\"}");
}

static void json_recipe(sink *s, const recipe *r, const answers *with, const lw_van *van)
{
    sink_add(s, "{\"id\": ");
    json_text(s, r->id);
    sink_add(s, ", \"title\": ");
    json_text(s, r->title);
    sink_add(s, ",\n   \"says\": ");
    json_text(s, r->says);
    sink_add(s, ",\n   \"asks\": [");
    for (int i = 0; i < r->n_asks; i++) {
        sink_add(s, i ? ",\n     " : "\n     ");
        json_ask(s, &r->asks[i], with, van);
    }
    json_blocks(s, r, van);
    sink_add(s, "]}");
}

static const char *voltage_of(const van *v)
{
    for (int i = 0; v && i < v->n_items; i++)
        if (item_kind(v, i)->role == ROLE_BATTERY) return plan_voltage(item_number(v, i, "voltage", 12));
    return plan_voltage(12);
}

static lw_status json_recipes(sink *s, const void *what)
{
    const lw_van *van = what;
    const answers with = {.arena = s->arena, .voltage = voltage_of(van ? van->van : NULL)};
    int n;
    const recipe *all = recipes(s->arena, &n);
    sink_add(s, "{\"circuits\": [");
    bool is_first = true;
    for (int i = 0; i < n; i++) {
        if (!recipe_is_listed(&all[i])) continue;
        sink_add(s, is_first ? "\n  " : ",\n  ");
        json_recipe(s, &all[i], &with, van);
        is_first = false;
    }
    sink_add(s, "],\n \"start\": ");
    json_recipe(s, recipe_named(all, n, "start"), &with, NULL);
    sink_add(s, "}\n");
    return LW_OK;
}

lw_status lw_circuits_json(const lw_van *van, char **json) { return text_give(json_recipes, van, json); }

/* --- and for people --- */

static void text_ask(sink *s, const ask *q, const answers *with)
{
    const char *preset = answers_scalar(with, q->preset);
    sink_printf(s, "    %s=%s", q->name, preset ? preset : "");
    sink_printf(s, "%*s  %s\n", (int)(30 - strlen(q->name) - strlen(preset ? preset : "")), "", q->label);
}

static lw_status text_recipes(sink *s, const void *what)
{
    const lw_van *van = what;
    const answers with = {.arena = s->arena, .voltage = voltage_of(van ? van->van : NULL)};
    int n;
    const recipe *all = recipes(s->arena, &n);
    for (int i = 0; i < n; i++) {
        if (!recipe_is_listed(&all[i])) continue;
        sink_printf(s, "%s\n  %s. %s.\n", all[i].id, all[i].title, all[i].says);
        for (int q = 0; q < all[i].n_asks; q++) text_ask(s, &all[i].asks[q], &with);
        sink_add(s, "\n");
    }
    sink_add(s, "Each takes answers as `--answer draws=4W`; what is not answered stands as shown. `--answer fuses=ID` "
                "names the\n"
                "fuse block to take a slot of, `--answer fuses=new` brings another one along.\n");
    return LW_OK;
}

lw_status lw_circuits_text(const lw_van *van, char **text) { return text_give(text_recipes, van, text); }

/* --- a circuit into a van --- */

struct lw_addition {
    arena *arena;
    const char *text, *says;
    const char **items, **wires;
    size_t n_items, n_wires;
};

/* NULL, and *fault, when there are too many or one is given twice. */
static bool answers_read(answers *to, const lw_answer *given, size_t n, const char **fault)
{
    for (size_t i = 0; i < n; i++) {
        if (answers_get(to, given[i].name)) {
            *fault = arena_printf(to->arena, "`%s` is answered twice", given[i].name);
            return false;
        }
        if (to->n == answers_room) {
            *fault = "there are more answers than anything asks";
            return false;
        }
        answers_put(to, arena_text(to->arena, given[i].name), arena_text(to->arena, given[i].value));
    }
    return true;
}

typedef struct adding {
    arena *arena;
    const lw_van *van;
    const char *circuit;
    const lw_answer *given;
    size_t n;
    const char *why;
    lw_addition *result;
} adding;

static lw_addition *addition_of(arena *a, const plan *p, const char *text)
{
    lw_addition *new = ARENA_NEW(a, lw_addition);
    *new = (lw_addition){.arena = a, .text = text, .n_items = p->items.n, .n_wires = p->wires.n};
    new->items = ARENA_ARRAY(a, const char *, p->items.n + 1);
    new->wires = ARENA_ARRAY(a, const char *, p->wires.n + 1);
    for (size_t i = 0; i < p->items.n; i++) new->items[i] = p->items.at[i].id;
    for (size_t i = 0; i < p->wires.n; i++) new->wires[i] = p->wires.at[i].label;
    new->says = arena_printf(a, "add %s", p->name);
    return new;
}

static void add_it(void *context)
{
    adding *d = context;
    answers given = {.arena = d->arena};
    if (!answers_read(&given, d->given, d->n, &d->why)) return;
    written_file file = {d->van->text, d->van->n_bytes};
    const char *text = NULL;
    const plan *p = circuit_plan(d->arena, d->van->van, d->circuit, &given, plan_written, &file, &text, &d->why);
    if (p) d->result = addition_of(d->arena, p, text);
}

lw_status lw_circuit_add(const lw_van *van, const char *circuit, const lw_answer *answers, size_t n_answers,
                         lw_addition **addition, char **why)
{
    adding d = {.arena = arena_create(), .van = van, .circuit = circuit, .given = answers, .n = n_answers};
    lw_status status = LW_NO_MEMORY;
    if (d.arena && arena_try(d.arena, add_it, &d)) {
        if (d.result) {
            *addition = d.result;
            return LW_OK;
        }
        status = text_copy(d.why, why) == LW_OK ? LW_REFUSED : LW_NO_MEMORY;
    }
    arena_destroy(d.arena);
    return status;
}

void lw_addition_free(lw_addition *addition)
{
    if (addition) arena_destroy(addition->arena);
}

const char *lw_addition_text(const lw_addition *addition) { return addition->text; }
const char *lw_addition_says(const lw_addition *addition) { return addition->says; }

const char *const *lw_addition_items(const lw_addition *addition, size_t *n)
{
    *n = addition->n_items;
    return addition->items;
}

const char *const *lw_addition_wires(const lw_addition *addition, size_t *n)
{
    *n = addition->n_wires;
    return addition->wires;
}

/* --- the guided start --- */

typedef struct starting {
    const lw_answer *given;
    size_t n;
    const lw_circuit_wish *wishes;
    size_t n_wishes;
} starting;

static lw_status start_it(sink *s, const void *what)
{
    const starting *t = what;
    const char *why = NULL;
    answers given = {.arena = s->arena};
    wish *wishes = ARENA_ARRAY(s->arena, wish, t->n_wishes + 1);
    bool is_read = answers_read(&given, t->given, t->n, &why);
    for (size_t i = 0; is_read && i < t->n_wishes; i++) {
        const lw_circuit_wish *w = &t->wishes[i];
        wishes[i] = (wish){w->circuit, w->count, {.arena = s->arena}};
        is_read = answers_read(&wishes[i].given, w->answers, w->n_answers, &why);
    }
    const char *text = is_read ? start_text(s->arena, &given, wishes, (int)t->n_wishes, &why) : NULL;
    sink_add(s, text ? text : why);
    return text ? LW_OK : LW_REFUSED;
}

lw_status lw_start(const lw_answer *answers, size_t n_answers, const lw_circuit_wish *circuits, size_t n_circuits,
                   char **text)
{
    return text_give(start_it, &(starting){answers, n_answers, circuits, n_circuits}, text);
}
