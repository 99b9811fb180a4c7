/* What the program knows. See loomwall/tell.h. Kinds and rules are told alike: a list, or one of it. */
#include "loomwall/tell.h"
#include "api/catalogue.h"
#include "api/kinds.h"
#include "api/text.h"
#include "judge/judge.h"
#include "read/read.h"

#include <string.h>

/* A list of things that have a name and a line each. */
typedef struct catalogue {
    const char *what, *plural, *command;
    const char **names, **says;
    int n;
    const void *entries;
    void (*json)(sink *s, const void *entries, int i);
    void (*more)(sink *s); /* what else its list tells; NULL: nothing */
    const char *(*text)(const void *entries, int i, arena *a);
} catalogue;

typedef struct question {
    const char *name; /* NULL: all */
    lw_form form;
} question;

static void json_all(sink *s, const catalogue *c)
{
    sink_printf(s, "{\"%s\": [", c->plural);
    for (int i = 0; i < c->n; i++) {
        sink_add(s, i == 0 ? "\n " : ",\n ");
        c->json(s, c->entries, i);
    }
    sink_add(s, "]");
    if (c->more) c->more(s);
    sink_add(s, "}\n");
}

static void text_all(sink *s, const catalogue *c)
{
    size_t width = 0;
    for (int i = 0; i < c->n; i++) width = strlen(c->names[i]) > width ? strlen(c->names[i]) : width;
    for (int i = 0; i < c->n; i++) sink_printf(s, "%-*s  %s\n", (int)width, c->names[i], c->says[i]);
}

static lw_status tell_one(sink *s, const catalogue *c, int i, lw_form form)
{
    if (form == LW_TEXT) {
        sink_add(s, c->text(c->entries, i, s->arena));
    } else {
        c->json(s, c->entries, i);
        sink_add(s, "\n");
    }
    return LW_OK;
}

static lw_status tell_from(sink *s, const catalogue *c, const question *q)
{
    if (!q->name) {
        (q->form == LW_JSON ? json_all : text_all)(s, c);
        return LW_OK;
    }
    for (int i = 0; i < c->n; i++) {
        if (strcmp(c->names[i], q->name) == 0) return tell_one(s, c, i, q->form);
    }
    const char *otherwise = arena_printf(s->arena, "`%s` lists them", c->command);
    sink_printf(s, "there is no %s `%s`; %s", c->what, q->name,
                text_suggestion(q->name, c->names, c->n, otherwise, s->arena));
    return LW_REFUSED;
}

/* --- kinds --- */

static void json_nth_kind(sink *s, const void *kinds, int i) { json_kind(s, &((const kind *)kinds)[i]); }
static const char *text_nth_kind(const void *kinds, int i, arena *a) { return kind_text(&((const kind *)kinds)[i], a); }

static lw_status tell_kinds(sink *s, const void *what)
{
    catalogue c = {
        "kind", "kinds", "loomwall kinds", .json = json_nth_kind, .more = json_catalogue, .text = text_nth_kind};
    const kind *kinds = built_in_kinds(s->arena, &c.n);
    c.entries = kinds;
    c.names = ARENA_ARRAY(s->arena, const char *, (size_t)c.n);
    c.says = ARENA_ARRAY(s->arena, const char *, (size_t)c.n);
    for (int i = 0; i < c.n; i++) {
        c.names[i] = kinds[i].name;
        c.says[i] = kinds[i].says;
    }
    return tell_from(s, &c, what);
}

lw_status lw_kinds(const char *name, lw_form form, char **out)
{
    return text_give(tell_kinds, &(question){name, form}, out);
}

/* --- rules --- */

static void json_rule(sink *s, const void *entries, int i)
{
    const rule *r = &((const rule *)entries)[i];
    static const char *const gates[] = {
#define X(NAME, word) word,
        GATES(X)
#undef X
    };
    static const char *const grades[] = {
#define X(NAME, word) word,
        GRADES(X)
#undef X
    };
    sink_add(s, "{\"rule\": ");
    json_text(s, r->id);
    sink_printf(s, ", \"gate\": \"%s\", \"grade\": \"%s\",\n  \"means\": ", gates[r->gate], grades[r->grade]);
    json_text(s, r->means);
    sink_add(s, ",\n  \"matters\": ");
    json_text(s, r->matters);
    sink_add(s, ",\n  \"limits\": ");
    json_text(s, r->limits);
    sink_add(s, ",\n  \"mends\": ");
    json_text(s, r->mends);
    sink_add(s, "}");
}

static const char *text_rule(const void *entries, int i, arena *a)
{
    (void)entries;
    return rule_text(i, a);
}

static lw_status tell_rules(sink *s, const void *what)
{
    catalogue c = {"rule", "rules", "loomwall why", .json = json_rule, .text = text_rule};
    const rule *table = rules(&c.n);
    c.entries = table;
    c.names = ARENA_ARRAY(s->arena, const char *, (size_t)c.n);
    c.says = ARENA_ARRAY(s->arena, const char *, (size_t)c.n);
    for (int i = 0; i < c.n; i++) {
        c.names[i] = table[i].id;
        c.says[i] = table[i].means;
    }
    return tell_from(s, &c, what);
}

lw_status lw_why(const char *rule, lw_form form, char **out)
{
    return text_give(tell_rules, &(question){rule, form}, out);
}

/* --- schema, starter --- */

static lw_status tell_schema(sink *s, const void *what)
{
    (void)what;
    sink_add(s, read_schema(s->arena));
    return LW_OK;
}

lw_status lw_schema(char **out) { return text_give(tell_schema, NULL, out); }

static const char *const practices[] = {"north-america", "europe"};
enum { n_practices = sizeof practices / sizeof practices[0] };

typedef struct starter {
    const char *practice, *name;
    double nominal_V;
} starter;

static lw_status tell_starter(sink *s, const void *what)
{
    const starter *wanted = what;
    int chosen = wanted->practice ? -1 : 0;
    for (int i = 0; i < n_practices && wanted->practice; i++) {
        if (strcmp(practices[i], wanted->practice) == 0) chosen = i;
    }
    if (chosen < 0) {
        sink_printf(s, "there is no practice `%s`; there are `north-america` and `europe`", wanted->practice);
        return LW_REFUSED;
    }
    if (wanted->nominal_V != 12 && wanted->nominal_V != 24) {
        char volts[number_room];
        sink_printf(s, "a starter file can't be made for %s V; take 12 V or 24 V",
                    number_short(wanted->nominal_V, 6, volts));
        return LW_REFUSED;
    }
    sink_add(s, starter_text((practice)chosen, wanted->nominal_V, wanted->name, s->arena));
    return LW_OK;
}

lw_status lw_starter(const char *practice, double nominal_V, const char *name, char **out)
{
    return text_give(tell_starter, &(starter){practice, name ? name : "My van", nominal_V == 0 ? 12 : nominal_V}, out);
}
