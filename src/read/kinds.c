/* Kinds from their language. See kinds.h.
 *
 * Two passes, since a kind may name one that stands later: first the head of every kind (terminals, parameters,
 * positions), then what is inside, depth first, so that a kind which holds itself shows as one met while in work. */
#include "read/kinds.h"

#include "read/keys.h"
#include <math.h>
#include <string.h>

typedef enum progress { PROGRESS_NEW, PROGRESS_IN_WORK, PROGRESS_DONE } progress;

typedef struct work {
    reader *r;
    kind_set set;
    const node **nodes;   /* of each kind; NULL: built in */
    const node **insides; /* `inside` of each kind, or NULL */
    progress *progress;
    int n_built_in;
    int *path; /* kinds in work, outermost first */
    int n_path;
    bool is_too_large;
} work;

static const char *const *names_of_terminals(reader *r, const kind *k, bool with_inner, int *n)
{
    const char **words = ARENA_ARRAY(r->arena, const char *, (size_t)(k->n_terminals + k->n_inner));
    *n = 0;
    for (int t = 0; t < k->n_terminals; t++) words[(*n)++] = k->terminals[t].name;
    for (int i = 0; with_inner && i < k->n_inner; i++) words[(*n)++] = k->inner[i];
    return words;
}

static int terminal_of(const kind *k, const char *name)
{
    for (int t = 0; t < k->n_terminals; t++)
        if (strcmp(k->terminals[t].name, name) == 0) return t;
    return -1;
}

static int inner_of(const kind *k, const char *name)
{
    for (int i = 0; i < k->n_inner; i++)
        if (strcmp(k->inner[i], name) == 0) return i;
    return -1;
}

/* ---- parameters ---- */

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

static void read_source(reader *r, const node *n, source *out)
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
static bool parameter_suits(const parameter *from, const parameter *to)
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

static int parameter_named(reader *r, const kind *k, const node *n)
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

static void read_parameters(reader *r, const node *n, kind *k)
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
        for (int j = 0; j < named; j++) other = other->next;
        const node *others = other->form == NODE_MAPPING ? node_get(other, "default") : NULL;
        if (named == i || (others && others->form == NODE_SCALAR && others->text[0] == '$') ||
            k->parameters[named].is_list || !parameter_suits(&k->parameters[named], &k->parameters[i]))
            fault(r, d->where, SAY(r, "`%s` can't stand in for `%s`", d->text, k->parameters[i].name),
                  "name a parameter of the same dimension whose own default is a value");
        else
            k->parameters[i].preset = (value){.form = VALUE_PARAMETER, .parameter = named};
    }
}

/* ---- the head ---- */

static void read_positions(reader *r, const node *n, kind *k)
{
    if (!n || !read_list(r, n, "positions")) return;
    if (n->n < 1 || n->n > kind_positions_most) {
        fault(r, n->where, SAY(r, "%d positions", n->n), SAY(r, "give it 1 to %d", kind_positions_most));
        return;
    }
    for (const node *e = n->first; e; e = e->next) {
        const char *name;
        if (!read_id(r, e, &name)) continue;
        if (kind_position(k, name) >= 0)
            fault(r, e->where, SAY(r, "the position `%s` stands here for the second time", name), "name each once");
        else
            k->positions[k->n_positions++] = name;
    }
}

static void read_dial(reader *r, const node *n, kind *k)
{
    const char *name;
    if (!n || !read_text(r, n, &name)) return;
    int p = kind_parameter(k, name);
    if (p < 0 || k->parameters[p].n_dimensions != 1 || k->parameters[p].dimensions[0] != DIMENSION_FRACTION ||
        k->parameters[p].is_list)
        fault(r, n->where, SAY(r, "`%s` can't be a dial", quoted(r, name)),
              "name a parameter that is a fraction, as duty: {in: \"%\", default: 100 %}");
    else if (k->n_positions)
        fault(r, n->key_where, "a kind with both `positions` and `dial`", "keep one of them");
    else
        k->dial = p;
}

/* True when the name is new among terminals and nodes. */
static bool is_new_name(reader *r, const kind *k, const node *n, const char *name)
{
    if (terminal_of(k, name) < 0 && inner_of(k, name) < 0) return true;
    fault(r, n->where, SAY(r, "`%s` is the name of two terminals or nodes", name), "give each its own name");
    return false;
}

static void read_row(reader *r, const node *n, kind *k, terminal_template *t)
{
    static const char right[] = "write {row: NAME}, NAME being a parameter that is a count or a list";
    const node *row = n->n == 1 ? node_get(n, "row") : NULL;
    if (!row || !read_text(r, row, &t->name)) {
        if (!row) fault(r, n->where, "this is neither a terminal nor a row of them", right);
        return;
    }
    t->is_row = true;
    t->row_parameter = kind_parameter(k, t->name);
    if (t->row_parameter < 0 || !(k->parameters[t->row_parameter].is_count || k->parameters[t->row_parameter].is_list))
        fault(r, row->where, SAY(r, "`%s` is neither a count nor a list", quoted(r, t->name)), right);
    else if (k->row >= 0)
        fault(r, n->where, "a second row of terminals", "a kind has at most one");
}

static void read_terminals(reader *r, const node *n, kind *k)
{
    if (!n || !read_list(r, n, "terminals")) return;
    if (n->n < 1 || n->n > kind_terminals_most) {
        fault(r, n->where, SAY(r, "%d terminals", n->n), SAY(r, "name 1 to %d", kind_terminals_most));
        return;
    }
    for (const node *e = n->first; e; e = e->next) {
        terminal_template t = {.fitting = ""};
        if (e->form == NODE_MAPPING)
            read_row(r, e, k, &t);
        else if (!read_id(r, e, &t.name))
            continue;
        if (!t.name || !is_new_name(r, k, e, t.name)) continue;
        if (t.is_row) k->row = k->n_terminals;
        k->terminals[k->n_terminals++] = t;
    }
}

static void read_nodes(reader *r, const node *n, kind *k)
{
    if (!n || !read_list(r, n, "nodes")) return;
    if (n->n > inner_most) {
        fault(r, n->where, SAY(r, "%d nodes", n->n), SAY(r, "name at most %d", inner_most));
        return;
    }
    for (const node *e = n->first; e; e = e->next) {
        const char *name;
        if (read_id(r, e, &name) && is_new_name(r, k, e, name)) k->inner[k->n_inner++] = name;
    }
}

static int terminal_named(reader *r, const kind *k, place where, const char *name)
{
    int t = terminal_of(k, name);
    if (t >= 0) return t;
    int n;
    const char *const *words = names_of_terminals(r, k, false, &n);
    fault(r, where, SAY(r, "`%s` is not a terminal of `%s`", quoted(r, name), k->name),
          suggestion(r, name, words, n, SAY(r, "it has %s", listing(r, words, n, 20, "and"))));
    return -1;
}

static void read_open_allowed(reader *r, const node *n, kind *k)
{
    if (!n || !read_list(r, n, "terminals")) return;
    for (const node *e = n->first; e; e = e->next) {
        const char *name;
        if (!read_text(r, e, &name)) continue;
        int t = terminal_named(r, k, e->where, name);
        if (t >= 0) k->terminals[t].may_be_open = true;
    }
}

static void read_fit(reader *r, const node *n, terminal_template *t)
{
    const node *f[n_fits_keys];
    if (!read_fields(r, n, &fits_keys, f, NULL, NULL)) return;
    conductor_size size;
    if (read_size(r, f[fits_smallest], &size)) t->smallest_m2 = size.area_m2;
    if (read_size(r, f[fits_largest], &size)) t->largest_m2 = size.area_m2;
    if (t->smallest_m2 > 0 && t->largest_m2 > 0 && t->smallest_m2 > t->largest_m2)
        fault(r, f[fits_smallest]->where, "the smallest conductor is larger than the largest", "exchange them");
    const key_rule *conductors = &fits_keys.rules[fits_conductors];
    read_count(r, f[fits_conductors], conductors->least, conductors->most, &t->takes_conductors);
    read_text(r, f[fits_by], &t->fitting);
    read_source(r, f[fits_from], &t->fits_from);
}

static void read_fits(reader *r, const node *n, kind *k)
{
    if (!n || n->form == NODE_BROKEN) return;
    if (n->form != NODE_MAPPING) {
        fault(r, n->where, SAY(r, "`fits` is %s", node_form_name(n)),
              "write a mapping by terminal, as {feed: {largest: 10 AWG, by: 6.3 mm tab}}");
        return;
    }
    for (const node *e = n->first; e; e = e->next) {
        int t = terminal_named(r, k, e->key_where, e->key);
        if (t >= 0) read_fit(r, e, &k->terminals[t]);
    }
}

static void read_head(work *w, int index)
{
    reader *r = w->r;
    const node *n = w->nodes[index], *f[n_kind_keys];
    kind *k = &w->set.kinds[index];
    *k = (kind){.name = n->key, .says = "", .row = -1, .dial = -1, .symbol = "", .where = n->key_where};
    check_key_id(r, n);
    if (!read_fields(r, n, &kind_keys, f, NULL, NULL)) return;
    int role_index = N_ROLES; /* until `resolve` infers it */
    read_text(r, f[kind_says], &k->says);
    read_word(r, f[kind_role], &kind_keys.rules[kind_role], &role_index);
    k->role = (role)role_index;
    read_truth(r, f[kind_motor], &k->is_motor);
    read_truth(r, f[kind_critical], &k->is_critical);
    read_text(r, f[kind_symbol], &k->symbol);
    read_parameters(r, f[kind_takes], k);
    read_positions(r, f[kind_positions], k);
    read_dial(r, f[kind_dial], k);
    read_terminals(r, f[kind_terminals], k);
    k->inner = ARENA_ARRAY(r->arena, const char *, inner_most + elements_most);
    read_nodes(r, f[kind_nodes], k);
    read_open_allowed(r, f[kind_open_allowed], k);
    read_fits(r, f[kind_fits], k);
    w->insides[index] = f[kind_inside];
}

/* ---- what is inside ---- */

/* Room for one more: the array doubles at each power of two. */
static element *add_element(reader *r, kind *k)
{
    int n = k->n_elements;
    if ((n & (n - 1)) == 0) {
        element *more = ARENA_ARRAY(r->arena, element, n ? 2 * (size_t)n : 1);
        if (n) memcpy(more, k->elements, (size_t)n * sizeof *more);
        k->elements = more;
    }
    return &k->elements[k->n_elements++];
}

static bool read_end(reader *r, const kind *k, place where, const char *name, element_end *out)
{
    int t = terminal_of(k, name), i = inner_of(k, name);
    if (t >= 0)
        *out = (element_end){k->terminals[t].is_row ? END_ROW : END_TERMINAL, t};
    else if (i >= 0)
        *out = (element_end){END_INNER, i};
    else {
        int n;
        const char *const *words = names_of_terminals(r, k, true, &n);
        fault(r, where, SAY(r, "`%s` is neither a terminal nor a node of `%s`", quoted(r, name), k->name),
              suggestion(r, name, words, n, SAY(r, "it has %s", listing(r, words, n, 20, "and"))));
        return false;
    }
    return true;
}

static bool read_ends(reader *r, const kind *k, const node *n, element_end *a, element_end *b)
{
    if (!n || !read_list(r, n, "two terminals or nodes")) return false;
    if (n->n != 2) {
        fault(r, n->where, SAY(r, "`%s` names %d ends", n->key, n->n), "name two, as [feed, out]");
        return false;
    }
    const char *first, *second;
    if (!read_text(r, n->first, &first) || !read_text(r, n->first->next, &second)) return false;
    bool is_a = read_end(r, k, n->first->where, first, a), is_b = read_end(r, k, n->first->next->where, second, b);
    if (!is_a || !is_b) return false;
    if (strcmp(first, second) != 0) return true;
    fault(r, n->where, SAY(r, "`%s` joins `%s` to itself", n->key, first), "name two different ends");
    return false;
}

static int position_named(reader *r, const kind *k, const node *n, const char *name)
{
    int p = kind_position(k, name);
    if (p >= 0) return p;
    fault(r, n->where, SAY(r, "`%s` is not a position of `%s`", quoted(r, name), k->name),
          k->n_positions ? suggestion(r, name, k->positions, k->n_positions,
                                      SAY(r, "it has %s", listing(r, k->positions, k->n_positions, 20, "and")))
                         : "give the kind `positions:`");
    return -1;
}

static void read_closed_in(reader *r, const kind *k, const node *n, element *e)
{
    if (!n)
        fault(r, e->where, SAY(r, "the contact `%s` lacks `closed-in`", e->name),
              "add `closed-in:` with its positions");
    if (!n || !read_list(r, n, "positions")) return;
    if (!n->n) fault(r, n->where, "a contact that is never closed", "name the positions in which it is closed");
    for (const node *p = n->first; p; p = p->next) {
        const char *name;
        if (!read_text(r, p, &name)) continue;
        int bit = position_named(r, k, p, name);
        if (bit >= 0) e->closed_in |= 1u << bit;
    }
}

static bool value_suits(const parameter *p, const element_rule *rule, const kind *k, const element *e)
{
    if (p->is_truth || p->is_count || !p->n_choices != !rule->words) return false;
    if (p->is_list && !(e->is_repeated && k->row >= 0)) return false;
    for (int c = 0; c < p->n_choices; c++) {
        bool is_word = false;
        for (int i = 0; rule->words[i]; i++) is_word = is_word || strcmp(p->choices[c], rule->words[i]) == 0;
        if (!is_word) return false;
    }
    for (int i = 0; i < p->n_dimensions; i++) {
        bool is_taken = false;
        for (int j = 0; j < rule->n_dimensions; j++) is_taken = is_taken || p->dimensions[i] == rule->dimensions[j];
        if (!is_taken) return false;
    }
    return true;
}

/* What a key of an element takes, as a parameter would declare it. */
static parameter as_parameter(const element_rule *rule)
{
    parameter p = {.name = element_key_word(rule->key),
                   .least = -HUGE_VAL,
                   .most = HUGE_VAL,
                   .n_dimensions = rule->n_dimensions,
                   .is_positive = rule->is_positive};
    memcpy(p.dimensions, rule->dimensions, sizeof p.dimensions);
    if (rule->words) {
        while (rule->words[p.n_choices]) p.n_choices++;
        p.choices = rule->words;
    }
    return p;
}

static void read_value(reader *r, kind *k, const node *n, const element_rule *rule, element *e)
{
    parameter wanted = as_parameter(rule);
    value *v = &e->keys[rule->key];
    if (n->form != NODE_SCALAR || n->text[0] != '$') {
        parameter_value(r, n, &wanted, v);
        return;
    }
    int named = parameter_named(r, k, n);
    if (named < 0) return;
    parameter *p = &k->parameters[named];
    if (!value_suits(p, rule, k, e)) {
        fault(r, n->where, SAY(r, "`%s` does not suit `%s`", n->text, wanted.name),
              SAY(r, "it takes %s%s", parameter_holds(r, &wanted),
                  p->is_list ? "; a list needs an end in the row of terminals" : ""));
        return;
    }
    *v = (value){.form = VALUE_PARAMETER, .parameter = named};
    if (rule->is_positive) p->is_positive = true;
}

/* A load takes exactly one of these; what else belongs together. */
static void check_load(reader *r, const element *e)
{
    static const element_key ways[] = {KEY_POWER, KEY_CURRENT, KEY_RESISTANCE, KEY_DRAWS};
    int n = 0;
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) n += e->keys[ways[i]].form != VALUE_NONE;
    if (n != 1)
        fault(r, e->where,
              SAY(r, n ? "the load `%s` says more than once what it takes" : "the load `%s` does not say what it takes",
                  e->name),
              "give it one of `power`, `current`, `resistance` and `draws`");
    if (e->keys[KEY_AT].form != VALUE_NONE && e->keys[KEY_DRAWS].form == VALUE_NONE)
        fault(r, e->where, SAY(r, "the load `%s` has `at` without `draws`", e->name),
              "`at` is the voltage at which it takes `draws`");
}

static void check_pair(reader *r, const element *e, element_key low, element_key high)
{
    const value *l = &e->keys[low], *h = &e->keys[high];
    if (l->form == VALUE_NONE && h->form != VALUE_NONE)
        fault(r, e->where, SAY(r, "`%s` has `%s` without `%s`", e->name, element_key_word(high), element_key_word(low)),
              SAY(r, "add `%s:`", element_key_word(low)));
    else if (l->form == VALUE_NUMBER && h->form == VALUE_NUMBER && h->number < l->number)
        fault(r, e->where, SAY(r, "`%s` has `%s` above `%s`", e->name, element_key_word(low), element_key_word(high)),
              "exchange them");
}

/* The table of keys of one primitive element: its own, so that suggestions come from what it takes. */
static key_table keys_of_element(reader *r, element_type type)
{
    key_rule *rules = ARENA_ARRAY(r->arena, key_rule, (size_t)(n_inside_keys + N_ELEMENT_KEYS));
    int n = 0;
    for (int i = 0; i < n_inside_keys; i++)
        if (i == inside_kind || i == inside_between || element_inside_keys(type) & 1u << i) {
            rules[n] = inside_keys.rules[i];
            rules[n++].is_required = true;
        }
    for (int i = 0; i < n_element_rules; i++)
        if (element_rules[i].element == type)
            rules[n++] = (key_rule){.name = element_key_word(element_rules[i].key),
                                    .holds = HOLDS_VALUE,
                                    .says = element_rules[i].says,
                                    .is_required = element_rules[i].is_required};
    return (key_table){SAY(r, "the element `%s`", element_type_word(type)), rules, n};
}

static void read_element(reader *r, kind *k, const node *n, element_type type)
{
    element *e = add_element(r, k);
    *e = (element){.name = n->key, .type = type, .moves = -1, .where = n->key_where};
    size_t n_faults = report_count(r->report);
    key_table table = keys_of_element(r, type);
    const node **f = ARENA_ARRAY(r->arena, const node *, (size_t)table.n);
    if (!read_fields(r, n, &table, f, NULL, NULL)) return;
    for (int i = 0; i < table.n; i++) {
        if (!f[i]) continue;
        if (strcmp(table.rules[i].name, "between") == 0) {
            read_ends(r, k, f[i], &e->a, &e->b);
            e->is_repeated = e->a.form == END_ROW || e->b.form == END_ROW;
        } else if (strcmp(table.rules[i].name, "to") == 0) {
            if (read_ends(r, k, f[i], &e->to_a, &e->to_b) && (e->to_a.form == END_ROW || e->to_b.form == END_ROW))
                fault(r, f[i]->where, "`to` names a row of terminals", "name two single terminals or nodes");
        } else if (strcmp(table.rules[i].name, "closed-in") == 0)
            read_closed_in(r, k, f[i], e);
        else if (strcmp(table.rules[i].name, "moves") == 0) {
            const char *name;
            if (read_text(r, f[i], &name)) e->moves = position_named(r, k, f[i], name);
        } else if (table.rules[i].holds == HOLDS_VALUE)
            for (int key = 0; key < N_ELEMENT_KEYS; key++)
                if (strcmp(element_key_word((element_key)key), table.rules[i].name) == 0)
                    read_value(r, k, f[i], element_rule_of(type, (element_key)key), e);
    }
    if (report_count(r->report) > n_faults) return; /* what follows would only repeat them */
    if (type == ELEMENT_LOAD) check_load(r, e);
    if (type == ELEMENT_LOAD || type == ELEMENT_TRANSFER) check_pair(r, e, KEY_STOPS_BELOW, KEY_STARTS_ABOVE);
    if (type == ELEMENT_COIL) check_pair(r, e, KEY_DROPS_BELOW, KEY_PULLS_ABOVE);
}

/* ---- parts: elements whose kind is another kind ---- */

typedef struct part {
    const node *node;
    const kind *of;
    element_end *ends; /* of each terminal of `of`, in our kind */
    value *values;     /* of each parameter of `of` */
    int first_inner;   /* where its inner nodes stand among ours */
} part;

static int add_inner(reader *r, kind *k, const node *where, const char *name)
{
    if (k->n_inner < inner_most + elements_most) {
        k->inner[k->n_inner] = name;
        return k->n_inner++;
    }
    fault(r, where->key_where, SAY(r, "`%s` has too many inner nodes", k->name), "make it of fewer parts");
    return 0;
}

static bool read_joins(reader *r, kind *k, const node *n, part *p)
{
    bool is_sound = true;
    if (n && n->form != NODE_MAPPING) {
        if (n->form != NODE_BROKEN)
            fault(r, n->where, SAY(r, "`joins` is %s", node_form_name(n)),
                  "write a mapping from its terminals to ours, as {pos: feed, neg: return}");
        return false;
    }
    bool *is_joined = ARENA_ARRAY(r->arena, bool, (size_t)p->of->n_terminals);
    for (const node *e = n ? n->first : NULL; e; e = e->next) {
        const char *ours;
        int t = terminal_named(r, p->of, e->key_where, e->key);
        if (t < 0 || !read_text(r, e, &ours) || !read_end(r, k, e->where, ours, &p->ends[t])) {
            is_sound = false;
            continue;
        }
        is_joined[t] = true;
        if (p->ends[t].form == END_ROW) {
            fault(r, e->where, SAY(r, "`%s` is a row of terminals", ours), "a part joins single terminals or nodes");
            is_sound = false;
        }
    }
    for (int t = 0; is_sound && t < p->of->n_terminals; t++) {
        if (is_joined[t]) continue;
        if (!p->of->terminals[t].may_be_open) {
            fault(r, p->node->key_where,
                  SAY(r, "`%s` leaves `%s` of `%s` open", p->node->key, p->of->terminals[t].name, p->of->name),
                  "name it under `joins:`");
            return false;
        }
        const char *name = SAY(r, "%s.%s", p->node->key, p->of->terminals[t].name);
        p->ends[t] = (element_end){END_INNER, add_inner(r, k, p->node, name)};
    }
    return is_sound;
}

static bool read_part_value(reader *r, kind *k, const node *n, const parameter *wanted, value *out)
{
    if (n->form != NODE_SCALAR || n->text[0] != '$') return parameter_value(r, n, wanted, out);
    int named = parameter_named(r, k, n);
    if (named < 0) return false;
    if (!parameter_suits(&k->parameters[named], wanted)) {
        fault(r, n->where, SAY(r, "`%s` does not suit `%s`", n->text, wanted->name),
              SAY(r, "it takes %s", parameter_holds(r, wanted)));
        return false;
    }
    if (wanted->is_positive) k->parameters[named].is_positive = true;
    *out = (value){.form = VALUE_PARAMETER, .parameter = named};
    return true;
}

static bool read_part_values(reader *r, kind *k, const node *const *f, part *p)
{
    bool is_sound = true;
    for (int i = 0; i < p->of->n_parameters; i++) {
        const parameter *wanted = &p->of->parameters[i];
        p->values[i] = wanted->preset;
        bool is_given = f[i] && !is_auto(f[i]);
        if (is_given && !read_part_value(r, k, f[i], wanted, &p->values[i])) is_sound = false;
        if (!is_given && wanted->preset.form == VALUE_NONE && !wanted->is_auto) {
            fault(r, p->node->key_where, SAY(r, "`%s` lacks `%s`", p->node->key, wanted->name),
                  SAY(r, "add `%s:` with %s", wanted->name, parameter_holds(r, wanted)));
            is_sound = false;
        }
    }
    for (int i = 0; i < p->of->n_parameters; i++) /* defaults that name another parameter of the part */
        if (!(f[i] && !is_auto(f[i])) && p->of->parameters[i].preset.form == VALUE_PARAMETER)
            p->values[i] = p->values[p->of->parameters[i].preset.parameter];
    return is_sound;
}

/* Positions of a part are positions of the whole, by name. */
static int position_of_part(reader *r, const kind *k, const part *p, int theirs)
{
    const char *name = p->of->positions[theirs];
    int ours = kind_position(k, name);
    if (ours < 0)
        fault(r, p->node->key_where,
              SAY(r, "`%s` stands in the position `%s` of `%s`, which `%s` lacks", p->node->key, name, p->of->name,
                  k->name),
              SAY(r, "add `%s` to the positions of `%s`", name, k->name));
    return ours;
}

static element_end end_of_part(const part *p, element_end e)
{
    return e.form == END_INNER ? (element_end){END_INNER, p->first_inner + e.index} : p->ends[e.index];
}

static bool copy_element(reader *r, kind *k, const part *p, const element *from)
{
    element *to = add_element(r, k);
    *to = *from;
    to->name = SAY(r, "%s.%s", p->node->key, from->name);
    to->where = p->node->key_where;
    to->a = end_of_part(p, from->a);
    to->b = end_of_part(p, from->b);
    if (from->type == ELEMENT_TRANSFER) {
        to->to_a = end_of_part(p, from->to_a);
        to->to_b = end_of_part(p, from->to_b);
    }
    for (int key = 0; key < N_ELEMENT_KEYS; key++)
        if (from->keys[key].form == VALUE_PARAMETER) to->keys[key] = p->values[from->keys[key].parameter];
    to->closed_in = 0;
    for (int i = 0; i < p->of->n_positions; i++) {
        if (!(from->closed_in & 1u << i)) continue;
        int ours = position_of_part(r, k, p, i);
        if (ours < 0) return false;
        to->closed_in |= 1u << ours;
    }
    if (from->moves >= 0) to->moves = position_of_part(r, k, p, from->moves);
    return from->moves < 0 || to->moves >= 0;
}

/* Said once: kinds that hold the one which is too large are too large as well. */
static bool has_room(work *w, const kind *k, const node *n, int n_more)
{
    reader *r = w->r;
    if (w->is_too_large) return false;
    if (k->n_elements + n_more <= elements_most) return true;
    w->is_too_large = true;
    fault(r, n->key_where, SAY(r, "`%s` has more than %d elements", k->name, elements_most), "make it of fewer parts");
    return false;
}

static void resolve(work *w, int index);

static void read_part(work *w, int index, const node *n, int of_index)
{
    reader *r = w->r;
    kind *k = &w->set.kinds[index];
    const kind *of = &w->set.kinds[of_index];
    if (w->progress[of_index] == PROGRESS_IN_WORK) {
        sink s = sink_in(r->arena);
        for (int i = 0; i < w->n_path; i++)
            if (w->path[i] == of_index || sink_text(&s)[0])
                sink_printf(&s, "`%s` holds ", w->set.kinds[w->path[i]].name);
        fault(r, n->key_where, SAY(r, "a kind that contains itself: %s`%s`", sink_text(&s), of->name),
              "take one of them out");
        return;
    }
    resolve(w, of_index);
    if (of->row >= 0) {
        fault(r, n->key_where, SAY(r, "`%s` has a row of terminals", of->name), "it can't be a part of another kind");
        return;
    }
    key_rule *rules = ARENA_ARRAY(r->arena, key_rule, (size_t)of->n_parameters + 2);
    for (int i = 0; i < of->n_parameters; i++)
        rules[i] = (key_rule){.name = of->parameters[i].name, .holds = HOLDS_VALUE, .says = of->parameters[i].says};
    rules[of->n_parameters] = inside_keys.rules[inside_kind];
    rules[of->n_parameters + 1] = inside_keys.rules[inside_joins];
    key_table table = {SAY(r, "a `%s` as a part", of->name), rules, of->n_parameters + 2};
    const node **f = ARENA_ARRAY(r->arena, const node *, (size_t)table.n);
    if (!read_fields(r, n, &table, f, NULL, NULL)) return;
    part p = {.node = n, .of = of, .first_inner = k->n_inner};
    p.ends = ARENA_ARRAY(r->arena, element_end, (size_t)of->n_terminals);
    p.values = ARENA_ARRAY(r->arena, value, (size_t)of->n_parameters);
    if (!has_room(w, k, n, of->n_elements)) return;
    for (int i = 0; i < of->n_inner; i++) add_inner(r, k, n, SAY(r, "%s.%s", n->key, of->inner[i]));
    bool has_values = read_part_values(r, k, f, &p), has_ends = read_joins(r, k, f[of->n_parameters + 1], &p);
    if (!has_values || !has_ends) return;
    for (int e = 0; e < of->n_elements; e++)
        if (!copy_element(r, k, &p, &of->elements[e])) return;
    if (of->is_motor) k->is_motor = true;
}

static void fault_element_kind(work *w, const node *n, const char *word)
{
    const char **words = ARENA_ARRAY(w->r->arena, const char *, (size_t)(N_ELEMENTS + w->set.n));
    int n_words = 0;
    for (int e = 0; e < N_ELEMENTS; e++) words[n_words++] = element_type_word((element_type)e);
    const char *otherwise = SAY(w->r, "write %s, or the name of a kind", listing(w->r, words, N_ELEMENTS, 20, "or"));
    for (int i = 0; i < w->set.n; i++) words[n_words++] = w->set.kinds[i].name;
    fault(w->r, n->where, SAY(w->r, "`%s` is neither an element nor a kind", quoted(w->r, word)),
          suggestion(w->r, word, words, n_words, otherwise));
}

static void read_inside_entry(work *w, int index, const node *n)
{
    kind *k = &w->set.kinds[index];
    check_key_id(w->r, n);
    const node *kind_node = n->form == NODE_MAPPING ? node_get(n, "kind") : NULL;
    if (!kind_node) {
        const node *f[n_inside_keys];
        read_fields(w->r, n, &inside_keys, f, NULL, NULL); /* says what lacks */
        return;
    }
    const char *word;
    if (!read_text(w->r, kind_node, &word)) return;
    for (int e = 0; e < N_ELEMENTS; e++)
        if (strcmp(element_type_word((element_type)e), word) == 0) {
            if (has_room(w, k, n, 1)) read_element(w->r, k, n, (element_type)e);
            return;
        }
    int of = names_find(w->set.names, word);
    if (of < 0)
        fault_element_kind(w, kind_node, word);
    else
        read_part(w, index, n, of);
}

/* A diode against the direction of a load of the kind, across the same ends. */
static bool has_freewheel_diode(const kind *k)
{
    for (int d = 0; d < k->n_elements; d++)
        for (int l = 0; k->elements[d].type == ELEMENT_DIODE && l < k->n_elements; l++) {
            const element *diode = &k->elements[d], *load = &k->elements[l];
            if (load->type == ELEMENT_LOAD && diode->a.form == load->b.form && diode->a.index == load->b.index &&
                diode->b.form == load->a.form && diode->b.index == load->a.index)
                return true;
        }
    return false;
}

static void check_presets(reader *r, const kind *k)
{
    for (int i = 0; i < k->n_parameters; i++) {
        const parameter *p = &k->parameters[i];
        if (p->is_positive && p->preset.form == VALUE_NUMBER && p->preset.number <= 0)
            fault(r, p->where, SAY(r, "the default of `%s` is out of range", p->name), "write more than nothing");
    }
}

static bool has_element(const kind *k, element_type type)
{
    for (int e = 0; e < k->n_elements; e++)
        if (k->elements[e].type == type) return true;
    return false;
}

/* What a kind that doesn't say is for, by the most telling element inside. A converter may be a charger, an inverter or
 * neither: that nobody but its author knows. */
static role inferred_role(const kind *k)
{
    static const struct {
        element_type type;
        role role;
    } tells[] = {
        {ELEMENT_TRANSFER, ROLE_OTHER}, {ELEMENT_EMF, ROLE_BATTERY},        {ELEMENT_COIL, ROLE_RELAY},
        {ELEMENT_CHOPPER, ROLE_DIMMER}, {ELEMENT_LOAD, ROLE_LOAD},          {ELEMENT_CONTACT, ROLE_SWITCH},
        {ELEMENT_LAMP, ROLE_LOAD},      {ELEMENT_FUSIBLE, ROLE_PROTECTION},
    };
    for (size_t i = 0; i < sizeof tells / sizeof *tells; i++)
        if (has_element(k, tells[i].type)) return tells[i].role;
    return ROLE_OTHER;
}

static void resolve(work *w, int index)
{
    if (w->progress[index] != PROGRESS_NEW) return;
    w->progress[index] = PROGRESS_IN_WORK;
    w->path[w->n_path++] = index;
    const node *inside = w->insides[index];
    kind *k = &w->set.kinds[index];
    if (inside && inside->form != NODE_MAPPING && inside->form != NODE_BROKEN)
        fault(w->r, inside->where, SAY(w->r, "`inside` is %s", node_form_name(inside)),
              "write a mapping of elements by name; {} when there is nothing inside");
    else if (inside)
        for (const node *e = inside->first; e; e = e->next) read_inside_entry(w, index, e);
    k->has_freewheel_diode = has_freewheel_diode(k);
    if (k->role == N_ROLES) k->role = inferred_role(k);
    check_presets(w->r, k);
    w->n_path--;
    w->progress[index] = PROGRESS_DONE;
}

/* True when the kind's name is free; a built-in one can't be replaced, or a van would mean something else to those who
 * know the built-in kind. */
static bool add_kind(work *w, const node *n)
{
    int built_in = names_find(w->set.names, n->key);
    bool is_element = false;
    for (int e = 0; e < N_ELEMENTS; e++)
        is_element = is_element || strcmp(element_type_word((element_type)e), n->key) == 0;
    /* `load` is an element and a built-in kind that holds one; inside a kind the word means the element. */
    if (built_in >= 0 && built_in < w->n_built_in)
        fault(w->r, n->key_where, SAY(w->r, "`%s` is the name of a built-in kind", n->key), "choose another name");
    else if (is_element && w->n_built_in > 0)
        fault(w->r, n->key_where, SAY(w->r, "`%s` is the name of a primitive element", n->key), "choose another name");
    else if (names_add(w->set.names, n->key, w->set.n)) {
        w->nodes[w->set.n++] = n;
        return true;
    }
    return false;
}

kind_set kinds_read(reader *r, const node *mapping, const kind *built_in, int n_built_in)
{
    arena *a = r->arena;
    bool has_own = mapping && mapping->form == NODE_MAPPING;
    size_t room = (size_t)n_built_in + (has_own ? (size_t)mapping->n : 0);
    work w = {.r = r, .set = {ARENA_ARRAY(a, kind, room), 0, names_create(a)}, .n_built_in = n_built_in};
    w.nodes = ARENA_ARRAY(a, const node *, room);
    w.insides = ARENA_ARRAY(a, const node *, room);
    w.progress = ARENA_ARRAY(a, progress, room);
    w.path = ARENA_ARRAY(a, int, room);
    for (int i = 0; i < n_built_in; i++) {
        w.set.kinds[i] = built_in[i];
        w.progress[i] = PROGRESS_DONE;
        names_add(w.set.names, built_in[i].name, w.set.n++);
    }
    if (mapping && !has_own && mapping->form != NODE_BROKEN)
        fault(r, mapping->where, SAY(r, "`kinds` is %s", node_form_name(mapping)),
              "write a mapping of kinds by name (docs/kinds.md)");
    if (has_own && mapping->n > kinds_most) {
        fault(r, mapping->where, SAY(r, "%d kinds", mapping->n), SAY(r, "at most %d are read", kinds_most));
        return w.set;
    }
    for (const node *e = has_own ? mapping->first : NULL; e; e = e->next) add_kind(&w, e);
    for (int i = n_built_in; i < w.set.n; i++) read_head(&w, i);
    for (int i = n_built_in; i < w.set.n; i++) resolve(&w, i);
    return w.set;
}
