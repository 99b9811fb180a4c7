/* Kinds from their language. See kinds.h.
 *
 * Two passes, since a kind may name one that stands later: first the head of every kind (terminals, parameters,
 * positions), then what is inside, depth first, so that a kind which holds itself shows as one met while in work. */
#include "read/kinds.h"

#include "read/inside.h"
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

/* A part, once what it is was read: a kind still in work holds this one. */
static void add_part(work *w, int index, const node *n, int of_index)
{
    reader *r = w->r;
    kind *k = &w->set.kinds[index];
    const kind *of = &w->set.kinds[of_index];
    if (w->progress[of_index] == PROGRESS_IN_WORK) {
        enum { most_shown = 8 };
        sink s = sink_in(r->arena);
        int first = w->n_path - 1;
        while (w->path[first] != of_index) first--;
        for (int i = first; i < w->n_path; i++)
            if (i < first + most_shown || i == w->n_path - 1)
                sink_printf(&s, "`%s` holds %s", w->set.kinds[w->path[i]].name,
                            i == first + most_shown - 1 && i < w->n_path - 2 ? "... " : "");
        fault(r, n->key_where, SAY(r, "a kind that contains itself: %s`%s`", sink_text(&s), of->name),
              "take one of them out");
        return;
    }
    resolve(w, of_index);
    if (of->row >= 0) {
        fault(r, n->key_where, SAY(r, "`%s` has a row of terminals", of->name), "it can't be a part of another kind");
        return;
    }
    if (has_room(w, k, n, of->n_elements)) read_part(r, k, n, of);
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
        add_part(w, index, n, of);
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
