/* Recipes from their files, and answers into their texts. See recipe.h. */
#include "ready/recipe.h"

#include "circuits-embedded.h"
#include <assert.h>
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

/* ---- files ---- */

static const char *text_of(const node *mapping, const char *key, const char *otherwise)
{
    const node *n = node_get(mapping, key);
    return n && n->form == NODE_SCALAR ? n->text : otherwise;
}

static ask ask_read(arena *a, const node *n)
{
    ask q = {.name = n->key, .preset = node_get(n, "default"), .n_choices = 0};
    q.label = text_of(n, "label", n->key);
    q.in = text_of(n, "in", "text");
    q.least = text_of(n, "least", "");
    q.most = text_of(n, "most", "");
    const node *choices = node_get(n, "choices");
    q.choices = ARENA_ARRAY(a, const char *, (size_t)(choices ? choices->n : 0) + 1);
    for (const node *c = choices ? choices->first : NULL; c; c = c->next) q.choices[q.n_choices++] = c->text;
    assert(q.preset);
    return q;
}

static recipe recipe_read(arena *a, const char *name, const char *text, size_t n)
{
    report *faults = report_create(a, name);
    const node *root = tree_read(a, text, n, faults);
    assert(root && report_is_empty(faults));
    recipe r = {.id = name, .items = node_get(root, "items"), .wires = node_get(root, "wires")};
    r.title = text_of(root, "title", name);
    r.says = text_of(root, "says", "");
    r.comment = text_of(root, "comment", "");
    const node *asks = node_get(root, "asks");
    r.asks = ARENA_ARRAY(a, ask, (size_t)(asks ? asks->n : 0) + 1);
    for (const node *q = asks ? asks->first : NULL; q; q = q->next) r.asks[r.n_asks++] = ask_read(a, q);
    assert(r.items && r.wires);
    return r;
}

const recipe *recipes(arena *a, int *n)
{
    recipe *all = ARENA_ARRAY(a, recipe, n_circuits_ready);
    for (int i = 0; i < n_circuits_ready; i++)
        all[i] = recipe_read(a, circuits_ready[i].name, circuits_ready[i].text, circuits_ready[i].n);
    *n = n_circuits_ready;
    return all;
}

bool recipe_is_listed(const recipe *r) { return strcmp(r->id, "start") != 0 && strcmp(r->id, "supply") != 0; }

const recipe *recipe_named(const recipe *all, int n, const char *id)
{
    for (int i = 0; i < n; i++)
        if (!strcmp(all[i].id, id)) return &all[i];
    return NULL;
}

const ask *recipe_ask(const recipe *r, const char *name)
{
    for (int i = 0; i < r->n_asks; i++)
        if (!strcmp(r->asks[i].name, name)) return &r->asks[i];
    return NULL;
}

/* ---- answers ---- */

void answers_put(answers *to, const char *name, const char *text)
{
    int i = 0;
    while (i < to->n && strcmp(to->names[i], name) != 0) i++;
    assert(i < answers_room);
    to->names[i] = name;
    to->texts[i] = text;
    if (i == to->n) to->n++;
}

const char *answers_get(const answers *from, const char *name)
{
    for (int i = 0; i < from->n; i++)
        if (!strcmp(from->names[i], name)) return from->texts[i];
    return NULL;
}

const char *answers_scalar(const answers *from, const node *n)
{
    if (n->form == NODE_SCALAR) return n->text;
    const node *at = node_get(n, from->voltage);
    return at ? at->text : NULL;
}

static int longest_name(const answers *from, const char *at)
{
    int found = -1;
    for (int i = 0; i < from->n; i++) {
        const size_t n = strlen(from->names[i]);
        if (strncmp(at, from->names[i], n) != 0) continue;
        if (found < 0 || n > strlen(from->names[found])) found = i;
    }
    return found;
}

const char *answers_fill(const answers *from, const char *text)
{
    sink s = sink_in(from->arena);
    for (const char *at = text; *at;) {
        const int found = *at == '$' ? longest_name(from, at + 1) : -1;
        if (found >= 0) {
            sink_add(&s, from->texts[found]);
            at += 1 + strlen(from->names[found]);
        } else
            sink_add_n(&s, at++, 1);
    }
    return sink_text(&s);
}

/* ---- what is asked ---- */

static bool takes(const char *in, dimension d)
{
    for (const char *at = in; *at;) {
        const size_t n = strcspn(at, " ");
        char unit[16];
        dimension of;
        if (n < sizeof unit) {
            memcpy(unit, at, n);
            unit[n] = 0;
            if (dimension_of_unit(unit, &of) && of == d) return true;
        }
        at += n + (at[n] == ' ');
    }
    return false;
}

static const char *quantity_fault(const ask *q, const char *text, arena *a)
{
    quantity found, bound;
    const char *wrong;
    if (!quantity_parse(text, strlen(text), &found, a, &wrong)) return arena_printf(a, "`%s` %s", text, wrong);
    if (!takes(q->in, found.dimension))
        return arena_printf(a, "`%s` is a %s; give a quantity in %s, as `%s`", text, dimension_name(found.dimension),
                            q->in, q->least);
    if (*q->least && quantity_parse(q->least, strlen(q->least), &bound, a, &wrong) &&
        bound.dimension == found.dimension && found.value < bound.value)
        return arena_printf(a, "`%s` is too little; give at least %s", text, q->least);
    if (*q->most && quantity_parse(q->most, strlen(q->most), &bound, a, &wrong) && bound.dimension == found.dimension &&
        found.value > bound.value)
        return arena_printf(a, "`%s` is too much; give at most %s", text, q->most);
    return found.value > 0 ? NULL : arena_printf(a, "`%s` is nothing; give more than that", text);
}

static const char *count_fault(const ask *q, const char *text, arena *a)
{
    char *end;
    const long count = strtol(text, &end, 10);
    if (*text && !*end && count >= atol(q->least) && count <= atol(q->most)) return NULL;
    return arena_printf(a, "`%s` is not a whole number from %s to %s", text, q->least, q->most);
}

/* Spaces don't count: `12V` is `12 V`. */
static bool is_same_choice(const char *a, const char *b)
{
    for (;; a++, b++) {
        while (*a == ' ') a++;
        while (*b == ' ') b++;
        if (*a != *b) return false;
        if (!*a) return true;
    }
}

static bool is_quantity(const ask *q) { return takes(q->in, DIMENSION_LENGTH) || isupper((unsigned char)*q->in); }

const char *answer_kept(const ask *q, const char *text, arena *a)
{
    for (int i = 0; i < q->n_choices; i++)
        if (is_same_choice(q->choices[i], text)) return q->choices[i];
    const size_t n = strspn(text, "0123456789.");
    if (!is_quantity(q) || !isalpha((unsigned char)text[n])) return text;
    return arena_printf(a, "%.*s %s", (int)n, text, text + n);
}

static const char *choice_fault(const ask *q, const char *text, arena *a)
{
    sink s = sink_in(a);
    for (int i = 0; i < q->n_choices; i++) {
        if (is_same_choice(q->choices[i], text)) return NULL;
        sink_printf(&s, "%s`%s`", i ? ", " : "", q->choices[i]);
    }
    return arena_printf(a, "`%s` is none of %s", text, sink_text(&s));
}

/* It is to stand on one line of the file, and be printed. */
static const char *text_fault(const char *text, arena *a)
{
    enum { text_longest = 80 };
    if (!*text || strlen(text) > text_longest) return arena_printf(a, "give 1 to %d characters", text_longest);
    for (const unsigned char *c = (const unsigned char *)text; *c; c++)
        if (*c < 0x20 || *c == 0x7F) return "give a text of one line";
    return NULL;
}

const char *answer_fault(const ask *q, const char *text, arena *a)
{
    if (!strcmp(q->in, "count")) return count_fault(q, text, a);
    if (!strcmp(q->in, "choice")) return choice_fault(q, text, a);
    if (!strcmp(q->in, "text") || !strcmp(q->in, "panel")) return text_fault(text, a);
    if (!strcmp(q->in, "truth"))
        return !strcmp(text, "true") || !strcmp(text, "false") ? NULL
                                                               : arena_printf(a, "`%s` is not `true` or `false`", text);
    return quantity_fault(q, text, a);
}

double answer_number(const char *text, arena *a)
{
    quantity q = {0};
    const char *wrong;
    return quantity_parse(text, strlen(text), &q, a, &wrong) ? q.value : 0;
}
