/* Wires and decisions. See wires.h. */
#include "read/wires.h"

#include "read/keys.h"
#include "ref/device.h"
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

/* ---- terminals ---- */

static void fault_own_terminal(reader *r, const van *v, const node *n, int i, const char *own)
{
    const item *it = &v->items[i];
    size_t n_id = strlen(it->id) + 1;
    const char **words = ARENA_ARRAY(r->arena, const char *, (size_t)it->n_terminals);
    for (int t = 0; t < it->n_terminals; t++) words[t] = v->terminals[it->first_terminal + t].name + n_id;
    const kind *k = item_kind(v, i);
    if (k->row >= 0 && it->n_terminals < k->n_terminals) return; /* its row could not be read, which is reported */
    const char *has =
        it->n_terminals == 0 ? "it has none"
        : k->row >= 0
            ? SAY(r, "it has %s%s to %s",
                  it->n_terminals > 1 && !isdigit((unsigned char)words[0][0]) ? SAY(r, "%s and ", words[0]) : "",
                  isdigit((unsigned char)words[0][0]) ? words[0] : words[1], words[it->n_terminals - 1])
            : SAY(r, "it has %s", listing(r, words, it->n_terminals, 20, "and"));
    if (!*own) {
        fault(r, n->where, SAY(r, "`%s` names an item, not one of its terminals", quoted(r, n->text)),
              SAY(r, "write item.terminal; %s", has));
        return;
    }
    bool is_number = isdigit((unsigned char)*own);
    fault(r, n->where, SAY(r, "the %s `%s` has no terminal `%s`", k->name, it->id, quoted(r, own)),
          is_number ? has : suggestion(r, own, words, it->n_terminals, has));
}

static int read_terminal(reader *r, const node *n, const van *v, const char *const *ids)
{
    const char *text;
    if (!n || !read_text(r, n, &text)) return -1;
    int t = van_terminal(v, text);
    if (t >= 0) return t;
    const char *dot = strchr(text, '.');
    const char *id = dot ? arena_text_n(r->arena, text, (size_t)(dot - text)) : text;
    int i = van_item(v, id);
    if (i < 0)
        fault(r, n->where, SAY(r, "there is no item `%s`", quoted(r, id)),
              suggestion(r, id, ids, v->n_items, "name an item of this file, as item.terminal"));
    else if (v->items[i].kind < 0)
        return -1; /* its kind is not known, which is reported */
    else if (!dot || !dot[1])
        fault_own_terminal(r, v, n, i, "");
    else
        fault_own_terminal(r, v, n, i, dot + 1);
    return -1;
}

/* ---- wires ---- */

bool label_is_sound(const char *label)
{
    size_t length = strlen(label);
    bool is_sound = length >= 1 && length <= 16 && isalnum((unsigned char)label[0]);
    for (const char *c = label; *c; c++)
        is_sound =
            is_sound && (isalnum((unsigned char)*c) || *c == '-' || *c == '_' || *c == '.' || *c == '/' || *c == '+');
    return is_sound;
}

static bool check_label(reader *r, place where, const char *label)
{
    if (label_is_sound(label)) return true;
    fault(r, where, SAY(r, "`%s` can't be the label of a wire", quoted(r, label)),
          "take 1 to 16 letters, digits and - _ . / +, a letter or digit first, as `P3`");
    return false;
}

/* `n` is an entry of `wires`, whose key is the label, or of `unlabelled`. */
static void read_wire(reader *r, const node *n, const char *const *ids, van *v, wire *w)
{
    *w = (wire){.label = n->key ? n->key : "",
                .is_label_proposed = !n->key,
                .says = "",
                .from = -1,
                .to = -1,
                .n_bundled = 1,
                .where = n->key ? n->key_where : n->where};
    w->insulation_K = limit_of(v->practice, "insulation-default")->value;
    w->is_length_auto = true;
    const node *f[n_wire_keys];
    if (!read_fields(r, n, &wire_keys, f, NULL, NULL)) return;
    const key_rule *rules = wire_keys.rules;
    w->given = read_writing(v->arena, n);
    w->from = read_terminal(r, f[wire_from], v, ids);
    w->to = read_terminal(r, f[wire_to], v, ids);
    w->from_place = f[wire_from] ? f[wire_from]->where : w->where;
    w->to_place = f[wire_to] ? f[wire_to]->where : w->where;
    w->length_place = f[wire_length] ? f[wire_length]->where : w->where;
    w->size_place = f[wire_size] ? f[wire_size]->where : w->where;
    if (f[wire_to] && w->from >= 0 && w->from == w->to)
        fault(r, w->to_place,
              SAY(r, "the wire%s goes from `%s` to itself", n->key ? SAY(r, " `%s`", n->key) : "", f[wire_to]->text),
              "let it end on another terminal");
    if (f[wire_length] && !is_auto(f[wire_length]) &&
        read_quantity(r, f[wire_length], &rules[wire_length], &w->length_m))
        w->is_length_auto = false;
    if (!is_auto(f[wire_size])) read_size(r, f[wire_size], &w->size);
    if (f[wire_insulation] && !is_auto(f[wire_insulation]))
        w->is_insulation_given = read_quantity(r, f[wire_insulation], &rules[wire_insulation], &w->insulation_K);
    read_count(r, f[wire_bundled], rules[wire_bundled].least, rules[wire_bundled].most, &w->n_bundled);
    read_truth(r, f[wire_sheathed], &w->is_sheathed);
    read_truth(r, f[wire_solid], &w->is_solid);
    read_truth(r, f[wire_engine_space], &w->is_in_engine_space);
    read_text(r, f[wire_colour], &w->colour);
    read_text(r, f[wire_says], &w->says);
}

/* ---- labels ---- */

static void read_retired(reader *r, const node *list, van *v)
{
    if (is_empty(list) || !read_list(r, list, "labels")) return;
    v->retired_labels = ARENA_ARRAY(v->arena, const char *, (size_t)list->n);
    for (const node *e = list->first; e; e = e->next) {
        const char *label;
        if (!read_text(r, e, &label) || !check_label(r, e->where, label)) continue;
        if (names_add(v->retired, label, (int)e->where.line))
            v->retired_labels[v->n_retired++] = label;
        else
            fault(r, e->where, SAY(r, "`%s` is retired for the second time", label), "keep one of them");
    }
}

static void check_given(reader *r, const node *n, const van *v)
{
    if (!check_label(r, n->key_where, n->key)) return;
    int line = names_find(v->retired, n->key);
    if (line >= 0)
        fault(r, n->key_where, SAY(r, "the label `%s` is retired (line %d): another wire had it once", n->key, line),
              "give this wire a label that was never used, or let it stand under `unlabelled`");
}

/* A number that can be told from others on a sleeve. */
enum { digits_most = 6 };

/* The number that ends a label; 0 if none does, or one so long that it is no count. */
static int label_number(const char *label)
{
    const char *digits = label + strlen(label);
    while (digits > label && isdigit((unsigned char)digits[-1])) digits--;
    return strlen(digits) > digits_most ? 0 : atoi(digits);
}

int label_higher(int number, const char *label)
{
    int n = label_number(label);
    return n > number ? n : number;
}

/* See wires.h. Retired labels are `retired`, those of wires are in the van. */
static void propose_labels(van *v, int n_given, const node *retired)
{
    int number = 0;
    for (int w = 0; w < n_given; w++) number = label_higher(number, v->wires[w].label);
    for (const node *e = retired && retired->form == NODE_SEQUENCE ? retired->first : NULL; e; e = e->next)
        if (e->form == NODE_SCALAR) number = label_higher(number, e->text);
    for (int w = n_given; w < v->n_wires; w++) {
        do v->wires[w].label = arena_printf(v->arena, "W%d", ++number);
        while (names_find(v->retired, v->wires[w].label) >= 0 || !names_add(v->wire_names, v->wires[w].label, w));
    }
    do v->next_label = arena_printf(v->arena, "W%d", ++number);
    while (names_find(v->retired, v->next_label) >= 0 || names_find(v->wire_names, v->next_label) >= 0);
}

static bool are_wires(reader *r, const node *mapping)
{
    if (!mapping || mapping->form == NODE_BROKEN) return false;
    if (mapping->form == NODE_MAPPING) return true;
    fault(r, mapping->where, SAY(r, "`wires` is %s", node_form_name(mapping)),
          "write wires by label, as `P1: {from: bank.pos, to: fuse.in, length: 0.2 m}`");
    return false;
}

static bool are_unlabelled(reader *r, const node *list)
{
    if (is_empty(list) || list->form == NODE_BROKEN) return false;
    if (list->form == NODE_SEQUENCE) return true;
    fault(r, list->where, SAY(r, "`unlabelled` is %s", node_form_name(list)),
          "write a line for each wire, as `- {from: bank.pos, to: fuse.in, length: 0.2 m}`");
    return false;
}

void wires_read(reader *r, const wire_nodes *nodes, van *v)
{
    read_retired(r, nodes->retired, v);
    const node *given = are_wires(r, nodes->wires) ? nodes->wires : NULL;
    const node *unlabelled = are_unlabelled(r, nodes->unlabelled) ? nodes->unlabelled : NULL;
    int n = (given ? given->n : 0) + (unlabelled ? unlabelled->n : 0);
    if (n > wires_most) {
        fault(r, (given ? given : unlabelled)->where, SAY(r, "%d wires", n), SAY(r, "at most %d are read", wires_most));
        return;
    }
    v->wires = ARENA_ARRAY(v->arena, wire, (size_t)n);
    const char **ids = ARENA_ARRAY(r->arena, const char *, (size_t)v->n_items);
    for (int i = 0; i < v->n_items; i++) ids[i] = v->items[i].id;
    for (const node *e = given ? given->first : NULL; e; e = e->next) {
        if (!names_add(v->wire_names, e->key, v->n_wires)) continue; /* a duplicate: reported with the tree */
        check_given(r, e, v);
        read_wire(r, e, ids, v, &v->wires[v->n_wires++]);
    }
    int n_given = v->n_wires;
    for (const node *e = unlabelled ? unlabelled->first : NULL; e; e = e->next)
        read_wire(r, e, ids, v, &v->wires[v->n_wires++]);
    propose_labels(v, n_given, nodes->retired);
}

/* ---- decisions ---- */

static void check_where(reader *r, const node *n, const van *v, const char *text)
{
    static const struct {
        const char *word;
        int (*find)(const van *, const char *);
    } forms[] = {{"wire ", van_wire}, {"item ", van_item}, {"terminal ", van_terminal}};
    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++) {
        size_t length = strlen(forms[i].word);
        if (strncmp(text, forms[i].word, length) != 0) continue;
        int wire = forms[i].find == van_wire ? van_wire(v, text + length) : -1;
        if (wire >= 0 && v->wires[wire].is_label_proposed)
            fault(r, n->where, SAY(r, "the label `%s` is only proposed: it may go to another wire", text + length),
                  "give the wire a label first; `loomwall label FILE --write` writes those that are proposed");
        else if (forms[i].find(v, text + length) < 0)
            fault(r, n->where, SAY(r, "there is no %s`%s`", forms[i].word, quoted(r, text + length)),
                  "name it as the finding does; take the decision out when what it is about has gone");
        return;
    }
    fault(r, n->where, SAY(r, "`%s` names no wire, item or terminal", quoted(r, text)),
          "write it as the finding does: `wire P3`, `item pump` or `terminal pump.neg`");
}

static void read_decision(reader *r, const node *n, van *v, decision *d)
{
    const node *f[n_decided_keys];
    *d = (decision){.place = n->where};
    if (!read_fields(r, n, &decided_keys, f, NULL, NULL)) return;
    read_id(r, f[decided_rule], &d->rule);
    if (read_text(r, f[decided_where], &d->where)) check_where(r, f[decided_where], v, d->where);
    read_text(r, f[decided_why], &d->why);
    read_date(r, f[decided_date], &d->date);
}

void decisions_read(reader *r, const node *list, van *v)
{
    if (!list || !read_list(r, list, "decisions")) return;
    v->decisions = ARENA_ARRAY(v->arena, decision, (size_t)list->n);
    for (const node *e = list->first; e; e = e->next) read_decision(r, e, v, &v->decisions[v->n_decisions++]);
}
