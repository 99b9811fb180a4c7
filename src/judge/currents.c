/* Conductors and devices against the current that they carry in their worst positions. */
#include "judge/offer.h"

#include <string.h>

/* ---- conductors ---- */

static const char *corrections(finder *f, int w)
{
    const wire_study *ws = &f->study->wires[w];
    const wire *file = &f->van->wires[w];
    sink s = sink_in(f->arena);
    sink_printf(&s, "%s A for %s with insulation of %s degC at 30 degC", num(f, ws->base_ampacity_A),
                size_words(ws->size), num(f, file->insulation_K - 273.15));
    if (ws->ambient_factor != 1)
        sink_printf(&s, ", times %s for air of %s degC%s", num(f, ws->ambient_factor),
                    num(f, f->van->hottest_K - 273.15), file->is_in_engine_space ? " and an engine space" : "");
    if (ws->bundle_factor != 1)
        sink_printf(&s, ", times %s for %d conductors that touch", num(f, ws->bundle_factor), file->n_bundled);
    return sink_text(&s);
}

static void unknown_ampacity(finder *f, int w)
{
    const wire_study *ws = &f->study->wires[w];
    finding *n = raise_finding(f, f->van->wires[w].size_place);
    n->grade = GRADE_UNPROVEN;
    add_wire(f, n, w);
    set_value(n, ws->worst_A, NAN, "A");
    set_positions(f, n, ws->worst_at);
    set_source(f, n, &ws->ampacity_from);
    SAYS(f, n, "%s carries up to %s A, and the tables do not say what %s with insulation of %s degC bears: unproven.",
         f->van->wires[w].label, num(f, ws->worst_A), size_words(ws->size),
         num(f, f->van->wires[w].insulation_K - 273.15));
    MEND(f, n, "Take a size and an insulation rating that the table has.");
}

CHECK(conductor_overloaded)
{
    const double small_A = limit_for(f, "small-circuit")->value;
    for (int w = 0; w < f->van->n_wires && !f->is_shorted; w++) {
        const wire_study *ws = &f->study->wires[w];
        if (ws->size.series == SIZE_UNSET || ws->worst_A <= ws->ampacity_A) continue;
        if (!(ws->base_ampacity_A > 0)) {
            if (ws->worst_A >= small_A) unknown_ampacity(f, w);
            continue;
        }
        finding *n = raise_finding(f, f->van->wires[w].where);
        add_wire(f, n, w);
        set_value(n, ws->worst_A, ws->ampacity_A, "A");
        set_positions(f, n, ws->worst_at);
        set_source(f, n, &ws->ampacity_from);
        SAYS(f, n, "%s carries up to %s A (rms) and bears %s A: %s.", f->van->wires[w].label, num(f, ws->worst_A),
             num(f, ws->ampacity_A), corrections(f, w));
        conductor_size size;
        if (is_too_warm(f, w))
            mend_too_warm(f, n, w);
        else if (study_size_for_current(f->study, w, ws->worst_A, &size))
            MEND(f, n, "Take %s or thicker for %s, or less current through it.", size_words(size),
                 f->van->wires[w].label);
        else
            MEND(f, n, "No size of the tables bears it as %s is run: share the current between two circuits%s.",
                 f->van->wires[w].label, ws->bundle_factor < 1 ? " or take it out of the bundle" : "");
        offer_thicker(f, n, w, ws->protector_A);
    }
}

CHECK(size_below_minimum)
{
    for (int w = 0; w < f->van->n_wires; w++) {
        const wire_study *ws = &f->study->wires[w];
        const wire_side side = f->study->feeds->wires[w].side;
        const wire *file = &f->van->wires[w];
        const limit *least = limit_for(f, file->is_sheathed ? "least-size-sheathed" : "least-size-single");
        if (ws->size.series == SIZE_UNSET || ws->size.area_m2 >= least->value * 0.999) continue;
        if (side == SIDE_MAINS || side == SIDE_BOND) continue;
        if (ws->peak_A < limit_for(f, "small-circuit")->value) continue;
        finding *n = raise_finding(f, file->size_place);
        add_wire(f, n, w);
        set_value(n, ws->size.area_m2 * 1e6, least->value * 1e6, "mm2");
        set_source(f, n, &least->from);
        SAYS(f, n, "%s is %s; the smallest conductor that is run %s is %s.", file->label, size_words(ws->size),
             file->is_sheathed ? "in a sheath" : "by itself", limit_printed(least));
        MEND(f, n, "Take %s or thicker for %s.", limit_printed(least), file->label);
        offer_thicker(f, n, w, ws->protector_A);
    }
}

/* ---- devices ---- */

/* Raises a finding of the running rule for an item that carries more than its rating, or that has none. */
static void hold_against_rating(finder *f, int i, const char *part, double amps, double rating_A,
                                const position *positions)
{
    if (f->is_shorted || amps <= rating_A * 1.0005 || amps < 1e-3) return;
    finding *n = raise_finding(f, f->van->items[i].where);
    add_item(f, n, i);
    set_value(n, amps, rating_A, "A");
    set_positions(f, n, positions);
    if (rating_A > 0) {
        n->source = "the item's own rating, as the file or its kind has it";
        SAYS(f, n, "%s of %s carries up to %s A and is rated for %s A.", part, item_words(f, i), num(f, amps),
             num(f, rating_A));
        MEND(f, n, "Take one that is rated for at least %s A.", num(f, amps));
        return;
    }
    n->grade = GRADE_UNPROVEN;
    n->limit = NAN;
    SAYS(f, n, "%s of %s carries up to %s A, and nothing says what it is rated for: unproven.", part, item_words(f, i),
         num(f, amps));
    MEND(f, n, "Find its rating and write it as `rating`.");
}

/* The contact of an item that is worst against its rating. */
static void hold_contacts(finder *f, role wanted, const char *part)
{
    for (int i = 0; i < f->van->n_items; i++) {
        if (item_kind(f->van, i)->role != wanted) continue;
        const network *net = f->study->nets[SEASON_HARD];
        int worst = -1;
        double most = 0;
        for (int e = net->first_element[i]; e < net->first_element[i + 1]; e++) {
            const net_element *el = &net->elements[e];
            if (el->type != ELEMENT_CONTACT) continue;
            const double share = f->study->element_A[e] / (el->rating_A > 0 ? el->rating_A : 1e-9);
            if (share <= most) continue;
            most = share;
            worst = e;
        }
        if (worst >= 0)
            hold_against_rating(f, i, part, f->study->element_A[worst], net->elements[worst].rating_A,
                                f->study->element_at[worst]);
    }
}

static void hold_items(finder *f, role wanted, const char *part)
{
    for (int i = 0; i < f->van->n_items; i++) {
        if (item_kind(f->van, i)->role != wanted || !item_setting(f->van, i, "rating")) continue;
        const item_study *is = &f->study->items[i];
        hold_against_rating(f, i, part, is->worst_A, item_number(f->van, i, "rating", 0), is->worst_at);
    }
}

CHECK(switch_overloaded) { hold_contacts(f, ROLE_SWITCH, "A contact"); }
CHECK(relay_overloaded) { hold_contacts(f, ROLE_RELAY, "A contact"); }
CHECK(dimmer_overloaded) { hold_items(f, ROLE_DIMMER, "The load side"); }
CHECK(outlet_overloaded) { hold_items(f, ROLE_OUTLET, "The socket"); }
CHECK(busbar_overloaded) { hold_items(f, ROLE_SPREADER, "A stud"); }
CHECK(shunt_overloaded) { hold_items(f, ROLE_SHUNT, "The resistor"); }

static bool is_block(const finder *f, int i)
{
    const kind *k = item_kind(f->van, i);
    return k->role == ROLE_PROTECTION && k->row >= 0 && item_setting(f->van, i, "rating");
}

CHECK(block_overloaded)
{
    for (int i = 0; i < f->van->n_items; i++)
        if (is_block(f, i))
            hold_against_rating(f, i, "The common bar", f->study->items[i].whole_A, item_number(f->van, i, "rating", 0),
                                f->study->items[i].worst_at);
}

/* Rating of the largest device upstream of a block; 0 when one of its feeds has none. */
static double upstream_A(const finder *f, int i)
{
    double most_A = 0;
    for (int w = 0; w < f->van->n_wires; w++)
        for (int end = 0; end < 2; end++) {
            const terminal *t = &f->van->terminals[end ? f->van->wires[w].to : f->van->wires[w].from];
            if (t->item != i || t->number) continue;
            const int device = f->study->wires[w].protector;
            if (device < 0 || element_of(f, device)->item == i) return 0;
            most_A = fmax(most_A, element_of(f, device)->rating_A);
        }
    return most_A;
}

CHECK(slots_over_block)
{
    const network *net = f->study->nets[SEASON_HARD];
    for (int i = 0; i < f->van->n_items; i++) {
        if (!is_block(f, i)) continue;
        const double rating_A = item_number(f->van, i, "rating", 0), before_A = upstream_A(f, i);
        double sum_A = 0;
        for (int e = net->first_element[i]; e < net->first_element[i + 1]; e++)
            if (net->elements[e].type == ELEMENT_FUSIBLE) sum_A += net->elements[e].rating_A;
        if (sum_A <= rating_A * 1.0005) continue;
        const bool is_held = before_A > 0 && before_A <= rating_A * 1.0005;
        finding *n = raise_finding(f, f->van->items[i].where);
        add_item(f, n, i);
        set_value(n, sum_A, rating_A, "A");
        n->source = "the item's own rating, as the file or its kind has it";
        if (is_held) n->grade = GRADE_NOTE;
        SAYS(f, n, "The fuses of %s add up to %s A, and the whole block is rated for %s A; %s.", item_words(f, i),
             num(f, sum_A), num(f, rating_A),
             is_held ? arena_printf(f->arena, "the device before it, %s A, keeps it within that", num(f, before_A))
             : before_A > 0
                 ? arena_printf(f->arena, "the device before it, %s A, does not keep it within that", num(f, before_A))
                 : "no device before it keeps it within that");
        if (is_held)
            MEND(f, n, "Nothing needs mending while the device before it stays.");
        else
            MEND(f, n, "Put a device of at most %s A before the block.", num(f, rating_A));
    }
}
