/* Protective devices: is there one, is it where it must be, does it open in time, and not too soon. */
#include "judge/offer.h"

#include <string.h>

/* ---- too large ---- */

/* What the rule of the practice lets through a conductor. */
static double allowed_A(const finder *f, int w)
{
    return f->study->wires[w].ampacity_A * limit_for(f, "protector-over-conductor")->value;
}

static bool is_over_rule(const finder *f, int w) { return f->study->wires[w].protector_A > allowed_A(f, w) * 1.0005; }
static bool is_over_conductor(const finder *f, int w)
{
    return f->study->wires[w].protector_A > f->study->wires[w].ampacity_A * 1.0005;
}

/* Wires that lie before any device are another check's, and one whose current no table gives is unproven. A return that
 * several circuits share is held against all of them. */
static bool is_compared(const finder *f, int w, int device)
{
    const wire_study *ws = &f->study->wires[w];
    return ws->protector == device && ws->n_circuits <= 1 && ws->protector_A > 0 && ws->size.series != SIZE_UNSET;
}

/* A feed behind the device that the device suits, thicker than the others: then sizes step down. */
static bool has_thick_feed(const finder *f, int device, conductor_size than)
{
    for (int w = 0; w < f->van->n_wires; w++)
        if (is_compared(f, w, device) && f->study->feeds->wires[w].side == SIDE_FEED && !is_over_rule(f, w) &&
            conductor_compare(f->study->wires[w].size, than) > 0)
            return true;
    return false;
}

typedef struct too_large {
    int wires[64];
    int n;
    int weakest;
    bool steps_down;
} too_large;

typedef bool wire_test(const finder *f, int w);

static too_large collect(const finder *f, int device, wire_test *is_over)
{
    too_large t = {.weakest = -1};
    for (int w = 0; w < f->van->n_wires; w++) {
        if (!is_compared(f, w, device) || !(f->study->wires[w].base_ampacity_A > 0) || !is_over(f, w)) continue;
        if (t.n < (int)(sizeof t.wires / sizeof *t.wires)) t.wires[t.n++] = w;
        if (t.weakest < 0 || f->study->wires[w].ampacity_A < f->study->wires[t.weakest].ampacity_A) t.weakest = w;
    }
    if (t.weakest >= 0) t.steps_down = has_thick_feed(f, device, f->study->wires[t.weakest].size);
    return t;
}

static const char *labels(finder *f, const int *wires, int n)
{
    const char **words = ARENA_ARRAY(f->arena, const char *, n + 1);
    for (int i = 0; i < n; i++) words[i] = f->van->wires[wires[i]].label;
    return list_words(f, words, n);
}

static void add_group(finder *f, finding *n, const too_large *t, int device)
{
    add_wire(f, n, t->weakest);
    for (int i = 0; i < t->n; i++) add_wire(f, n, t->wires[i]);
    add_item(f, n, element_of(f, device)->item);
}

/* What the loads behind a device need it to carry, their starts included. */
static double carries_A(const finder *f, int device)
{
    const double start_A = f->study->element_peak_item[device] >= 0
                               ? f->study->element_peak_A[device] / limit_for(f, "start-peak")->value
                               : 0;
    return fmax(f->study->element_A[device] * limit_for(f, "continuous-factor")->value, start_A);
}

/* A smaller device where the loads allow it, or thicker conductors: the builder's choice. */
static void offer_match(finder *f, finding *n, const too_large *t, int device)
{
    const double smaller_A = rating_at_most(f, device, f->study->wires[t->weakest].ampacity_A);
    if (smaller_A > 0 && smaller_A >= carries_A(f, device)) offer_rating(f, n, device, smaller_A);
    const too_large all = collect(f, device, is_over_conductor);
    offer_thicker_all(f, n, all.wires, all.n);
}

static void mend_too_large(finder *f, finding *n, const too_large *t, int device)
{
    offer_match(f, n, t, device);
    const double needs_A = f->study->element_A[device] * limit_for(f, "continuous-factor")->value;
    const double smaller_A = rating_at_most(f, device, f->study->wires[t->weakest].ampacity_A);
    conductor_size size;
    const bool has_size = study_size_for_current(f->study, t->weakest, f->study->wires[t->weakest].protector_A, &size);
    if (smaller_A > 0 && smaller_A >= needs_A && !t->steps_down) {
        MEND(f, n, "Take a device of %s A; the load needs no more.", num(f, smaller_A));
        return;
    }
    if (n->grade != GRADE_NOTE) n->gate = GATE_CLOSE; /* only another conductor mends it */
    if (is_too_warm(f, t->weakest))
        mend_too_warm(f, n, t->weakest);
    else if (has_size)
        MEND(f, n, "Take %s or thicker for %s%s.", size_words(size), labels(f, t->wires, t->n),
             t->steps_down ? ", or protect them where they start" : "");
    else
        MEND(f, n, "Split the circuit: no size of the tables bears that device.");
}

static void raise_too_large(finder *f, int device, const too_large *t)
{
    const wire_study *ws = &f->study->wires[t->weakest];
    const limit *share = limit_for(f, "protector-over-conductor");
    finding *n = raise_finding(f, f->van->items[element_of(f, device)->item].where);
    add_group(f, n, t, device);
    set_value(n, ws->protector_A, allowed_A(f, t->weakest), "A");
    set_source(f, n, &share->from);
    SAYS(f, n, "%s lets %s A through %s. %s (%s) bears %s A as it is run, and the rule allows %s of that, %s A.%s",
         device_words(f, device), num(f, ws->protector_A), labels(f, t->wires, t->n), f->van->wires[t->weakest].label,
         size_words(ws->size), num(f, ws->ampacity_A), limit_printed(share), num(f, allowed_A(f, t->weakest)),
         t->steps_down ? " The conductors before it are thicker: sizes step down behind the device." : "");
    mend_too_large(f, n, t, device);
}

/* Within the rule and above what the conductor bears: the builder should know. */
static void note_too_large(finder *f, int device, const too_large *t)
{
    const wire_study *ws = &f->study->wires[t->weakest];
    const limit *share = limit_for(f, "protector-over-conductor");
    finding *n = raise_finding(f, f->van->items[element_of(f, device)->item].where);
    n->grade = GRADE_NOTE;
    add_group(f, n, t, device);
    set_value(n, ws->protector_A, ws->ampacity_A, "A");
    set_source(f, n, &share->from);
    SAYS(f, n, "%s is larger than the %s A that %s (%s) bears as it is run. The rule allows up to %s of that.",
         device_words(f, device), num(f, ws->ampacity_A), f->van->wires[t->weakest].label, size_words(ws->size),
         limit_printed(share));
    mend_too_large(f, n, t, device);
}

static void unknown_too_large(finder *f, int device)
{
    for (int w = 0; w < f->van->n_wires; w++) {
        const wire_study *ws = &f->study->wires[w];
        if (!is_compared(f, w, device) || ws->base_ampacity_A > 0) continue;
        if (ws->protector_A <= limit_for(f, "small-circuit")->value) continue;
        finding *n = raise_finding(f, f->van->wires[w].size_place);
        n->grade = GRADE_UNPROVEN;
        add_wire(f, n, w);
        add_item(f, n, element_of(f, device)->item);
        set_value(n, ws->protector_A, NAN, "A");
        set_source(f, n, &ws->ampacity_from);
        SAYS(f, n, "%s protects %s, and the tables do not say what %s with insulation of %s degC bears: unproven.",
             device_words(f, device), f->van->wires[w].label, size_words(ws->size),
             num(f, f->van->wires[w].insulation_K - 273.15));
        MEND(f, n, "Take a size and an insulation rating that the table has.");
    }
}

/* ---- too large: a return that circuits share ---- */

static const char *what_bounds(finder *f, const wire_study *ws)
{
    if (ws->protector_A <= element_of(f, ws->protector)->rating_A * 1.0005)
        return arena_printf(f->arena, "as much as %s lets through", device_words(f, ws->protector));
    return arena_printf(f->arena, "as much as the devices of all %d let through together", ws->n_circuits);
}

static void unknown_shared(finder *f, int w, finding *n)
{
    const wire_study *ws = &f->study->wires[w];
    n->grade = GRADE_UNPROVEN;
    set_value(n, ws->protector_A, NAN, "A");
    set_source(f, n, &ws->ampacity_from);
    SAYS(f, n,
         "The circuits behind %s can push up to %s A through it, and the tables do not say what %s with insulation of "
         "%s "
         "degC bears: unproven.",
         f->van->wires[w].label, num(f, ws->protector_A), size_words(ws->size),
         num(f, f->van->wires[w].insulation_K - 273.15));
    MEND(f, n, "Take a size and an insulation rating that the table has.");
}

static void known_shared(finder *f, int w, finding *n)
{
    const wire_study *ws = &f->study->wires[w];
    const limit *share = limit_for(f, "protector-over-conductor");
    const bool is_over = is_over_rule(f, w);
    conductor_size size;
    if (is_over)
        n->gate = GATE_CLOSE; /* only another conductor mends it */
    else
        n->grade = GRADE_NOTE;
    set_value(n, ws->protector_A, is_over ? allowed_A(f, w) : ws->ampacity_A, "A");
    set_source(f, n, &share->from);
    SAYS(f, n,
         "The circuits behind %s can push up to %s A through it, %s. %s (%s) bears %s A as it is run, and the rule "
         "allows "
         "%s of that, %s A.",
         f->van->wires[w].label, num(f, ws->protector_A), what_bounds(f, ws), f->van->wires[w].label,
         size_words(ws->size), num(f, ws->ampacity_A), limit_printed(share), num(f, allowed_A(f, w)));
    offer_thicker(f, n, w, ws->protector_A);
    if (is_too_warm(f, w))
        mend_too_warm(f, n, w);
    else if (study_size_for_current(f->study, w, ws->protector_A, &size))
        MEND(f, n, "Take %s or thicker for %s.", size_words(size), f->van->wires[w].label);
    else
        MEND(f, n, "Give some of the circuits a return of their own: no size of the tables bears that.");
}

static void hold_shared_returns(finder *f)
{
    for (int w = 0; w < f->van->n_wires; w++) {
        const wire_study *ws = &f->study->wires[w];
        const bool is_known = ws->base_ampacity_A > 0;
        if (ws->n_circuits <= 1 || !(ws->protector_A > 0) || ws->size.series == SIZE_UNSET) continue;
        if (is_known ? !is_over_conductor(f, w) : ws->protector_A <= limit_for(f, "small-circuit")->value) continue;
        finding *n = raise_finding(f, f->van->wires[w].size_place);
        add_wire(f, n, w);
        add_item(f, n, element_of(f, ws->protector)->item);
        if (is_known)
            known_shared(f, w, n);
        else
            unknown_shared(f, w, n);
    }
}

CHECK(protector_too_large)
{
    hold_shared_returns(f);
    for (int e = 0; e < f->study->nets[SEASON_HARD]->n_elements; e++) {
        if (element_of(f, e)->type != ELEMENT_FUSIBLE) continue;
        const too_large over = collect(f, e, is_over_rule);
        if (over.n && !over.steps_down) raise_too_large(f, e, &over);
        const too_large above = collect(f, e, is_over_conductor);
        if (!over.n && above.n) note_too_large(f, e, &above);
        unknown_too_large(f, e);
    }
}

CHECK(protector_upstream_of_smaller_conductor)
{
    for (int e = 0; e < f->study->nets[SEASON_HARD]->n_elements; e++) {
        if (element_of(f, e)->type != ELEMENT_FUSIBLE) continue;
        const too_large over = collect(f, e, is_over_rule);
        if (over.n && over.steps_down) raise_too_large(f, e, &over);
    }
}

/* ---- missing, too far ---- */

static bool is_charger(const finder *f, int i) { return i >= 0 && item_kind(f->van, i)->role == ROLE_CHARGER; }
static bool is_battery(const finder *f, int i) { return i >= 0 && item_kind(f->van, i)->role == ROLE_BATTERY; }

static bool is_output_of_charger(const finder *f, int t)
{
    const terminal *at = &f->van->terminals[t];
    return is_charger(f, at->item) && !strcmp(at->name + strlen(f->van->items[at->item].id), ".out-pos");
}

/* Chargers whose output meets a battery's positive post with no device between them. */
static bool meets_battery_bare(const finder *f, int t)
{
    for (int i = 0; i < f->van->n_items; i++) {
        const int post = is_battery(f, i) ? item_terminal(f->van, i, "pos") : -1;
        if (post >= 0 && f->study->joined[post] == f->study->joined[t]) return true;
    }
    return false;
}

/* The wire at the output of such a charger: that check's own, not one of a missing or distant device. */
static bool is_bare_charger_wire(const finder *f, int w)
{
    const int ends[2] = {f->van->wires[w].from, f->van->wires[w].to};
    for (int k = 0; k < 2; k++)
        if (is_output_of_charger(f, ends[k]) && meets_battery_bare(f, ends[k])) return true;
    return false;
}

CHECK(charger_unprotected_at_battery)
{
    for (int t = 0; t < f->van->n_terminals; t++) {
        if (!is_output_of_charger(f, t) || !meets_battery_bare(f, t)) continue;
        finding *n = raise_finding(f, f->van->items[f->van->terminals[t].item].where);
        add_item(f, n, f->van->terminals[t].item);
        for (int w = 0; w < f->van->n_wires; w++)
            if (f->van->wires[w].from == t || f->van->wires[w].to == t) add_wire(f, n, w);
        set_source(f, n, &limit_for(f, "protector-distance")->from);
        SAYS(f, n,
             "The output of %s reaches the battery with no protective device at the battery's end. The charger limits "
             "its own current; the battery drives up to %s A into a short of that cable.",
             item_words(f, f->van->terminals[t].item), num(f, f->study->prospective_A));
        MEND(f, n, "Put a device at the battery's end, within %s of the post or the bar.",
             limit_printed(limit_for(f, "protector-distance")));
    }
}

CHECK(protector_missing)
{
    for (int i = 0; i < f->van->n_items; i++) {
        int *bare = ARENA_ARRAY(f->arena, int, f->van->n_wires + 1);
        int n_bare = 0;
        double worst_A = 0;
        for (int w = 0; w < f->van->n_wires; w++) {
            const wire_feed *wf = &f->study->feeds->wires[w];
            if (wf->side != SIDE_FEED || wf->source != i || !wf->is_before_protector) continue;
            if (!isinf(wf->to_protector_m) || wf->protector >= 0) continue;
            if (is_charger(f, i) || is_bare_charger_wire(f, w)) continue;
            bare[n_bare++] = w;
            worst_A = fmax(worst_A, f->study->wires[w].worst_A);
        }
        if (!n_bare) continue;
        finding *n = raise_finding(f, f->van->wires[bare[0]].where);
        for (int k = 0; k < n_bare; k++) add_wire(f, n, bare[k]);
        set_value(n, worst_A, NAN, "A");
        set_source(f, n, &limit_for(f, "protector-distance")->from);
        SAYS(f, n, "%s %s fed from %s without any protective device; a short there is fed by the whole battery.",
             labels(f, bare, n_bare), n_bare > 1 ? "are" : "is", item_words(f, i));
        MEND(f, n, "Put a device within %s of %s. %s bears %s A.", limit_printed(limit_for(f, "protector-distance")),
             f->van->items[i].id, f->van->wires[bare[0]].label, num(f, f->study->wires[bare[0]].ampacity_A));
    }
}

static const limit *distance_limit(const finder *f, const wire_feed *wf, grade *how_grave)
{
    *how_grave = GRADE_STOP;
    if (!wf->is_sheathed_all_way) return limit_for(f, "protector-distance");
    const limit *sheathed = limit_for(f, "protector-distance-sheathed");
    const limit *at_post = limit_for(f, "protector-distance-battery");
    if (is_battery(f, wf->source) && wf->to_protector_m <= at_post->value) *how_grave = GRADE_MIND;
    return sheathed;
}

/* One finding for each stretch between a source and its first device. */
CHECK(protector_too_far)
{
    bool *is_done = ARENA_ARRAY(f->arena, bool, f->van->n_wires + 1);
    for (int w = 0; w < f->van->n_wires; w++) {
        const wire_feed *wf = &f->study->feeds->wires[w];
        grade how_grave;
        if (is_done[w] || !wf->is_before_protector || wf->side != SIDE_FEED || is_charger(f, wf->source)) continue;
        const limit *most = distance_limit(f, wf, &how_grave);
        if (isinf(wf->to_protector_m) || is_bare_charger_wire(f, w)) continue;
        if (wf->to_protector_m <= most->value * 1.0005) continue;
        finding *n = raise_finding(f, f->van->wires[w].length_place);
        n->grade = how_grave;
        for (int o = w; o < f->van->n_wires; o++) {
            const wire_feed *of = &f->study->feeds->wires[o];
            if (!of->is_before_protector || of->source != wf->source || of->side != SIDE_FEED) continue;
            if (f->study->joined[f->van->wires[o].from] != f->study->joined[f->van->wires[w].from]) continue;
            if (fabs(of->to_protector_m - wf->to_protector_m) > 1e-9) continue;
            is_done[o] = true;
            add_wire(f, n, o);
        }
        set_value(n, wf->to_protector_m, most->value, "m");
        set_source(f, n, &most->from);
        SAYS(f, n, "From %s to the first protective device it is %s m along %s; at most %s (%s m) is allowed%s.",
             wf->source >= 0 ? item_words(f, wf->source) : "the source", num(f, wf->to_protector_m),
             f->van->wires[w].label, limit_printed(most), num(f, most->value),
             wf->is_sheathed_all_way ? " in a sheath" : " without a sheath");
        MEND(f, n, "Move the device to within %s of the source%s.", limit_printed(most),
             wf->is_sheathed_all_way ? ""
                                     : arena_printf(f->arena, ", or sheathe the whole stretch (then %s)",
                                                    limit_printed(limit_for(f, "protector-distance-sheathed"))));
    }
}

/* ---- too small ---- */

/* A larger device, where all that it protects bears it; else thicker conductors with it. */
static void offer_larger(finder *f, finding *n, int device, double rating_A)
{
    sized_wire *sizes = ARENA_ARRAY(f->arena, sized_wire, (size_t)f->van->n_wires + 1);
    int n_sizes = 0;
    for (int w = 0; w < f->van->n_wires; w++) {
        if (!is_compared(f, w, device) || f->study->wires[w].ampacity_A >= rating_A) continue;
        sizes[n_sizes].wire = w;
        if (!study_size_thicker(f->study, w, rating_A, &sizes[n_sizes++].size)) return;
    }
    offer_rating(f, n, device, rating_A);
    if (!n_sizes) return;
    mend *m = &n->mends.at[n->mends.n - 1];
    const char **words = ARENA_ARRAY(f->arena, const char *, (size_t)n_sizes + 1);
    for (int i = 0; i < n_sizes; i++) {
        words[i] = arena_printf(f->arena, "%s %s", f->van->wires[sizes[i].wire].label, size_words(sizes[i].size));
        mend_size(f, m, sizes[i].wire, sizes[i].size);
    }
    m->says = arena_printf(f->arena, "%s and make %s", m->says, list_words(f, words, n_sizes));
}

static void mend_too_small(finder *f, finding *n, int device, double needed_A)
{
    const double larger_A = rating_at_least(f, device, needed_A);
    if (larger_A > 0 && !f->is_tied) offer_larger(f, n, device, larger_A);
    if (larger_A > 0)
        MEND(f, n, "Take a device of %s A, if what lies behind it bears that, or spread the loads.", num(f, larger_A));
    else
        MEND(f, n, "No rating of this style carries it: take another style, or spread the loads.");
}

CHECK(protector_too_small)
{
    const limit *factor = limit_for(f, "continuous-factor"), *start = limit_for(f, "start-peak");
    for (int e = 0; e < f->study->nets[SEASON_HARD]->n_elements && !f->is_shorted; e++) {
        const net_element *el = element_of(f, e);
        if (el->type != ELEMENT_FUSIBLE || !(el->rating_A > 0)) continue;
        const double carries_A = f->study->element_A[e], peak_A = f->study->element_peak_A[e];
        const bool is_less = carries_A > el->rating_A * 1.0005;
        const bool is_tight = carries_A * factor->value > el->rating_A * 1.0005;
        const bool is_peak = f->study->element_peak_item[e] >= 0 && peak_A > el->rating_A * start->value * 1.0005;
        if (!is_less && !is_tight && !is_peak) continue;
        finding *n = raise_finding(f, f->van->items[el->item].where);
        add_item(f, n, el->item);
        set_positions(f, n, f->study->element_at[e]);
        if (!is_less) n->grade = GRADE_MIND;
        if (is_less || is_tight) {
            set_value(n, carries_A, is_less ? el->rating_A : el->rating_A / factor->value, "A");
            set_source(f, n, &factor->from);
            SAYS(f, n, "%s carries up to %s A; with %s for loads that run for hours it should be at least %s A.",
                 device_words(f, e), num(f, carries_A), limit_printed(factor), num(f, carries_A * factor->value));
            mend_too_small(f, n, e, fmax(carries_A * factor->value, is_peak ? peak_A / start->value : 0));
            continue;
        }
        add_item(f, n, f->study->element_peak_item[e]);
        set_value(n, peak_A, el->rating_A * start->value, "A");
        set_source(f, n, &start->from);
        SAYS(f, n, "The start of %s takes %s through %s A; it bears %s of its rating for a start, %s A.",
             item_words(f, f->study->element_peak_item[e]), device_words(f, e), num(f, peak_A), limit_printed(start),
             num(f, el->rating_A * start->value));
        mend_too_small(f, n, e, peak_A / start->value);
    }
}

/* ---- voltage, interrupting ---- */

CHECK(protector_voltage)
{
    bool *is_done = ARENA_ARRAY(f->arena, bool, f->van->n_items + 1);
    for (int e = 0; e < f->study->nets[SEASON_FULL]->n_elements; e++) {
        const net_element *el = &f->study->nets[SEASON_FULL]->elements[e];
        if (el->type != ELEMENT_FUSIBLE || is_done[el->item]) continue;
        const double asked_V = el->a < f->van->n_terminals ? f->study->terminal_most_V[el->a] : NAN;
        const double meets_V = isnan(asked_V) ? f->study->nominal_V : asked_V;
        if (meets_V <= el->device_voltage_V) continue;
        is_done[el->item] = true;
        finding *n = raise_finding(f, f->van->items[el->item].where);
        add_item(f, n, el->item);
        set_value(n, meets_V, el->device_voltage_V, "V");
        const setting *style = item_setting(f->van, el->item, "style");
        device_style word = DEVICE_BLADE;
        source from = {"the item's own rating, as the file has it", ORIGIN_PRACTICE};
        if (style && style->word && device_style_of(style->word, &word)) device_voltage_V(word, &from);
        set_source(f, n, &from);
        if (!(el->device_voltage_V > 0)) {
            n->grade = GRADE_UNPROVEN;
            n->limit = NAN;
            SAYS(f, n, "%s meets %s V, and nothing says what voltage it can break: unproven.", item_words(f, el->item),
                 num(f, meets_V));
            MEND(f, n, "Find its rated d.c. voltage and write it as `voltage`.");
            continue;
        }
        SAYS(f, n, "%s meets up to %s V and can break %s V.", item_words(f, el->item), num(f, meets_V),
             num(f, el->device_voltage_V));
        MEND(f, n, "Take a device rated for at least %s V d.c.", num(f, meets_V));
    }
}

/* Only the device nearest a battery has to end what the battery drives into a short; those behind it are backed up. */
CHECK(protector_interrupts)
{
    const network *net = f->study->nets[SEASON_FULL];
    for (int b = 0; b < net->n_elements; b++) {
        const net_element *battery = &net->elements[b];
        if (battery->type != ELEMENT_EMF || !(battery->capacity_C > 0) || !(battery->resistance_ohm > 0)) continue;
        const double drives_A = battery->voltage_V / battery->resistance_ohm;
        bool *is_done = ARENA_ARRAY(f->arena, bool, f->van->n_items + 1);
        for (int e = 0; e < net->n_elements; e++) {
            const net_element *el = &net->elements[e];
            if (el->type != ELEMENT_FUSIBLE || is_done[el->item]) continue;
            if (f->study->joined[el->a] != f->study->joined[battery->a] &&
                f->study->joined[el->b] != f->study->joined[battery->a])
                continue;
            if (drives_A <= el->interrupts_A) continue;
            is_done[el->item] = true;
            finding *n = raise_finding(f, f->van->items[el->item].where);
            add_item(f, n, el->item);
            add_item(f, n, battery->item);
            set_value(n, drives_A, el->interrupts_A, "A");
            const setting *style = item_setting(f->van, el->item, "style");
            device_style word = DEVICE_BLADE;
            source from = {"the item's own rating, as the file has it", ORIGIN_PRACTICE};
            if (style && style->word && device_style_of(style->word, &word)) device_interrupts_A(word, &from);
            set_source(f, n, &from);
            const bool is_guessed = item_setting(f->van, battery->item, "resistance") &&
                                    item_setting(f->van, battery->item, "resistance")->is_auto;
            SAYS(f, n, "%s can drive up to %s A into a short (%s V over %s mohm%s), and %s interrupts %s A.",
                 item_words(f, battery->item), num(f, drives_A), num(f, battery->voltage_V),
                 num(f, battery->resistance_ohm * 1000),
                 is_guessed ? ", an order of magnitude for its kind and size" : "", device_words(f, e),
                 num(f, el->interrupts_A));
            MEND(f, n, "Take a device that interrupts at least %s A%s.", num(f, drives_A),
                 is_guessed ? ", or give the battery's `resistance` from its data sheet" : "");
        }
    }
}
