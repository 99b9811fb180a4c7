/* Plans to texts. See ready.h. */
#include "ready/ready.h"

#include "read/read.h"
#include <string.h>

enum { rounds_most = 60 };

static const study *studied(plan *p, const char *text)
{
    report *faults = report_create(p->arena, "plan");
    const van *v = read_van(p->arena, "plan", text, strlen(text), faults);
    if (!v) {
        p->why = report_text(faults, p->arena);
        return NULL;
    }
    const study_options quick = {.n_threads = 1};
    return study_run(p->arena, v, &quick);
}

/* With sizes left open until the ratings stand; then as thick as the loads need. */
const char *plan_finish(plan *p, plan_writer *written, void *context)
{
    plan_rate(p, NULL, true);
    const study *s = NULL;
    const char *text = NULL;
    for (int round = 0; round < 4; round++) {
        text = written(p, context);
        s = text ? studied(p, text) : NULL;
        if (!s) return NULL;
        if (!plan_rate(p, s, true)) break;
    }
    plan_size(p, s);
    for (int round = 0; round < rounds_most; round++) {
        text = written(p, context);
        s = text ? studied(p, text) : NULL;
        if (!s) return NULL;
        const bool has_risen = plan_rate(p, s, false);
        if (!plan_grow(p, s) && !has_risen) break;
    }
    return text;
}

const plan *circuit_plan(arena *a, const van *v, const char *circuit, const answers *given, plan_writer *edited,
                         void *context, const char **text, const char **why)
{
    plan *p = ARENA_NEW(a, plan);
    *p = (plan){.arena = a, .van = v, .practice = v->practice};
    p->recipes = recipes(a, &p->n_recipes);
    const study_options quick = {.n_threads = 1};
    p->before = study_run(a, v, &quick);
    p->nominal_V = p->before->nominal_V > 0 ? p->before->nominal_V : 12;
    const recipe *r = recipe_named(p->recipes, p->n_recipes, circuit);
    if (!r || !recipe_is_listed(r))
        p->why = arena_printf(a, "there is no circuit `%s`; `loomwall add FILE` lists them", circuit);
    else if (plan_add(p, r, given, 1))
        *text = plan_finish(p, edited, context);
    *why = p->why;
    return p->why ? NULL : p;
}
