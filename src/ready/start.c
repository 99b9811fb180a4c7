/* The guided start: a new van file, in which every line is meant to be changed by its reader, so each says what it is
 * for. */
#include "ready/ready.h"

#include "read/read.h"
#include <string.h>

typedef struct head {
    const char *name, *practice;
} head;

static void add_comment(sink *s, const char *comment)
{
    if (*comment) sink_printf(s, "  # ---- %s ----\n", comment);
}

static const char *start_written(plan *p, void *context)
{
    const head *h = context;
    sink s = sink_in(p->arena);
    sink_printf(
        &s,
        "# The low-voltage wiring of one van. Change it until it is yours, then ask:\n"
        "#   loomwall judge THIS-FILE      what stands between you and cutting, closing and the first fuse\n"
        "#   loomwall sheets THIS-FILE --out sheets\n"
        "#   loomwall kinds                what an item can be; loomwall kinds NAME tells what it takes\n"
        "# Sizes and fuses were chosen for the lengths and currents that stand here: measure the runs, read the data\n"
        "# sheets, and write down what is true. Every quantity has a unit: 3.2 m, 12 ft 6 in, 14 AWG, 2.5 mm2, 45 "
        "degC.\n"
        "# Local codes come first, and work on mains voltage is for licensed people.\n"
        "\n"
        "loomwall: 1                 # the format of this file\n"
        "name: %s\n"
        "practice: %-17s # north-america or europe: limits, conductor sizes, colours\n"
        "\n"
        "conditions:                 # the air around the conductors\n"
        "  hottest: 45 degC\n"
        "  coldest: -10 degC\n"
        "\n"
        "items:                      # everything that a wire can end on, each by an id of its own\n",
        scalar_text(h->name, p->arena), h->practice);
    for (size_t i = 0; i < p->sections.n; i++) {
        if (i) sink_add(&s, "\n");
        add_comment(&s, p->sections.at[i]);
        plan_item_lines(p, (int)i, 2, &s);
    }
    sink_add(&s, "\nwires:                      # by label: the wire's name for life, printed on its sleeve\n"
                 "  # Lengths are from terminal to terminal, with slack. Leave a size out, or write `size: auto`, and "
                 "the program\n"
                 "  # chooses one and says why. Where feeds run touching in one bundle, say so: `bundled: 5`.\n");
    for (size_t i = 0; i < p->sections.n; i++) {
        sink lines = sink_in(p->arena);
        plan_wire_lines(p, (int)i, 2, &lines);
        if (!lines.n) continue;
        if (i > 1) sink_add(&s, "\n");
        add_comment(&s, p->sections.at[i]);
        sink_add(&s, sink_text(&lines));
    }
    return sink_text(&s);
}

static bool add_wishes(plan *p, const wish *wishes, int n_wishes)
{
    enum { count_most = 20 };
    for (int i = 0; i < n_wishes; i++) {
        const recipe *r = recipe_named(p->recipes, p->n_recipes, wishes[i].circuit);
        if (!r || !recipe_is_listed(r))
            return p->why = arena_printf(p->arena, "there is no circuit `%s`", wishes[i].circuit), false;
        if (wishes[i].count < 1 || wishes[i].count > count_most)
            return p->why = arena_printf(p->arena, "%s: take it 1 to %d times", r->id, count_most), false;
        for (int k = 1; k <= wishes[i].count; k++)
            if (!plan_add(p, r, &wishes[i].given, k)) return false;
    }
    return true;
}

/* What is asked of the van itself, before the circuits. */
static const char *answer_of(const recipe *r, const answers *given, const char *name)
{
    const char *text = answers_get(given, name);
    return text ? text : answers_scalar(given, recipe_ask(r, name)->preset);
}

const char *start_text(arena *a, const answers *given, const wish *wishes, int n_wishes, const char **why)
{
    plan p = {.arena = a};
    p.recipes = recipes(a, &p.n_recipes);
    const recipe *r = recipe_named(p.recipes, p.n_recipes, "start");
    const head h = {answer_of(r, given, "name"), answer_of(r, given, "practice")};
    p.practice = !strcmp(h.practice, "europe") ? PRACTICE_EUROPE : PRACTICE_NORTH_AMERICA;
    p.nominal_V = answer_number(answer_of(r, given, "voltage"), a);
    p.supply_distance = answer_of(r, given, "distance");
    const char *text = NULL;
    if (plan_add(&p, r, given, 1) && add_wishes(&p, wishes, n_wishes))
        text = plan_finish(&p, start_written, (void *)&h);
    *why = p.why;
    return p.why ? NULL : text;
}
