/* The buying list: conductor by size and colour with an allowance for waste, devices by kind and rating, what goes on
 * the ends, sleeves. It adds up what the file says; what the file leaves open is named, not guessed. */
#include "sheets/csv.h"
#include "sheets/ends.h"
#include "sheets/sheet.h"
#include "sheets/symbols.h"
#include "sheets/table.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Common practice: a tenth for bends and mistakes, a hand's length at each end to strip twice. */
#define WASTE 0.10
#define END_SPARE_M 0.10
#define ROUND_TO_M 0.5

static const table_column columns[] = {
    {"", 0.05, FACE_SANS, ANCHOR_START, true},
    {"What", 0.50, FACE_SANS, ANCHOR_START, false},
    {"Quantity", 0.12, FACE_SANS_BOLD, ANCHOR_END, false},
    {"Unit", 0.06, FACE_SANS, ANCHOR_START, false},
    {"For", 0.27, FACE_SANS, ANCHOR_START, false},
};

/* One line of the list, while it is being added up. */
typedef struct lot {
    const char *group, *what, *unit;
    double sort; /* within the group */
    double amount;
    int n; /* things that went in */
    sink uses;
} lot;

typedef struct basket {
    book *book;
    ARRAY(lot) lots;
} basket;

static lot *lot_of(basket *b, const char *group, const char *what, const char *unit, double sort)
{
    for (size_t i = 0; i < b->lots.n; i++)
        if (strcmp(b->lots.at[i].what, what) == 0 && strcmp(b->lots.at[i].group, group) == 0) return &b->lots.at[i];
    lot *added = ARRAY_ADD(b->book->arena, &b->lots);
    *added = (lot){.group = group, .what = what, .unit = unit, .sort = sort, .uses = sink_in(b->book->arena)};
    return added;
}

/* Names where it goes, up to a few; the CSV and the other sheets have them all. */
static void put(lot *l, double amount, const char *use)
{
    enum { most_uses = 4 };
    l->amount += amount;
    l->n++;
    if (l->n <= most_uses)
        sink_printf(&l->uses, "%s%s", l->n > 1 ? ", " : "", use);
    else if (l->n == most_uses + 1)
        sink_add(&l->uses, " …");
}

static void put_wires(basket *b)
{
    const van *v = b->book->van;
    for (int w = 0; w < v->n_wires; w++) {
        const wire *at = &v->wires[w];
        const char *what =
            arena_printf(b->book->arena, "%s, %s, %s, insulation for %.0f\u00a0degC", wire_size_text(b->book, w),
                         at->is_solid ? "solid" : "stranded", wire_colour(v, w),
                         quantity_in(at->insulation_K, DIMENSION_TEMPERATURE, "degC"));
        double area_m2 = b->book->study->wires ? b->book->study->wires[w].size.area_m2 : at->size.area_m2;
        lot *l = lot_of(b, "Conductor", what, "m", -area_m2);
        put(l, at->is_length_auto ? 0 : at->length_m * (1 + WASTE) + 2 * END_SPARE_M, at->label);
    }
}

static void put_ends(basket *b)
{
    const van *v = b->book->van;
    for (int w = 0; w < v->n_wires; w++)
        for (int end = 0; end < 2; end++) {
            const char *part = end_part(b->book, end ? v->wires[w].to : v->wires[w].from);
            const char *what = arena_printf(b->book->arena, "%s, %s", part, wire_size_text(b->book, w));
            put(lot_of(b, "On the ends", what, "", 0), 1, v->wires[w].label);
        }
}

static const char *device_words(basket *b, int i)
{
    const char *rating = item_rating(b->book, i), *name = item_kind(b->book->van, i)->name;
    const setting *slots = item_setting(b->book->van, i, "slots"), *studs = item_setting(b->book->van, i, "studs");
    if (slots && slots->list) return arena_printf(b->book->arena, "%s, %d slots, %s", name, slots->n_list, rating);
    if (studs && studs->number > 0)
        return arena_printf(b->book->arena, "%s, %.0f studs, %s", name, studs->number, rating);
    return *rating ? arena_printf(b->book->arena, "%s, %s", name, rating) : name;
}

static void put_devices(basket *b)
{
    const van *v = b->book->van;
    for (int i = 0; i < v->n_items; i++) {
        const setting *slots = item_setting(v, i, "slots"), *style = item_setting(v, i, "style");
        if (item_kind(v, i)->role == ROLE_CHASSIS) continue;
        put(lot_of(b, "Devices", device_words(b, i), "", item_kind(v, i)->role), 1, v->items[i].name);
        for (int k = 0; slots && k < slots->n_list; k++) {
            const char *rating = quantity_text(slots->list[k], DIMENSION_CURRENT, 3, b->book->arena);
            const char *what = arena_printf(b->book->arena, "fuse for a block, %s%s%s", rating,
                                            style && style->word ? ", " : "", style && style->word ? style->word : "");
            put(lot_of(b, "Devices", what, "", N_ROLES + slots->list[k]), 1,
                arena_printf(b->book->arena, "%s %d", v->items[i].name, k + 1));
        }
    }
}

static void put_sleeves(basket *b)
{
    int n = b->book->van->n_wires;
    if (!n) return;
    lot *l = lot_of(b, "Sleeves", "label sleeve", "", 0);
    l->amount = 2.0 * n;
    sink_printf(&l->uses, "both ends of %d wires", n);
}

static int by_group_and_size(const void *x, const void *y)
{
    const lot *a = x, *b = y;
    return a->sort != b->sort ? (a->sort > b->sort) - (a->sort < b->sort) : strcmp(a->what, b->what);
}

static void sort_lots(basket *b)
{
    for (size_t from = 0; from < b->lots.n;) {
        size_t to = from;
        while (to < b->lots.n && strcmp(b->lots.at[to].group, b->lots.at[from].group) == 0) to++;
        qsort(&b->lots.at[from], to - from, sizeof(lot), by_group_and_size);
        from = to;
    }
}

static const char *open_lengths(book *b)
{
    sink out = sink_in(b->arena);
    for (int w = 0; w < b->van->n_wires; w++)
        if (b->van->wires[w].is_length_auto)
            sink_printf(&out, "%s%s", out.n ? ", " : "Not counted, for want of a length: ", b->van->wires[w].label);
    return sink_text(&out);
}

static const char *amount_text(book *b, const lot *l)
{
    if (!*l->unit) return arena_printf(b->arena, "%.0f", l->amount);
    return arena_printf(b->arena, "%.1f", ceil(l->amount / ROUND_TO_M - 1e-9) * ROUND_TO_M);
}

const char *buying_draw(book *b)
{
    basket k = {.book = b};
    put_wires(&k);
    put_ends(&k);
    put_devices(&k);
    put_sleeves(&k);
    sort_lots(&k);
    table t = table_start(b, "Buying list", "Conductors, devices, terminals and sleeves to buy.", columns, 5);
    sink out = sink_in(b->arena);
    table_note(
        &t,
        "Conductor: the lengths of the file, 10 % for waste and 0.1 m for each end, rounded up to half a metre (common "
        "practice). Everything else is the bare count: buy some to spare.");
    const char *open = open_lengths(b);
    if (*open) table_note(&t, open);
    csv_row(&out, 5, (const char *[]){"group", "what", "quantity", "unit", "for"});
    const char *group = "";
    for (size_t i = 0; i < k.lots.n; i++) {
        lot *l = &k.lots.at[i];
        const char *amount = amount_text(b, l), *uses = sink_text(&l->uses);
        if (strcmp(group, l->group) != 0) table_heading(&t, group = l->group, "", 2);
        table_row(&t, NULL, (const char *[]){"x", l->what, amount, l->unit, uses});
        csv_row(&out, 5, (const char *[]){l->group, l->what, amount, *l->unit ? l->unit : "piece", uses});
    }
    return sink_text(&out);
}
