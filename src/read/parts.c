/* Parts: elements of a kind whose kind is another kind. They are replaced by the elements of that other kind, with its
 * terminals joined to ours, its inner nodes added to ours, and its parameters given. See inside.h. */
#include "read/inside.h"

#include "read/keys.h"
#include <string.h>

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

void read_part(reader *r, kind *k, const node *n, const kind *of)
{
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
    for (int i = 0; i < of->n_inner; i++) add_inner(r, k, n, SAY(r, "%s.%s", n->key, of->inner[i]));
    bool has_values = read_part_values(r, k, f, &p), has_ends = read_joins(r, k, f[of->n_parameters + 1], &p);
    if (!has_values || !has_ends) return;
    for (int e = 0; e < of->n_elements; e++)
        if (!copy_element(r, k, &p, &of->elements[e])) return;
    if (of->is_motor) k->is_motor = true;
}
