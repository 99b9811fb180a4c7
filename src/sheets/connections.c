/* The connection list: each end of each wire once, device by device, in the order of work. Returns come first and the
 * source last, so that nothing is live while hands are at it; the fuses go in at the very end, the battery's last. */
#include "sheets/csv.h"
#include "sheets/ends.h"
#include "sheets/plan.h"
#include "sheets/sheet.h"
#include "sheets/symbols.h"
#include "sheets/table.h"

#include <stdlib.h>
#include <string.h>

/* X(NAME, words): stages of the work, in order */
#define STAGES(X)                                                                                                      \
    X(GROUND, "chassis and return bars")                                                                               \
    X(LOADS, "loads, outlets, instruments and dimmers")                                                                \
    X(SWITCHES, "switches and relays")                                                                                 \
    X(FEEDS, "feed bars and joints")                                                                                   \
    X(FUSES, "fuse blocks, fuses and breakers")                                                                        \
    X(CHARGERS, "chargers and inverters")                                                                              \
    X(SHUNTS, "shunt")                                                                                                 \
    X(SOURCES, "batteries, negative post first") X(MAIN_FUSES, "holders of the fuses at the batteries")
typedef enum stage {
#define X(NAME, words) STAGE_##NAME,
    STAGES(X)
#undef X
        N_STAGES
} stage;

static const char *const stage_words[] = {
#define X(NAME, words) words,
    STAGES(X)
#undef X
};

static bool touches_battery_post(const plan *p, int i)
{
    const van *v = p->van;
    const item *it = &v->items[i];
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        for (int e = p->first_wire[t]; e < p->first_wire[t + 1]; e++)
            if (item_kind(v, v->terminals[plan_other_end(p, p->wires[e], t)].item)->role == ROLE_BATTERY) return true;
    return false;
}

static stage stage_of(const plan *p, int i)
{
    bool is_low = p->side[p->van->items[i].first_terminal] == SIDE_LOW;
    switch (item_kind(p->van, i)->role) {
    case ROLE_CHASSIS:
        return STAGE_GROUND;
    case ROLE_SPREADER:
        return is_low ? STAGE_GROUND : STAGE_FEEDS;
    case ROLE_SWITCH:
    case ROLE_RELAY:
        return STAGE_SWITCHES;
    case ROLE_PROTECTION:
        return touches_battery_post(p, i) ? STAGE_MAIN_FUSES : STAGE_FUSES;
    case ROLE_CHARGER:
    case ROLE_INVERTER:
        return STAGE_CHARGERS;
    case ROLE_SHUNT:
        return STAGE_SHUNTS;
    case ROLE_BATTERY:
        return STAGE_SOURCES;
    default:
        return STAGE_LOADS;
    }
}

static const table_column columns[] = {
    {"", 0.05, FACE_SANS, ANCHOR_START, true},
    {"Terminal", 0.15, FACE_SANS, ANCHOR_START, false},
    {"Wire", 0.10, FACE_MONO_BOLD, ANCHOR_START, false},
    {"Size", 0.11, FACE_SANS, ANCHOR_START, false},
    {"Colour", 0.13, FACE_SANS, ANCHOR_START, false},
    {"Far end", 0.24, FACE_SANS, ANCHOR_START, false},
    {"Goes on with", 0.22, FACE_SANS, ANCHOR_START, false},
};
enum { N_COLUMNS = sizeof columns / sizeof *columns };

static void list_terminal(table *t, const plan *p, int at)
{
    book *b = t->book;
    const van *v = p->van;
    for (int e = p->first_wire[at]; e < p->first_wire[at + 1]; e++) {
        int w = p->wires[e], far = plan_other_end(p, w, at);
        const char *cells[N_COLUMNS] = {"x",
                                        terminal_word(v, at),
                                        v->wires[w].label,
                                        wire_size_text(b, w),
                                        v->wires[w].colour ? v->wires[w].colour : "",
                                        v->terminals[far].name,
                                        end_part(b, at)};
        table_row(t, NULL, cells);
        page_names_wire(b, w);
    }
    if (plan_wire_count(p, at)) return;
    const kind *k = item_kind(v, v->terminals[at].item);
    const terminal_template *of = &k->terminals[v->terminals[at].template_index];
    if (of->is_row) return; /* a spare stud needs no word */
    const char *cells[N_COLUMNS] = {"",     terminal_word(v, at),
                                    "none", "",
                                    "",     of->may_be_open ? "stays open on purpose" : "NOT CONNECTED in the file",
                                    ""};
    table_row(t, NULL, cells);
}

static int wire_ends(const plan *p, int i)
{
    const item *it = &p->van->items[i];
    return p->first_wire[it->first_terminal + it->n_terminals] - p->first_wire[it->first_terminal];
}

/* Terminals of a device, returns first. */
static void list_device(table *t, const plan *p, int i)
{
    const item *it = &p->van->items[i];
    const char *beside = arena_printf(p->arena, "%s, %s", it->id, item_kind(p->van, i)->name);
    table_heading(t, it->name, beside, wire_ends(p, i));
    page_names_item(t->book, i);
    for (int pass = 0; pass < 2; pass++)
        for (int at = it->first_terminal; at < it->first_terminal + it->n_terminals; at++)
            if ((p->side[at] == SIDE_LOW) == (pass == 0)) list_terminal(t, p, at);
}

static const char *list_wires(book *b)
{
    const van *v = b->van;
    sink out = sink_in(b->arena);
    csv_row(
        &out, 8,
        (const char *[]){"label", "from", "to", "size", "colour", "length m", "terminal at from", "terminal at to"});
    for (int w = 0; w < v->n_wires; w++) {
        const wire *at = &v->wires[w];
        csv_row(&out, 8,
                (const char *[]){at->label, v->terminals[at->from].name, v->terminals[at->to].name,
                                 wire_size_text(b, w), at->colour ? at->colour : "", wire_length_text(b, w),
                                 end_part(b, at->from), end_part(b, at->to)});
    }
    return sink_text(&out);
}

/* Last of all: the fuses, those nearest the battery at the end. */
static void list_fuses(table *t, const plan *p)
{
    static const table_column fuse_columns[] = {{"", 0.05, FACE_SANS, ANCHOR_START, true},
                                                {"Fit or close", 0.45, FACE_SANS_BOLD, ANCHOR_START, false},
                                                {"Rating", 0.5, FACE_SANS, ANCHOR_START, false}};
    table_columns(t, fuse_columns, 3);
    table_heading(t, "Last of all: the fuses", "after every box above is ticked and every check has passed", 3);
    for (int s = STAGE_FUSES; s <= STAGE_MAIN_FUSES; s += STAGE_MAIN_FUSES - STAGE_FUSES)
        for (int i = 0; i < p->van->n_items; i++) {
            if (item_kind(p->van, i)->role != ROLE_PROTECTION || stage_of(p, i) != (stage)s || !p->is_wired[i])
                continue;
            const setting *slots = item_setting(p->van, i, "slots");
            for (int k = 0; slots && k < slots->n_list; k++) {
                const char *name = arena_printf(p->arena, "%s, slot %d", p->van->items[i].name, k + 1);
                table_row(t, NULL,
                          (const char *[]){"x", name, quantity_text(slots->list[k], DIMENSION_CURRENT, 3, p->arena)});
            }
            if (!slots) table_row(t, NULL, (const char *[]){"x", p->van->items[i].name, item_rating(p->book, i)});
            page_names_item(t->book, i);
        }
}

const char *connections_draw(book *b)
{
    plan *p = plan_orient(b);
    table t = table_start(b, "Connection list",
                          "Each end of each wire, device by device, in the order of work, with boxes to tick.", columns,
                          N_COLUMNS);
    table_note(
        &t, "Work from top to bottom. Tick an end when it is crimped, sleeved, connected and has been pulled by hand. "
            "Every fuse stays out until the last part of this list.");
    int step = 0;
    for (int s = 0; s < N_STAGES; s++) {
        bool has_said = false;
        for (int i = 0; i < b->van->n_items; i++) {
            if (stage_of(p, i) != (stage)s || !wire_ends(p, i)) continue;
            if (!has_said) table_section(&t, arena_printf(b->arena, "Step %d: %s", ++step, stage_words[s]));
            has_said = true;
            list_device(&t, p, i);
        }
    }
    list_fuses(&t, p);
    return list_wires(b);
}
