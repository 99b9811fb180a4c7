/* Primitive elements of kinds. See inside.h. */
#include "read/inside.h"

#include "read/keys.h"
#include <math.h>
#include <string.h>

/* ---- names ---- */

static const char *const *names_of_terminals(reader *r, const kind *k, bool with_inner, int *n)
{
    const char **words = ARENA_ARRAY(r->arena, const char *, (size_t)(k->n_terminals + k->n_inner));
    *n = 0;
    for (int t = 0; t < k->n_terminals; t++) words[(*n)++] = k->terminals[t].name;
    for (int i = 0; with_inner && i < k->n_inner; i++) words[(*n)++] = k->inner[i];
    return words;
}

int terminal_of(const kind *k, const char *name)
{
    for (int t = 0; t < k->n_terminals; t++)
        if (strcmp(k->terminals[t].name, name) == 0) return t;
    return -1;
}

int inner_of(const kind *k, const char *name)
{
    for (int i = 0; i < k->n_inner; i++)
        if (strcmp(k->inner[i], name) == 0) return i;
    return -1;
}

int terminal_named(reader *r, const kind *k, place where, const char *name)
{
    int t = terminal_of(k, name);
    if (t >= 0) return t;
    int n;
    const char *const *words = names_of_terminals(r, k, false, &n);
    fault(r, where, SAY(r, "`%s` is not a terminal of `%s`", quoted(r, name), k->name),
          suggestion(r, name, words, n, SAY(r, "it has %s", listing(r, words, n, 20, "and"))));
    return -1;
}

/* ---- elements ---- */

/* Room for one more: the array doubles at each power of two. */
element *add_element(reader *r, kind *k)
{
    int n = k->n_elements;
    if ((n & (n - 1)) == 0) {
        element *more = ARENA_ARRAY(r->arena, element, n ? 2 * (size_t)n : 1);
        if (n) memcpy(more, k->elements, (size_t)n * sizeof *more);
        k->elements = more;
    }
    return &k->elements[k->n_elements++];
}

bool read_end(reader *r, const kind *k, place where, const char *name, element_end *out)
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

void read_element(reader *r, kind *k, const node *n, element_type type)
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
