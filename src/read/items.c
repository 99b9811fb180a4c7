/* Items. See items.h. */
#include "read/items.h"

#include "read/keys.h"
#include "read/kinds.h"
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- settings ---- */

static void read_list_setting(reader *r, const node *n, const parameter *p, setting *s)
{
    if (!read_list(r, n, SAY(r, "values, each %s,", parameter_holds(r, p)))) return;
    if (n->n < 1 || n->n > row_most) {
        fault(r, n->where, SAY(r, "`%s` has %d entries", p->name, n->n), SAY(r, "give it 1 to %d", row_most));
        return;
    }
    s->list = ARENA_ARRAY(r->arena, double, (size_t)n->n);
    for (const node *e = n->first; e; e = e->next) {
        value v;
        if (parameter_value(r, e, p, &v)) s->list[s->n_list] = v.number;
        s->n_list++;
    }
}

static void set_value(setting *s, const value *v)
{
    s->number = v->number;
    s->dimension = v->dimension;
    s->word = v->word;
}

static void read_setting(reader *r, const node *n, const parameter *p, const node *of, setting *s)
{
    s->where = n ? n->where : of->key_where;
    s->is_given = n && !is_auto(n);
    if (p->n_dimensions) s->dimension = p->dimensions[0];
    if (s->is_given && p->is_list)
        read_list_setting(r, n, p, s);
    else if (s->is_given) {
        value v;
        if (parameter_value(r, n, p, &v)) set_value(s, &v);
    } else if (p->preset.form == VALUE_NUMBER || p->preset.form == VALUE_WORD)
        set_value(s, &p->preset);
    else if (p->preset.form == VALUE_NONE && p->is_auto)
        s->is_auto = true;
    else if (p->preset.form == VALUE_NONE && n)
        fault(r, n->where, SAY(r, "`%s` can't be worked out", p->name), SAY(r, "write %s", parameter_holds(r, p)));
    else if (p->preset.form == VALUE_NONE)
        fault(r, of->key_where, SAY(r, "`%s` lacks `%s`", of->key, p->name),
              SAY(r, "add `%s:` with %s", p->name, parameter_holds(r, p)));
}

static void default_from_others(const kind *k, setting *settings)
{
    for (int p = 0; p < k->n_parameters; p++) {
        const value *preset = &k->parameters[p].preset;
        if (settings[p].is_given || preset->form != VALUE_PARAMETER) continue;
        place where = settings[p].where;
        settings[p] = settings[preset->parameter];
        settings[p].where = where;
        settings[p].is_given = false;
    }
}

/* The number that a key of an element has in an item, or NAN. */
static double number_of(const value *v, const setting *settings)
{
    if (v->form == VALUE_NUMBER) return v->number;
    if (v->form == VALUE_PARAMETER && !settings[v->parameter].is_auto) return settings[v->parameter].number;
    return NAN;
}

/* What turns itself off below one voltage comes on again above a higher one. */
static void check_pairs(reader *r, const kind *k, const node *of, const setting *settings)
{
    static const element_key pairs[][2] = {{KEY_STOPS_BELOW, KEY_STARTS_ABOVE}, {KEY_DROPS_BELOW, KEY_PULLS_ABOVE}};
    for (int e = 0; e < k->n_elements; e++)
        for (int i = 0; i < 2; i++) {
            const value *keys = k->elements[e].keys;
            if (!(number_of(&keys[pairs[i][0]], settings) > number_of(&keys[pairs[i][1]], settings))) continue;
            fault(r, of->key_where,
                  SAY(r, "`%s` has `%s` above `%s`", of->key, element_key_word(pairs[i][0]),
                      element_key_word(pairs[i][1])),
                  "let it come on at a higher voltage than it goes off");
            return;
        }
}

static int row_count(const kind *k, const setting *settings)
{
    if (k->row < 0) return 0;
    const setting *s = &settings[k->terminals[k->row].row_parameter];
    return s->list ? s->n_list : (int)s->number;
}

static void check_lists(reader *r, const kind *k, const setting *settings)
{
    int n = row_count(k, settings);
    for (int p = 0; p < k->n_parameters; p++)
        if (k->parameters[p].is_list && settings[p].list && settings[p].n_list != n)
            fault(r, settings[p].where,
                  SAY(r, "`%s` has %d entries for %d terminals", k->parameters[p].name, settings[p].n_list, n),
                  "give one for each terminal of the row");
}

/* ---- terminals ---- */

static void add_terminal(van *v, const item *it, int template_index, int number)
{
    const char *own = v->kinds[it->kind].terminals[template_index].name;
    const char *name =
        number ? arena_printf(v->arena, "%s.%d", it->id, number) : arena_printf(v->arena, "%s.%s", it->id, own);
    v->terminals[v->n_terminals] = (terminal){(int)(it - v->items), template_index, number, name};
    names_add(v->terminal_names, name, v->n_terminals++);
}

static void add_terminals(reader *r, van *v, item *it, int *room)
{
    const kind *k = &v->kinds[it->kind];
    int n_row = row_count(k, it->settings), n = k->n_terminals - (k->row >= 0) + n_row;
    it->first_terminal = v->n_terminals;
    if (v->n_terminals + n > terminals_most) {
        fault(r, it->where, SAY(r, "more than %d terminals in one van", terminals_most), "split the file");
        return;
    }
    if (v->n_terminals + n > *room) {
        *room = 2 * (v->n_terminals + n);
        terminal *more = ARENA_ARRAY(v->arena, terminal, (size_t)*room);
        if (v->n_terminals) memcpy(more, v->terminals, (size_t)v->n_terminals * sizeof *more);
        v->terminals = more;
    }
    for (int t = 0; t < k->n_terminals; t++)
        for (int i = 0; i < (k->terminals[t].is_row ? n_row : 1); i++)
            add_terminal(v, it, t, k->terminals[t].is_row ? i + 1 : 0);
    it->n_terminals = n;
}

/* ---- positions ---- */

static bool parse_fraction(const char *word, arena *a, double *out)
{
    quantity q;
    const char *wrong;
    if (!quantity_parse(word, strlen(word), &q, a, &wrong) || q.dimension != DIMENSION_FRACTION) return false;
    if (!(q.value >= 0 && q.value <= 1)) return false;
    *out = q.value;
    return true;
}

static bool is_same(const position *p, const position *q)
{
    return p->index == q->index && fabs(p->fraction - q->fraction) < 1e-9;
}

bool position_of(const van *v, int i, const char *word, arena *a, position *out)
{
    const kind *k = item_kind(v, i);
    position p = {0};
    if (k->dial >= 0 ? !parse_fraction(word, a, &p.fraction) : (p.index = kind_position(k, word)) < 0) return false;
    for (int j = 0; j < v->items[i].n_positions; j++)
        if (is_same(&v->items[i].positions[j], &p)) {
            *out = v->items[i].positions[j];
            return true;
        }
    return false;
}

static void positions_of_kind(van *v, const kind *k, item *it)
{
    it->n_positions = k->dial >= 0 ? 2 : k->n_positions;
    it->positions = ARENA_ARRAY(v->arena, position, (size_t)it->n_positions);
    for (int i = 0; i < it->n_positions; i++) it->positions[i] = k->dial >= 0 ? (position){0, i} : (position){i, 0};
}

static bool read_position(reader *r, const kind *k, const node *n, position *out)
{
    const char *word;
    if (!read_text(r, n, &word)) return false;
    position p = {0};
    if (k->dial >= 0) {
        if (parse_fraction(word, r->arena, &p.fraction)) {
            *out = p;
            return true;
        }
        fault(r, n->where, SAY(r, "`%s` is not a position of a `%s`", quoted(r, word), k->name),
              "it is a dial: write a fraction, as 40 %");
        return false;
    }
    p.index = kind_position(k, word);
    *out = p;
    if (p.index >= 0) return true;
    fault(r, n->where, SAY(r, "`%s` is not a position of a `%s`", quoted(r, word), k->name),
          suggestion(r, word, k->positions, k->n_positions,
                     SAY(r, "it has %s", listing(r, k->positions, k->n_positions, 20, "and"))));
    return false;
}

static void narrow_positions(reader *r, const node *n, const kind *k, item *it)
{
    if (!read_list(r, n, "positions")) return;
    if (kind_coil(k) >= 0 || it->n_positions == 0) {
        fault(r, n->key_where, SAY(r, "`positions` on a `%s`", k->name),
              kind_coil(k) >= 0 ? "its coil alone moves it; leave the key out" : "it has none; leave the key out");
        return;
    }
    if (n->n < 1 || n->n > 64) {
        fault(r, n->where, SAY(r, "`positions` names %s", n->n ? "more than 64" : "nothing"),
              "name those that it may stand in, its rest position first, or leave the key out");
        return;
    }
    position *narrowed = ARENA_ARRAY(r->arena, position, (size_t)n->n);
    int n_narrowed = 0;
    for (const node *e = n->first; e; e = e->next) {
        if (!read_position(r, k, e, &narrowed[n_narrowed])) continue;
        bool is_new = true;
        for (int i = 0; i < n_narrowed; i++) is_new = is_new && !is_same(&narrowed[i], &narrowed[n_narrowed]);
        if (!is_new)
            fault(r, e->where, SAY(r, "the position `%s` stands here for the second time", quoted(r, e->text)),
                  "name each once");
        n_narrowed += is_new;
    }
    if (n_narrowed == 0) return;
    it->positions = narrowed;
    it->n_positions = n_narrowed;
}

/* ---- never-with ---- */

typedef struct item_names { /* for suggestions */
    const char **ids;
    int n;
} item_names;

static void fault_position(reader *r, const van *v, const node *n, int other, const char *word)
{
    const item *it = &v->items[other];
    const char **words = ARENA_ARRAY(r->arena, const char *, (size_t)it->n_positions);
    for (int i = 0; i < it->n_positions; i++) words[i] = position_text(v, other, it->positions[i], r->arena);
    fault(r, n->where, SAY(r, "`%s` has no position `%s`", it->id, quoted(r, word)),
          it->n_positions ? suggestion(r, word, words, it->n_positions,
                                       SAY(r, "it has %s", listing(r, words, it->n_positions, 20, "and")))
                          : "name an item that has positions");
}

/* Failures, in the order of the code: not item.position; no such item; itself; an item that is at fault; moved by its
 * coil; no such position. */
static bool read_exclusion(reader *r, const van *v, int i, const node *n, const item_names *all, exclusion *out)
{
    const char *text;
    if (!read_text(r, n, &text)) return false;
    const char *dot = strchr(text, '.');
    if (!dot || !dot[1]) {
        fault(r, n->where, SAY(r, "`%s` names no position", quoted(r, text)),
              "write other.position, as `pump-switch.on`");
        return false;
    }
    const char *id = arena_text_n(r->arena, text, (size_t)(dot - text));
    int other = van_item(v, id);
    if (other < 0) {
        fault(r, n->where, SAY(r, "there is no item `%s`", quoted(r, id)),
              suggestion(r, id, all->ids, all->n, "name an item of this file"));
        return false;
    }
    if (other == i) {
        fault(r, n->where, SAY(r, "`%s` excludes a position of itself", id),
              "name another item; `positions` says where this one may stand");
        return false;
    }
    if (v->items[other].kind < 0) return false; /* it could not be read, which is reported */
    if (kind_coil(item_kind(v, other)) >= 0) {
        fault(r, n->where, SAY(r, "`%s` is moved by its coil", id), "name the position of what feeds the coil");
        return false;
    }
    position there;
    if (!position_of(v, other, dot + 1, r->arena, &there)) {
        fault_position(r, v, n, other, dot + 1);
        return false;
    }
    *out = (exclusion){other, there, -1};
    return true;
}

static void read_never_with(reader *r, van *v, int i, const node *n, const item_names *all)
{
    if (!n || !read_list(r, n, "positions of other items")) return;
    item *it = &v->items[i];
    if (it->n_positions < 2 || kind_coil(&v->kinds[it->kind]) >= 0) {
        fault(r, n->key_where,
              SAY(r, "`never-with` on an item that %s",
                  it->n_positions < 2 ? "stands in one position" : "its coil moves"),
              "it keeps an item in its rest position; write it at the other item, or leave it out");
        return;
    }
    if (n->n > 64) {
        fault(r, n->where, SAY(r, "`never-with` with %d entries", n->n), "64 are enough");
        return;
    }
    it->exclusions = ARENA_ARRAY(v->arena, exclusion, (size_t)n->n);
    for (const node *e = n->first; e; e = e->next)
        if (read_exclusion(r, v, i, e, all, &it->exclusions[it->n_exclusions])) it->n_exclusions++;
}

/* ---- items ---- */

typedef struct parameter_fields {
    const kind *kind;
    const node **fields;
} parameter_fields;

/* A key of the item that is a parameter of its kind, which goes before the keys that every item has. */
static bool take_parameter(void *context, const node *entry)
{
    parameter_fields *f = context;
    int p = kind_parameter(f->kind, entry->key);
    if (p >= 0 && !f->fields[p]) f->fields[p] = entry;
    return p >= 0;
}

/* What an item takes can't be told before its kind is known. */
static bool take_any(void *context, const node *entry)
{
    (void)context, (void)entry;
    return true;
}

/* The keys of an item of a kind: its parameters, then what every item takes. Made when a kind is first met. */
static const key_table *keys_of_item(reader *r, const kind *k, key_table *made)
{
    if (made->rules) return made;
    key_rule *rules = ARENA_ARRAY(r->arena, key_rule, (size_t)(n_item_keys + k->n_parameters));
    memcpy(rules, item_keys.rules, n_item_keys * sizeof *rules);
    for (int p = 0; p < k->n_parameters; p++) rules[n_item_keys + p] = (key_rule){.name = k->parameters[p].name};
    *made = (key_table){SAY(r, "a `%s`", k->name), rules, n_item_keys + k->n_parameters};
    return made;
}

static int find_kind(reader *r, const node *n, const names *kinds, const van *v)
{
    const char *word;
    if (!n || !read_text(r, n, &word)) return -1;
    int k = names_find(kinds, word);
    if (k >= 0) return k;
    const char **words = ARENA_ARRAY(r->arena, const char *, (size_t)v->n_kinds);
    for (int i = 0; i < v->n_kinds; i++) words[i] = v->kinds[i].name;
    fault(
        r, n->where, SAY(r, "there is no kind `%s`", quoted(r, word)),
        suggestion(r, word, words, v->n_kinds, "`loomwall kinds` lists those that are built in; `kinds:` adds others"));
    return -1;
}

static void read_panel(reader *r, const node *n, van *v, names *panels, item *it)
{
    if (!read_text(r, n, &it->panel)) return;
    if (names_add(panels, it->panel, v->n_panels)) v->panels[v->n_panels++] = it->panel;
}

typedef struct items_work {
    reader *r;
    van *v;
    const names *kinds;
    names *panels;
    key_table *tables; /* of each kind, once it was met */
    int terminal_room;
} items_work;

/* Everything of one item but what refers to other items. Returns false when its kind is not known. */
static bool read_item(items_work *w, const node *n, item *it)
{
    reader *r = w->r;
    van *v = w->v;
    *it = (item){.id = n->key, .name = n->key, .says = "", .kind = -1, .where = n->key_where};
    check_key_id(r, n);
    const node *f[n_item_keys + parameters_most];
    const node *kind_node = n->form == NODE_MAPPING ? node_get(n, "kind") : NULL;
    int k_index = find_kind(r, kind_node, w->kinds, v);
    if (k_index < 0) {
        if (!kind_node) read_fields(r, n, &item_keys, f, take_any, NULL); /* says that it lacks */
        return false;
    }
    const kind *k = &v->kinds[k_index];
    it->kind = k_index;
    parameter_fields given = {k, ARENA_ARRAY(r->arena, const node *, (size_t)k->n_parameters)};
    if (!read_fields(r, n, keys_of_item(r, k, &w->tables[k_index]), f, take_parameter, &given)) return false;
    it->settings = ARENA_ARRAY(v->arena, setting, (size_t)k->n_parameters);
    for (int p = 0; p < k->n_parameters; p++) read_setting(r, given.fields[p], &k->parameters[p], n, &it->settings[p]);
    default_from_others(k, it->settings);
    check_lists(r, k, it->settings);
    check_pairs(r, k, n, it->settings);
    it->given = read_writing(v->arena, n);
    read_text(r, f[item_name], &it->name);
    read_text(r, f[item_says], &it->says);
    it->is_critical = k->is_critical;
    read_truth(r, f[item_critical], &it->is_critical);
    if (f[item_panel]) read_panel(r, f[item_panel], v, w->panels, it);
    positions_of_kind(v, k, it);
    if (f[item_positions]) narrow_positions(r, f[item_positions], k, it);
    int where = kind_parameter(k, "where");
    const char *word = where < 0 ? NULL : it->settings[where].word;
    it->is_hidden = word && strcmp(word, "hidden") == 0;
    add_terminals(r, v, it, &w->terminal_room);
    return true;
}

void items_read(reader *r, const node *mapping, const names *kinds, van *v)
{
    if (!mapping || mapping->form == NODE_BROKEN) return;
    if (mapping->form != NODE_MAPPING || mapping->n == 0) {
        fault(r, mapping->where, "`items` holds no items",
              "write items by id, as `bank: {kind: battery, capacity: 100 Ah}`");
        return;
    }
    if (mapping->n > items_most) {
        fault(r, mapping->where, SAY(r, "%d items", mapping->n), SAY(r, "at most %d are read", items_most));
        return;
    }
    v->items = ARENA_ARRAY(v->arena, item, (size_t)mapping->n);
    v->panels = ARENA_ARRAY(v->arena, const char *, (size_t)mapping->n);
    const node **nodes = ARENA_ARRAY(r->arena, const node *, (size_t)mapping->n);
    items_work w = {r, v, kinds, names_create(r->arena), ARENA_ARRAY(r->arena, key_table, (size_t)v->n_kinds), 0};
    item_names all = {ARENA_ARRAY(r->arena, const char *, (size_t)mapping->n), 0};
    for (const node *e = mapping->first; e; e = e->next) {
        item *it = &v->items[v->n_items];
        if (names_find(v->item_names, e->key) >= 0) continue; /* a duplicate: reported with the tree */
        all.ids[all.n++] = e->key;
        if (!read_item(&w, e, it)) it->kind = -1;
        nodes[v->n_items] = e;
        names_add(v->item_names, e->key, v->n_items++);
    }
    for (int i = 0; i < v->n_items; i++)
        if (v->items[i].kind >= 0) read_never_with(r, v, i, node_get(nodes[i], "never-with"), &all);
}
