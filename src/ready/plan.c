/* Recipes into items and wires. See plan.h. */
#include "ready/plan.h"

#include "read/read.h"
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#define WHY(p, ...) ((p)->why = arena_printf((p)->arena, __VA_ARGS__), false)

static const char *text_of(const plan *p, const answers *from, const node *mapping, const char *key)
{
    const node *n = node_get(mapping, key);
    const char *text = n ? answers_scalar(from, n) : NULL;
    return text ? answers_fill(from, text) : arena_text(p->arena, "");
}

/* ---- what is taken ---- */

static plan_item *planned_item(const plan *p, const char *id)
{
    for (size_t i = 0; i < p->items.n; i++)
        if (!strcmp(p->items.at[i].id, id)) return &p->items.at[i];
    return NULL;
}

static bool is_taken(const plan *p, const char *id)
{
    return planned_item(p, id) || (p->van && van_item(p->van, id) >= 0);
}

static int n_wires_at(const plan *p, const char *terminal)
{
    const int t = p->van ? van_terminal(p->van, terminal) : -1;
    int n = t >= 0 ? terminal_n_wires(p->van, t) : 0;
    for (size_t w = 0; w < p->wires.n; w++)
        n += !strcmp(p->wires.at[w].from, terminal) || !strcmp(p->wires.at[w].to, terminal);
    return n;
}

static const char *numbered(const plan *p, const char *id, int number)
{
    return arena_printf(p->arena, "%s.%d", id, number);
}

/* A row of the van as it stands in the plan: it may have grown. */
static int row_length(const plan *p, int item)
{
    for (size_t i = 0; i < p->rows.n; i++)
        if (p->rows.at[i].item == item) return p->rows.at[i].n;
    const kind *k = item_kind(p->van, item);
    const setting *row = &p->van->items[item].settings[k->terminals[k->row].row_parameter];
    return row->list ? row->n_list : (int)row->number;
}

static plan_row *row_of(plan *p, int item)
{
    for (size_t i = 0; i < p->rows.n; i++)
        if (p->rows.at[i].item == item) return &p->rows.at[i];
    const int n = row_length(p, item);
    plan_row *row = ARRAY_ADD(p->arena, &p->rows);
    *row = (plan_row){item, n};
    return row;
}

/* The first terminal of a row that has no wire; a new one behind the last where all have. */
static int take_of_row(plan *p, const char *id)
{
    plan_item *planned = planned_item(p, id);
    if (planned) return ++planned->n_row;
    const int item = van_item(p->van, id), n = row_length(p, item);
    for (int i = 1; i <= n; i++)
        if (!n_wires_at(p, numbered(p, id, i))) return i;
    return ++row_of(p, item)->n;
}

/* ---- where things are in the van ---- */

static int battery_of(const plan *p)
{
    for (int i = 0; p->van && i < p->van->n_items; i++)
        if (item_kind(p->van, i)->role == ROLE_BATTERY) return i;
    return -1;
}

static const char *battery_id(const plan *p)
{
    const int b = battery_of(p);
    if (b >= 0) return p->van->items[b].id;
    for (size_t i = 0; !p->van && i < p->items.n; i++)
        if (!strcmp(p->items.at[i].keys.at[0].text, "battery")) return p->items.at[i].id;
    return NULL;
}

static const char *return_terminal(plan *p)
{
    const plan_item *block = planned_item(p, p->block);
    const char *bar = NULL;
    if (block) /* the bar that was brought along with it */
        for (size_t i = 0; i < p->items.n; i++)
            if (p->items.at[i].is_bar && p->items.at[i].section == block->section) bar = p->items.at[i].id;
    const int found = !bar && p->van ? study_return_bar(p->before, van_item(p->van, p->block)) : -1;
    if (found >= 0) bar = p->van->items[found].id;
    return bar ? numbered(p, bar, take_of_row(p, bar)) : NULL;
}

enum { post_takes = 4 }; /* what a post of the kind `battery` takes */

static const char *post(plan *p, const char *own)
{
    const char *terminal = arena_printf(p->arena, "%s.%s", battery_id(p), own);
    if (n_wires_at(p, terminal) < post_takes) return terminal;
    (void)WHY(p, "%s has %d wires and takes no more; put a bar there first, and let the others go to it", terminal,
              post_takes);
    return NULL;
}

/* Where full battery voltage can be had: a bar behind the main fuse, else the post. */
static const char *battery_terminal(plan *p)
{
    const int b = battery_of(p), pos = b >= 0 ? item_terminal(p->van, b, "pos") : -1;
    for (int i = 0; pos >= 0 && i < p->van->n_items; i++)
        if (item_is_bar(p->van, i) && study_has_side(p->before, i, SIDE_FEED) &&
            p->before->solid[p->van->items[i].first_terminal] == p->before->solid[pos])
            return numbered(p, p->van->items[i].id, take_of_row(p, p->van->items[i].id));
    return post(p, "pos");
}

static bool joins(const plan *p, int item, const char *terminal)
{
    const int t = van_terminal(p->van, terminal);
    for (int w = 0; w < p->van->n_wires; w++)
        if (wire_is_at_item(p->van, w, item) && (p->van->wires[w].from == t || p->van->wires[w].to == t)) return true;
    return false;
}

/* Where everything returns to: a bar at the monitor's load side, the monitor itself, a bar at the post, the post. */
static const char *battery_return(plan *p)
{
    const char *at = NULL;
    for (int i = 0; p->van && i < p->van->n_items; i++)
        if (item_kind(p->van, i)->role == ROLE_SHUNT) at = arena_printf(p->arena, "%s.load", p->van->items[i].id);
    const bool has_shunt = at != NULL;
    if (!at) at = arena_printf(p->arena, "%s.neg", battery_id(p));
    for (int i = 0; p->van && i < p->van->n_items; i++)
        if (item_is_bar(p->van, i) && joins(p, i, at))
            return numbered(p, p->van->items[i].id, take_of_row(p, p->van->items[i].id));
    return has_shunt && n_wires_at(p, at) < post_takes ? at : post(p, "neg");
}

/* ---- labels ---- */

/* The number behind a prefix; 0: another prefix, or none. */
static int number_behind(const char *label, const char *prefix)
{
    const size_t n = strlen(prefix);
    if (strncmp(label, prefix, n) != 0 || !isdigit((unsigned char)label[n])) return 0;
    return atoi(label + n);
}

static int highest(const plan *p, const char *prefix)
{
    int most = 0;
    for (size_t w = 0; w < p->wires.n; w++) {
        const int n = number_behind(p->wires.at[w].label, prefix);
        most = n > most ? n : most;
    }
    for (int w = 0; p->van && w < p->van->n_wires; w++) {
        const int n = number_behind(p->van->wires[w].label, prefix);
        most = n > most ? n : most;
    }
    return most;
}

static bool is_label_free(const plan *p, const char *label)
{
    return !p->van || (van_wire(p->van, label) < 0 && names_find(p->van->retired, label) < 0);
}

/* P for feeds and N for returns where the file does so, or has no wires yet; W otherwise. */
static const char *next_label(const plan *p, bool is_return)
{
    const bool is_by_side = !p->van || !p->van->n_wires || (highest(p, "P") && highest(p, "N"));
    const char *prefix = !is_by_side ? "W" : is_return ? "N" : "P";
    for (int n = highest(p, prefix) + 1;; n++) {
        const char *label = arena_printf(p->arena, "%s%d", prefix, n);
        if (is_label_free(p, label)) return label;
    }
}

/* ---- ids ---- */

static const char *slug(const plan *p, const char *name)
{
    enum { slug_most = 40 };
    sink s = sink_in(p->arena);
    for (const char *c = name; *c && s.n < slug_most; c++) {
        if (isalnum((unsigned char)*c)) {
            const char low[2] = {(char)tolower((unsigned char)*c), 0};
            if (!s.n && !isalpha((unsigned char)*c)) sink_add(&s, "item-");
            sink_add(&s, low);
        } else if (s.n && s.at[s.n - 1] != '-')
            sink_add(&s, "-");
    }
    while (s.n && s.at[s.n - 1] == '-') s.at[--s.n] = 0;
    return s.n ? sink_text(&s) : "item";
}

static void repeat_put(answers *with, const char *id, int i, int n)
{
    arena *a = with->arena;
    answers_put(with, "each", n > 1 ? arena_printf(a, "%s-%d", id, i) : id);
    answers_put(with, "before", arena_printf(a, "%s-%d", id, i - 1));
    answers_put(with, "first", n > 1 ? arena_printf(a, "%s-1", id) : id);
}

static int times_of(const plan *p, const answers *with, const node *mapping, const char *key)
{
    const char *times = text_of(p, with, mapping, key);
    return *times ? atoi(times) : 1;
}

static bool are_ids_free(const plan *p, const recipe *r, answers *with, const char *id)
{
    answers_put(with, "id", id);
    for (const node *n = r->items->first; n; n = n->next) {
        const int times = times_of(p, with, n, "each");
        for (int i = 1; i <= times; i++) {
            repeat_put(with, id, i, times);
            if (is_taken(p, answers_fill(with, n->key))) return false;
        }
    }
    return true;
}

/* `id` of the circuit and `suffix` of the supply: the first number with which nothing is taken. */
static void ids_find(const plan *p, const recipe *r, answers *with)
{
    const char *name = answers_get(with, "name");
    const char *base = name ? slug(p, name) : "item";
    for (int n = 1;; n++) {
        answers_put(with, "suffix", n == 1 ? "" : arena_printf(p->arena, "-%d", n));
        if (are_ids_free(p, r, with, n == 1 ? base : arena_printf(p->arena, "%s-%d", base, n))) return;
    }
}

/* ---- items ---- */

static bool is_own_key(const char *key) { return !strcmp(key, "each") || !strcmp(key, "note"); }

static double amps_of(const plan *p, const char *draws)
{
    quantity q = {0};
    const char *wrong;
    if (!quantity_parse(draws, strlen(draws), &q, p->arena, &wrong)) return 0;
    return q.dimension == DIMENSION_POWER ? q.value / p->nominal_V : q.dimension == DIMENSION_CURRENT ? q.value : 0;
}

static device_style style_of(const char *word)
{
    device_style style = DEVICE_BLADE;
    device_style_of(word, &style);
    return style;
}

static void device_add(plan *p, const char *item, int slot, device_style style, double estimate_A)
{
    plan_device *d = ARRAY_ADD(p->arena, &p->devices);
    *d = (plan_device){.item = item, .slot = slot, .style = style, .estimate_A = estimate_A};
}

static void item_add(plan *p, const node *n, const answers *with, int i, int times, int section)
{
    const char *gives = answers_get(with, "gives"); /* of a charger, which its own device must carry */
    const double gives_A = gives ? amps_of(p, gives) : 0;
    plan_item new = {.id = answers_fill(with, n->key), .note = "", .section = section};
    for (const node *k = n->first; k; k = k->next) {
        const char *text = answers_scalar(with, k);
        if (!text) continue;
        text = answers_fill(with, text);
        if (!strcmp(k->key, "note")) new.note = text;
        if (is_own_key(k->key)) continue;
        if (!strcmp(k->key, "name") && times > 1) text = arena_printf(p->arena, "%s %d", text, i);
        if (!strcmp(k->key, "slots")) new.is_block = true;
        if (!strcmp(k->key, "studs")) {
            new.is_bar = true;
            new.n_row = 1; /* the supply's own wire */
        }
        if (!strcmp(text, "chosen")) new.is_device = true;
        *ARRAY_ADD(p->arena, &new.keys) = (plan_key){k->key, text};
    }
    if (new.is_device) device_add(p, new.id, 0, style_of(text_of(p, with, n, "style")), gives_A);
    *ARRAY_ADD(p->arena, &p->items) = new;
}

static void items_add(plan *p, const recipe *r, answers *with, int section)
{
    const char *id = answers_get(with, "id");
    for (const node *n = r->items->first; n; n = n->next) {
        const int times = times_of(p, with, n, "each");
        for (int i = 1; i <= times; i++) {
            repeat_put(with, id, i, times);
            item_add(p, n, with, i, times, section);
        }
    }
}

/* What a circuit takes, from its answers. */
static double circuit_A(const plan *p, const recipe *r, const answers *with)
{
    double sum_A = 0;
    for (const node *n = r->items->first; n; n = n->next)
        sum_A += times_of(p, with, n, "each") * amps_of(p, text_of(p, with, n, "draws"));
    return sum_A;
}

/* ---- wires ---- */

/* "$a + $b" with quantities in it: the one as it was written, or the sum in metres. */
static const char *length_sum(const plan *p, const char *text)
{
    const char *plus = strstr(text, " + ");
    if (!plus) return text;
    const double first_m = answer_number(arena_text_n(p->arena, text, (size_t)(plus - text)), p->arena);
    const double second_m = answer_number(length_sum(p, plus + 3), p->arena);
    char number[number_room];
    return arena_printf(p->arena, "%s m", number_short(first_m + second_m, 4, number));
}

static const char *colour_of(const plan *p, const char *use)
{
    static const char *const usual[] = {"red", "black", "white", "violet"};
    const char *wanted;
    source from;
    if (!strcmp(use, "chopped")) return "white";
    for (size_t i = 0; i < sizeof usual / sizeof *usual; i++)
        if (colour_suits(p->practice, use, usual[i], &wanted, &from)) return usual[i];
    return NULL;
}

static const char *fuse_terminal(plan *p, double estimate_A)
{
    const int slot = take_of_row(p, p->block);
    const int item = p->van ? van_item(p->van, p->block) : -1;
    device_style style = DEVICE_BLADE;
    if (item >= 0) {
        const setting *word = item_setting(p->van, item, "style");
        if (word && word->word) style = style_of(word->word);
        row_of(p, item); /* its ratings change */
    }
    device_add(p, p->block, slot, style, estimate_A);
    return numbered(p, p->block, slot);
}

static const char *end_of(plan *p, const char *text, double estimate_A)
{
    if (!strcmp(text, "fuse")) return fuse_terminal(p, estimate_A);
    if (!strcmp(text, "return")) return return_terminal(p);
    if (!strcmp(text, "battery")) return battery_terminal(p);
    if (!strcmp(text, "battery-return")) return battery_return(p);
    return text;
}

static bool wire_add(plan *p, const node *n, const answers *with, double estimate_A, int section)
{
    const char *use = text_of(p, with, n, "use"), *to = text_of(p, with, n, "to");
    if (!*use) use = !strcmp(to, "return") || !strcmp(to, "battery-return") ? "return" : "feed";
    plan_wire new = {.section = section};
    new.from = end_of(p, text_of(p, with, n, "from"), estimate_A);
    if (!new.from) return false;
    new.to = end_of(p, to, estimate_A);
    if (!new.to)
        return p->why ? false : WHY(p, "the file has no bar for the returns; add a busbar, and wire it to the battery");
    new.length = length_sum(p, text_of(p, with, n, "length"));
    new.label = next_label(p, strcmp(use, "feed") != 0);
    new.colour = colour_of(p, use);
    *ARRAY_ADD(p->arena, &p->wires) = new;
    return true;
}

static bool wires_add(plan *p, const recipe *r, answers *with, int section)
{
    const double estimate_A = circuit_A(p, r, with);
    const char *id = answers_get(with, "id");
    for (const node *n = r->wires->first; n; n = n->next) {
        if (!strcmp(text_of(p, with, n, "when"), "false")) continue;
        const int times = times_of(p, with, n, "next");
        repeat_put(with, id, 1, times);
        if (!node_get(n, "next")) {
            /* Items that are repeated are named by their own count. */
            for (const node *i = r->items->first; i; i = i->next)
                if (node_get(i, "each")) repeat_put(with, id, 1, times_of(p, with, i, "each"));
            if (!wire_add(p, n, with, estimate_A, section)) return false;
        }
        for (int i = 2; node_get(n, "next") && i <= times; i++) {
            repeat_put(with, id, i, times);
            if (!wire_add(p, n, with, estimate_A, section)) return false;
        }
    }
    return true;
}

/* ---- answers ---- */

const char *plan_voltage(double nominal_V) { return nominal_V > 18 ? "24 V" : "12 V"; }

static bool answers_take(plan *p, const recipe *r, const answers *given, int number, answers *with)
{
    *with = (answers){.arena = p->arena, .voltage = plan_voltage(p->nominal_V)};
    for (int i = 0; i < given->n; i++)
        if (!recipe_ask(r, given->names[i]) && strcmp(given->names[i], "fuses") != 0)
            return WHY(p, "`%s` is not asked by `%s`", given->names[i], r->id);
    for (int i = 0; i < r->n_asks; i++) {
        const ask *q = &r->asks[i];
        const char *text = answers_get(given, q->name);
        if (!text) text = answers_scalar(with, q->preset);
        const char *fault = answer_fault(q, text, p->arena);
        if (fault) return WHY(p, "%s: %s", q->name, fault);
        text = answer_kept(q, text, p->arena);
        if (!strcmp(q->name, "name") && number > 1) text = arena_printf(p->arena, "%s %d", text, number);
        answers_put(with, q->name, text);
    }
    return true;
}

/* ---- the block ---- */

bool recipe_uses_block(const recipe *r)
{
    for (const node *n = r->wires->first; n; n = n->next) {
        const node *from = node_get(n, "from");
        if (from && from->text && !strcmp(from->text, "fuse")) return true;
    }
    return false;
}

enum { block_slots_most = 12 };
static const double block_most_A =
    70; /* of a block of 100 A, with the device before it a quarter larger than its load */

static bool is_planned_block_full(const plan *p, double more_A)
{
    const plan_item *block = planned_item(p, p->block);
    double sum_A = more_A;
    for (size_t i = 0; i < p->devices.n; i++)
        if (p->devices.at[i].slot && !strcmp(p->devices.at[i].item, p->block)) sum_A += p->devices.at[i].estimate_A;
    return block && (block->n_row >= block_slots_most || (block->n_row && sum_A > block_most_A));
}

const char *plan_block_of(const van *v)
{
    const char *first = NULL;
    for (int i = 0; i < v->n_items; i++) {
        if (!item_is_fuse_block(v, i)) continue;
        if (!first) first = v->items[i].id;
        if (item_free_of_row(v, i) >= 0) return v->items[i].id;
    }
    return first;
}

static bool supply_add(plan *p)
{
    if (!battery_id(p)) return WHY(p, "the file has no battery; add one first");
    answers given = {.arena = p->arena};
    if (p->supply_distance) answers_put(&given, "distance", p->supply_distance);
    if (!plan_add(p, recipe_named(p->recipes, p->n_recipes, "supply"), &given, 1)) return false;
    for (size_t i = 0; i < p->items.n; i++)
        if (p->items.at[i].is_block) p->block = p->items.at[i].id;
    return true;
}

static bool block_choose(plan *p, const char *wanted, double more_A)
{
    if (wanted && !strcmp(wanted, "new")) return supply_add(p);
    if (wanted && *wanted) {
        const int i = p->van ? van_item(p->van, wanted) : -1;
        if (i < 0 || !item_is_fuse_block(p->van, i))
            return WHY(p, "fuses: there is no fuse block `%s`; name one of the file, or `new`", wanted);
        p->block = wanted;
        return true;
    }
    if (!p->block && p->van) p->block = plan_block_of(p->van);
    if (!p->block || is_planned_block_full(p, more_A)) return supply_add(p);
    return true;
}

bool plan_add(plan *p, const recipe *r, const answers *given, int number)
{
    answers with;
    if (!answers_take(p, r, given, number, &with)) return false;
    if (recipe_uses_block(r) && !block_choose(p, answers_get(given, "fuses"), circuit_A(p, r, &with))) return false;
    if (r->wires->first && !battery_id(p)) return WHY(p, "the file has no battery; add one first");
    ids_find(p, r, &with);
    const char *name = answers_get(&with, "name");
    p->name = name ? name : r->title;
    const int section = (int)p->sections.n;
    *ARRAY_ADD(p->arena, &p->sections) = answers_fill(&with, r->comment);
    items_add(p, r, &with, section);
    return wires_add(p, r, &with, section);
}
