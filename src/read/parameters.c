/* Parameters of kinds, and values by them. See inside.h. */
#include "read/inside.h"

#include "read/keys.h"
#include <assert.h>
#include <math.h>
#include <string.h>

const char *parameter_holds(reader *r, const parameter *p)
{
    if (p->n_choices) return listing(r, p->choices, p->n_choices, 20, "or");
    if (p->is_truth) return "true or false";
    if (p->is_count) return SAY(r, "a whole number, %.0f to %.0f", p->least, p->most);
    return dimensions_text(r, p->dimensions, p->n_dimensions);
}

bool parameter_value(reader *r, const node *n, const parameter *p, value *out)
{
    value v = {.parameter = -1};
    if (p->n_choices) {
        int choice;
        if (!read_word(r, n, &(key_rule){.name = p->name, .words = p->choices}, &choice)) return false;
        v.form = VALUE_WORD;
        v.word = p->choices[choice];
    } else if (p->is_truth) {
        bool is_true;
        if (!read_truth(r, n, &is_true)) return false;
        v.form = VALUE_NUMBER;
        v.number = is_true;
    } else if (p->is_count) {
        int count;
        if (!read_count(r, n, p->least, p->most, &count)) return false;
        v.form = VALUE_NUMBER;
        v.number = count;
    } else {
        quantity q;
        if (!read_any_quantity(r, n, p->dimensions, p->n_dimensions, p->least, p->most, &q)) return false;
        if (p->is_positive && q.value <= 0) {
            fault(r, n->where, SAY(r, "`%s: %s` is out of range", p->name, quoted(r, n->text)),
                  "write more than nothing");
            return false;
        }
        v.form = VALUE_NUMBER;
        v.number = q.value;
        v.dimension = q.dimension;
    }
    *out = v;
    return true;
}

/* `in`: a unit, a list of units, `count` or `truth`. */
static bool read_in(reader *r, const node *n, parameter *p)
{
    if (n->form == NODE_SCALAR && strcmp(n->text, "count") == 0) return p->is_count = true;
    if (n->form == NODE_SCALAR && strcmp(n->text, "truth") == 0) return p->is_truth = true;
    if (n->form != NODE_SCALAR && !read_list(r, n, "units")) return false;
    for (const node *u = n->form == NODE_SCALAR ? n : n->first; u; u = n->form == NODE_SCALAR ? NULL : u->next) {
        const char *unit;
        if (!read_text(r, u, &unit)) return false;
        dimension d;
        if (!dimension_of_unit(unit, &d)) {
            fault(r, u->where, SAY(r, "`%s` is not a unit", quoted(r, unit)),
                  "write a unit, as A, V, W, ohm, Ah, m, degC or %, or `count` or `truth`");
            return false;
        }
        bool is_new = true;
        for (int i = 0; i < p->n_dimensions; i++) is_new = is_new && p->dimensions[i] != d;
        if (is_new && p->n_dimensions == 3) {
            fault(r, u->where, SAY(r, "`%s` takes more than three dimensions", p->name), "three are enough");
            return false;
        }
        if (is_new) p->dimensions[p->n_dimensions++] = d;
    }
    if (p->n_dimensions) return true;
    fault(r, n->where, "`in` names no unit", "write a unit, as A, V or W");
    return false;
}

static bool read_choices(reader *r, const node *n, parameter *p)
{
    if (!read_list(r, n, "words")) return false;
    const char **words = ARENA_ARRAY(r->arena, const char *, (size_t)n->n + 1);
    for (const node *c = n->first; c; c = c->next)
        if (read_id(r, c, &words[p->n_choices])) p->n_choices++;
    p->choices = words;
    if (n->n) return true;
    fault(r, n->where, "`choices` is an empty list", "write the words that it may be, as [hidden, reachable]");
    return false;
}

static void read_limit(reader *r, const node *n, const parameter *p, double *out)
{
    if (!n) return;
    if (p->is_count) {
        int count;
        if (read_count(r, n, 0, 1e6, &count)) *out = count;
    } else if (p->n_dimensions == 1) {
        quantity q;
        if (read_any_quantity(r, n, p->dimensions, 1, -HUGE_VAL, HUGE_VAL, &q)) *out = q.value;
    } else
        fault(r, n->where, SAY(r, "`%s` of a parameter that has not one dimension", n->key),
              "give a range only to a count or to a quantity of one dimension");
}

void read_source(reader *r, const node *n, source *out)
{
    const char *text;
    if (!n || !read_text(r, n, &text)) return;
    static const char memory[] = " (from memory)";
    size_t length = strlen(text), tail = sizeof memory - 1;
    if (strcmp(text, "common practice") == 0)
        *out = (source){text, ORIGIN_PRACTICE};
    else if (length > tail && strcmp(text + length - tail, memory) == 0)
        *out = (source){arena_text_n(r->arena, text, length - tail), ORIGIN_MEMORY};
    else
        *out = (source){text, ORIGIN_PUBLISHED};
}

/* A $parameter as default waits until all parameters are known. */
static void read_default(reader *r, const node *n, parameter *p)
{
    if (!n) return;
    if (is_auto(n))
        p->is_auto = true;
    else if (p->is_list)
        fault(r, n->where, SAY(r, "the list `%s` has a default", p->name), "leave it out: an item gives its own list");
    else if (!(n->form == NODE_SCALAR && n->text[0] == '$'))
        parameter_value(r, n, p, &p->preset);
}

static void read_parameter(reader *r, const node *n, parameter *p)
{
    const node *f[n_takes_keys];
    *p = (parameter){.name = n->key, .says = "", .least = -HUGE_VAL, .most = HUGE_VAL, .where = n->key_where};
    p->from = (source){"the van file", ORIGIN_PRACTICE};
    check_key_id(r, n);
    for (int i = 0; i < n_item_keys; i++)
        if (item_keys.rules[i].holds != HOLDS_LATER && strcmp(item_keys.rules[i].name, p->name) == 0)
            fault(r, n->key_where, SAY(r, "a parameter with the name `%s`", p->name),
                  "every item has a key of that name; choose another");
    if (!read_fields(r, n, &takes_keys, f, NULL, NULL)) return;
    read_text(r, f[takes_says], &p->says);
    read_source(r, f[takes_from], &p->from);
    read_truth(r, f[takes_list], &p->is_list);
    if (!f[takes_in] == !f[takes_choices]) {
        fault(r, n->key_where,
              SAY(r, "the parameter `%s` has %s", p->name,
                  f[takes_in] ? "both `in` and `choices`" : "neither `in` nor `choices`"),
              "give it `in:` with a unit, or `choices:` with words");
        return;
    }
    if (!(f[takes_in] ? read_in(r, f[takes_in], p) : read_choices(r, f[takes_choices], p))) return;
    if (p->is_count) p->least = 1, p->most = row_most;
    if (p->is_list && !p->n_dimensions)
        fault(r, n->key_where, SAY(r, "the list `%s` holds no quantities", p->name), "a list is one of quantities");
    read_limit(r, f[takes_least], p, &p->least);
    read_limit(r, f[takes_most], p, &p->most);
    if (p->least > p->most)
        fault(r, n->key_where, SAY(r, "the range of `%s` is empty", p->name), "let `least` lie below `most`");
    else
        read_default(r, f[takes_default], p);
}

/* Every dimension or word that `from` may have is one that `to` takes. */
bool parameter_suits(const parameter *from, const parameter *to)
{
    if (from->is_list != to->is_list || from->is_truth != to->is_truth || from->is_count != to->is_count ||
        !from->n_choices != !to->n_choices)
        return false;
    for (int i = 0; i < from->n_dimensions; i++) {
        bool is_taken = false;
        for (int j = 0; j < to->n_dimensions; j++) is_taken = is_taken || from->dimensions[i] == to->dimensions[j];
        if (!is_taken) return false;
    }
    return true;
}

int parameter_named(reader *r, const kind *k, const node *n)
{
    int p = kind_parameter(k, n->text + 1);
    if (p >= 0) return p;
    const char **words = ARENA_ARRAY(r->arena, const char *, (size_t)k->n_parameters);
    for (int i = 0; i < k->n_parameters; i++) words[i] = SAY(r, "$%s", k->parameters[i].name);
    fault(
        r, n->where, SAY(r, "`%s` is not a parameter of `%s`", quoted(r, n->text), k->name),
        suggestion(r, n->text, words, k->n_parameters, SAY(r, "declare `%s` under `takes:`", quoted(r, n->text + 1))));
    return -1;
}

void read_parameters(reader *r, const node *n, kind *k)
{
    if (!n || n->form == NODE_BROKEN) return;
    if (n->form != NODE_MAPPING || n->n > parameters_most) {
        fault(r, n->where, n->form == NODE_MAPPING ? "too many parameters" : SAY(r, "`takes` is %s", node_form_name(n)),
              SAY(r, "write a mapping of at most %d parameters, as {rating: {in: A, default: 20 A}}", parameters_most));
        return;
    }
    k->parameters = ARENA_ARRAY(r->arena, parameter, (size_t)n->n);
    for (const node *e = n->first; e; e = e->next) read_parameter(r, e, &k->parameters[k->n_parameters++]);
    int i = 0;
    for (const node *e = n->first; e; e = e->next, i++) { /* defaults that name another parameter */
        const node *d = e->form == NODE_MAPPING ? node_get(e, "default") : NULL;
        if (!d || d->form != NODE_SCALAR || d->text[0] != '$') continue;
        int named = parameter_named(r, k, d);
        if (named < 0) continue;
        const node *other = n->first;
        for (int j = 0; j < named && other; j++) other = other->next;
        assert(other);
        const node *others = other->form == NODE_MAPPING ? node_get(other, "default") : NULL;
        if (named == i || (others && others->form == NODE_SCALAR && others->text[0] == '$') ||
            k->parameters[named].is_list || !parameter_suits(&k->parameters[named], &k->parameters[i]))
            fault(r, d->where, SAY(r, "`%s` can't stand in for `%s`", d->text, k->parameters[i].name),
                  "name a parameter of the same dimension whose own default is a value");
        else
            k->parameters[i].preset = (value){.form = VALUE_PARAMETER, .parameter = named};
    }
}
