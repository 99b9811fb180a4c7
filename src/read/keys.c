/* The tables of keys. See keys.h. */
#include "read/keys.h"

#include "ref/battery.h"
#include "ref/device.h"
#include <math.h>

#define WORD(NAME, word) word,
const char *const practice_words[] = {"north-america", "europe", NULL};
const char *const role_words[] = {ROLES(WORD) NULL};
const char *const chemistry_words[] = {CHEMISTRIES(WORD) NULL};
const char *const curve_words[] = {DEVICE_STYLES(WORD) NULL};

#define ZERO_C 273.15 /* 0 degC in kelvin */

/* ---- the van ---- */

static const key_rule top_rules[] = {
    [top_loomwall] = {"loomwall", HOLDS_COUNT, "the format of the file, which is 1", .is_required = true, .least = 1,
                      .most = 1},
    [top_name] = {"name", HOLDS_TEXT, "the name of the van, for the sheets"},
    [top_revision] = {"revision", HOLDS_TEXT, "which state of the file this is, for the sheets"},
    [top_says] = {"says", HOLDS_TEXT, "anything that you want to note about the van"},
    [top_practice] = {"practice", HOLDS_WORD,
                      "north-america or europe: which limits, conductor series and colours apply", .is_required = true,
                      .words = practice_words},
    [top_conditions] = {"conditions", HOLDS_MAPPING, "the air around the conductors"},
    [top_kinds] = {"kinds", HOLDS_MAPPING, "kinds of your own, by name (docs/kinds.md)"},
    [top_items] = {"items", HOLDS_MAPPING, "everything that a wire can end on, by id", .is_required = true},
    [top_wires] = {"wires", HOLDS_MAPPING, "the conductors, by label: the wire's name for life, printed on its sleeve"},
    [top_unlabelled] = {"unlabelled", HOLDS_LIST, "wires that have no label yet: the program proposes one for each"},
    [top_retired] = {"retired", HOLDS_LIST, "labels that were given once and whose wires are gone: never used again"},
    [top_decided] = {"decided", HOLDS_LIST, "decisions on findings of grade mind"},
};
const key_table top_keys = {"a van file", top_rules, n_top_keys};

static const key_rule conditions_rules[] = {
    [conditions_hottest] = {"hottest", HOLDS_QUANTITY,
                            "the air around the conductors at its hottest; 50 degC if not given",
                            .dimension = DIMENSION_TEMPERATURE, .least = ZERO_C - 60, .most = ZERO_C + 90},
    [conditions_coldest] = {"coldest", HOLDS_QUANTITY, "and at its coldest; -20 degC if not given",
                            .dimension = DIMENSION_TEMPERATURE, .least = ZERO_C - 60, .most = ZERO_C + 90},
};
const key_table conditions_keys = {"`conditions`", conditions_rules, n_conditions_keys};

static const key_rule item_rules[] = {
    [item_kind_key] = {"kind", HOLDS_ID, "a built-in kind (`loomwall kinds` lists them) or one of `kinds:`",
                       .is_required = true},
    [item_name] = {"name", HOLDS_TEXT, "what people call it; the id if not given"},
    [item_says] = {"says", HOLDS_TEXT, "anything that you want to note about it"},
    [item_positions] = {"positions", HOLDS_WORDS,
                        "the positions that it may stand in, its rest position first; all of its kind if not given"},
    [item_never_with] = {"never-with", HOLDS_WORDS,
                         "`other.position`: out of its rest position it never stands together with these"},
    [item_critical] = {"critical", HOLDS_TRUTH, "true: the narrower limit of voltage drop applies"},
    [item_panel] = {"panel", HOLDS_TEXT, "the switch panel that carries it"},
    [item_at] = {"at", HOLDS_LATER, "leave the key out until the file can hold walls"},
    [item_on] = {"on", HOLDS_LATER, "`panel:` names the panel that carries the item"},
};
const key_table item_keys = {"an item", item_rules, n_item_keys};

static const key_rule wire_rules[] = {
    [wire_from] = {"from", HOLDS_TERMINAL,
                   "the terminal, as item.terminal, where it starts; its current counts positive from here",
                   .is_required = true},
    [wire_to] = {"to", HOLDS_TERMINAL, "the terminal, as item.terminal, where it ends", .is_required = true},
    [wire_length] = {"length", HOLDS_QUANTITY,
                     "its length as it runs; while it is not known, every verdict that needs it is unproven",
                     .takes_auto = true, .dimension = DIMENSION_LENGTH, .least = 0.001, .most = 1000},
    [wire_size] = {"size", HOLDS_SIZE, "a size in AWG or mm2; the program chooses one if it is not given",
                   .takes_auto = true},
    [wire_insulation] =
        {"insulation", HOLDS_QUANTITY,
         "temperature rating of its insulation; 80 degC in North America, 70 degC in Europe if not given",
         .dimension = DIMENSION_TEMPERATURE, .least = ZERO_C + 40, .most = ZERO_C + 300},
    [wire_bundled] = {"bundled", HOLDS_COUNT,
                      "how many loaded conductors run touching, itself included; 1 if not given", .least = 1,
                      .most = 1000},
    [wire_sheathed] = {"sheathed", HOLDS_TRUTH,
                       "true: it runs in a sheath or conduit of its own over its whole length"},
    [wire_solid] = {"solid", HOLDS_TRUTH, "true: one solid conductor, not strands"},
    [wire_engine_space] = {"engine-space", HOLDS_TRUTH, "true: it runs through the engine space"},
    [wire_colour] = {"colour", HOLDS_TEXT, "the colour of its insulation"},
    [wire_says] = {"says", HOLDS_TEXT, "anything that you want to note about it"},
    [wire_way] = {"way", HOLDS_LATER, "give the `length`"},
};
const key_table wire_keys = {"a wire", wire_rules, n_wire_keys};

static const key_rule decided_rules[] = {
    [decided_rule] = {"rule", HOLDS_ID, "the rule that the finding names", .is_required = true},
    [decided_where] = {"where", HOLDS_TEXT, "`wire P3`, `item pump` or `terminal pump.neg`, as the finding names it",
                       .is_required = true},
    [decided_why] = {"why", HOLDS_TEXT, "why it is right as it is", .is_required = true},
    [decided_date] = {"date", HOLDS_DATE, "the day of the decision, as 2026-11-25", .is_required = true},
};
const key_table decided_keys = {"a decision", decided_rules, n_decided_keys};

/* ---- kinds ---- */

static const key_rule kind_rules[] = {
    [kind_says] = {"says", HOLDS_TEXT, "what it is, in a line", .is_required = true},
    [kind_role] = {"role", HOLDS_WORD,
                   "what it is for, which is what the checks ask; told by what is inside if not given",
                   .words = role_words},
    [kind_terminals] = {"terminals", HOLDS_LIST, "names of terminals; one of them may be a row, as {row: studs}",
                        .is_required = true},
    [kind_open_allowed] = {"open-allowed", HOLDS_WORDS, "terminals that may be left unconnected on purpose"},
    [kind_takes] = {"takes", HOLDS_MAPPING, "parameters, by name"},
    [kind_positions] = {"positions", HOLDS_WORDS, "the positions it can stand in, its rest position first"},
    [kind_dial] = {"dial", HOLDS_ID, "the parameter, a fraction, that its position sets: then it has no `positions`"},
    [kind_nodes] = {"nodes", HOLDS_WORDS, "inner nodes"},
    [kind_inside] = {"inside", HOLDS_MAPPING, "elements, by name", .is_required = true},
    [kind_motor] = {"motor", HOLDS_TRUTH, "true: its current can't be chopped without a diode"},
    [kind_critical] = {"critical", HOLDS_TRUTH, "true: the narrower limit of voltage drop applies"},
    [kind_fits] = {"fits", HOLDS_MAPPING, "what a terminal takes, by terminal"},
    [kind_symbol] = {"symbol", HOLDS_TEXT, "the graphical symbol that draws it; a box with its name if not given"},
};
const key_table kind_keys = {"a kind", kind_rules, n_kind_keys};

static const key_rule takes_rules[] = {
    [takes_in] = {"in", HOLDS_WORDS, "a unit of its dimension (or a list of such units), `count` or `truth`"},
    [takes_default] = {"default", HOLDS_VALUE,
                       "what stands when an item does not give it; another $parameter; or `auto`"},
    [takes_least] = {"least", HOLDS_VALUE, "the least that is allowed"},
    [takes_most] = {"most", HOLDS_VALUE, "the most that is allowed"},
    [takes_choices] = {"choices", HOLDS_WORDS, "the words that it may be, in place of `in`"},
    [takes_list] = {"list", HOLDS_TRUTH, "true: a list with one value for each terminal of the row"},
    [takes_says] = {"says", HOLDS_TEXT, "what it is for"},
    [takes_from] = {"from", HOLDS_TEXT, "where the default comes from"},
};
const key_table takes_keys = {"a parameter", takes_rules, n_takes_keys};

static const key_rule fits_rules[] = {
    [fits_smallest] = {"smallest", HOLDS_SIZE, "the smallest conductor that it takes"},
    [fits_largest] = {"largest", HOLDS_SIZE, "the largest conductor that it takes"},
    [fits_conductors] = {"conductors", HOLDS_COUNT, "how many conductors it takes", .least = 1, .most = 100},
    [fits_by] = {"by", HOLDS_TEXT, "what makes the joint, as `M8 stud` or `6.3 mm tab`"},
    [fits_from] = {"from", HOLDS_TEXT, "where this comes from"},
};
const key_table fits_keys = {"an entry of `fits`", fits_rules, n_fits_keys};

static const key_rule inside_rules[] = {
    [inside_kind] = {"kind", HOLDS_ID, "a primitive element, or another kind", .is_required = true},
    [inside_between] = {"between", HOLDS_WORDS,
                        "[a, b]: two terminals or inner nodes; current counts positive from a to b"},
    [inside_closed_in] = {"closed-in", HOLDS_WORDS, "the positions in which the contact joins a and b"},
    [inside_moves] = {"moves", HOLDS_ID, "the position in which the item stands while the coil is pulled in"},
    [inside_to] = {"to", HOLDS_WORDS, "[a, b]: the terminals between which the transfer holds its voltage"},
    [inside_joins] = {"joins", HOLDS_MAPPING,
                      "the terminals of the other kind, each with a terminal or node of this one"},
};
const key_table inside_keys = {"an element", inside_rules, n_inside_keys};

/* ---- elements ---- */

static const struct {
    const char *says;
    unsigned inside_keys;
} elements[] = {
    [ELEMENT_CONDUCTOR] = {"a fixed resistance", 0},
    [ELEMENT_EMF] = {"a source with inner resistance: a is its positive terminal", 0},
    [ELEMENT_CONTACT] = {"joins a and b in the positions named", 1u << inside_closed_in},
    [ELEMENT_FUSIBLE] = {"a conductor that opens when its current lasts too long", 0},
    [ELEMENT_LOAD] =
        {"takes a constant power, current or resistance; below `stops-below` it is off until `starts-above`", 0},
    [ELEMENT_LAMP] = {"a resistance that takes `draws` at `at` volts, either way round", 0},
    [ELEMENT_DIODE] = {"conducts from a to b", 0},
    [ELEMENT_CHOPPER] = {"joins a and b for the fraction `duty` of the time, fast; 0 % is open, 100 % is closed", 0},
    [ELEMENT_COIL] = {"while it is pulled in, the item stands in the position `moves`", 1u << inside_moves},
    [ELEMENT_TRANSFER] = {"takes power at a and b and holds `voltage` between the two terminals of `to`, up to `limit`",
                          1u << inside_to},
};
const char *element_says(element_type e) { return elements[e].says; }
unsigned element_inside_keys(element_type e) { return elements[e].inside_keys; }

#define IN1(d) .dimensions = {DIMENSION_##d}, .n_dimensions = 1
#define IN2(d, e) .dimensions = {DIMENSION_##d, DIMENSION_##e}, .n_dimensions = 2
#define IN3(d, e, f) .dimensions = {DIMENSION_##d, DIMENSION_##e, DIMENSION_##f}, .n_dimensions = 3
const element_rule element_rules[] = {
    {ELEMENT_CONDUCTOR, KEY_RESISTANCE, true, IN1(RESISTANCE), .says = "its resistance"},
    {ELEMENT_EMF, KEY_VOLTAGE, true, .is_positive = true, IN1(VOLTAGE),
     .says = "at its terminals while nothing is drawn; with `chemistry`, the nominal voltage of the battery"},
    {ELEMENT_EMF, KEY_RESISTANCE, false, IN1(RESISTANCE),
     .says = "inside the source; with `chemistry`, from the table if auto"},
    {ELEMENT_EMF, KEY_CHEMISTRY, false, .words = chemistry_words,
     .says = "its rest voltage follows the table of this chemistry by state of charge"},
    {ELEMENT_EMF, KEY_CAPACITY, false, .is_positive = true, IN1(CHARGE), .says = "what it gives from full to empty"},
    {ELEMENT_CONTACT, KEY_RESISTANCE, false, IN1(RESISTANCE), .says = "while it is closed"},
    {ELEMENT_CONTACT, KEY_RATING, false, IN1(CURRENT), .says = "the current that it may carry and break"},
    {ELEMENT_FUSIBLE, KEY_RATING, true, .is_positive = true, IN1(CURRENT),
     .says = "the current that it carries without end"},
    {ELEMENT_FUSIBLE, KEY_RESISTANCE, false, IN1(RESISTANCE), .says = "cold"},
    {ELEMENT_FUSIBLE, KEY_CURVE, false, .words = curve_words, .says = "table of time against current, by style"},
    {ELEMENT_FUSIBLE, KEY_INTERRUPTS, false, IN1(CURRENT), .says = "the largest current that it can interrupt"},
    {ELEMENT_FUSIBLE, KEY_VOLTAGE, false, IN1(VOLTAGE), .says = "the highest that it can interrupt against"},
    {ELEMENT_LOAD, KEY_POWER, false, IN1(POWER), .says = "it takes this power at any voltage"},
    {ELEMENT_LOAD, KEY_CURRENT, false, IN1(CURRENT), .says = "it takes this current at any voltage"},
    {ELEMENT_LOAD, KEY_RESISTANCE, false, IN1(RESISTANCE), .says = "it is a resistance"},
    {ELEMENT_LOAD, KEY_DRAWS, false, .is_positive = true, IN3(CURRENT, POWER, RESISTANCE),
     .says = "one of the three above by its unit; a power together with `at` means the resistance at^2 / power"},
    {ELEMENT_LOAD, KEY_AT, false, .is_positive = true, IN1(VOLTAGE),
     .says = "the voltage at which it takes `draws`: it is a resistance"},
    {ELEMENT_LOAD, KEY_PEAK, false, IN1(CURRENT), .says = "the most that it takes for a moment when it starts"},
    {ELEMENT_LOAD, KEY_STOPS_BELOW, false, IN1(VOLTAGE), .says = "below this it turns itself off"},
    {ELEMENT_LOAD, KEY_STARTS_ABOVE, false, IN1(VOLTAGE), .says = "and on again above this"},
    {ELEMENT_LAMP, KEY_DRAWS, true, .is_positive = true, IN2(CURRENT, POWER), .says = "what it takes at `at`"},
    {ELEMENT_LAMP, KEY_AT, true, .is_positive = true, IN1(VOLTAGE), .says = "the voltage it is made for"},
    {ELEMENT_LAMP, KEY_LIGHTS_ABOVE, false, IN1(VOLTAGE),
     .says = "from here on the eye sees it; half of `at` if not given"},
    {ELEMENT_DIODE, KEY_DROP, false, IN1(VOLTAGE), .says = "forward voltage; 0 V if not given"},
    {ELEMENT_DIODE, KEY_RESISTANCE, false, IN1(RESISTANCE), .says = "in series while it conducts"},
    {ELEMENT_CHOPPER, KEY_DUTY, true, IN1(FRACTION), .says = "the fraction of the time for which it is closed"},
    {ELEMENT_CHOPPER, KEY_RESISTANCE, false, IN1(RESISTANCE), .says = "while it is closed"},
    {ELEMENT_COIL, KEY_RESISTANCE, true, .is_positive = true, IN1(RESISTANCE), .says = "of the winding"},
    {ELEMENT_COIL, KEY_PULLS_ABOVE, true, .is_positive = true, IN1(VOLTAGE), .says = "it pulls in above this"},
    {ELEMENT_COIL, KEY_DROPS_BELOW, true, IN1(VOLTAGE), .says = "and drops out below this"},
    {ELEMENT_TRANSFER, KEY_VOLTAGE, true, .is_positive = true, IN1(VOLTAGE),
     .says = "what it holds between the terminals of `to`"},
    {ELEMENT_TRANSFER, KEY_EFFICIENCY, false, .is_positive = true, IN1(FRACTION),
     .says = "power out over power in, standby apart"},
    {ELEMENT_TRANSFER, KEY_STANDBY, false, IN1(POWER), .says = "what it takes while it gives nothing"},
    {ELEMENT_TRANSFER, KEY_LIMIT, false, IN2(POWER, CURRENT),
     .says = "the most that it gives: a power, or a current at `to`"},
    {ELEMENT_TRANSFER, KEY_STOPS_BELOW, false, IN1(VOLTAGE), .says = "below this at a and b it turns itself off"},
    {ELEMENT_TRANSFER, KEY_STARTS_ABOVE, false, IN1(VOLTAGE), .says = "and on again above this"},
};
const int n_element_rules = sizeof element_rules / sizeof element_rules[0];

const element_rule *element_rule_of(element_type e, element_key k)
{
    for (int i = 0; i < n_element_rules; i++)
        if (element_rules[i].element == e && element_rules[i].key == k) return &element_rules[i];
    return NULL;
}

/* ---- for the manual ---- */

static const char *words_text(arena *a, const char *const *words)
{
    sink s = sink_in(a);
    for (int i = 0; words[i]; i++) sink_printf(&s, "%s`%s`", i ? ", " : "", words[i]);
    return sink_text(&s);
}

static const char *holds_text(arena *a, const key_rule *k)
{
    static const char *const says[] = {
#define X(NAME, text) text,
        HOLDS(X)
#undef X
    };
    switch (k->holds) {
    case HOLDS_WORD:
        return words_text(a, k->words);
    case HOLDS_QUANTITY:
        return arena_printf(a, "%s, %s%s", dimension_name(k->dimension), range_text(a, k->dimension, k->least, k->most),
                            k->takes_auto ? ", or `auto`" : "");
    case HOLDS_SIZE:
        return arena_printf(a, "%s%s", says[k->holds], k->takes_auto ? ", or `auto`" : "");
    case HOLDS_COUNT:
        return k->least == k->most ? arena_printf(a, "%.0f", k->least)
                                   : arena_printf(a, "whole number, %.0f to %.0f", k->least, k->most);
    default:
        return says[k->holds];
    }
}

static void table_text(sink *s, const char *title, const key_table *t)
{
    sink_printf(s, "### %s\n\n| key | holds | meaning |\n| --- | --- | --- |\n", title);
    for (int i = 0; i < t->n; i++)
        sink_printf(s, "| `%s`%s | %s | %s |\n", t->rules[i].name, t->rules[i].is_required ? " (required)" : "",
                    holds_text(s->arena, &t->rules[i]), t->rules[i].says);
    sink_add(s, "\n");
}

static void elements_text(sink *s)
{
    sink_add(s, "### Elements\n\n| element | key | holds | meaning |\n| --- | --- | --- | --- |\n");
    for (int e = 0; e < N_ELEMENTS; e++) {
        sink_printf(s, "| `%s` | | | %s |\n", element_type_word((element_type)e), elements[e].says);
        for (int i = 0; i < n_element_rules; i++) {
            const element_rule *r = &element_rules[i];
            if (r->element != (element_type)e) continue;
            sink_printf(s, "| | `%s`%s | ", element_key_word(r->key), r->is_required ? " (required)" : "");
            if (!r->n_dimensions) sink_add(s, words_text(s->arena, r->words));
            for (int d = 0; d < r->n_dimensions; d++)
                sink_printf(s, "%s%s", d ? " or " : "", dimension_name(r->dimensions[d]));
            sink_printf(s, " | %s |\n", r->says);
        }
    }
}

const char *keys_text(arena *a)
{
    sink s = sink_in(a);
    table_text(&s, "The file", &top_keys);
    table_text(&s, "`conditions`", &conditions_keys);
    table_text(&s, "An item", &item_keys);
    table_text(&s, "A wire", &wire_keys);
    table_text(&s, "A decision", &decided_keys);
    table_text(&s, "A kind", &kind_keys);
    table_text(&s, "A parameter", &takes_keys);
    table_text(&s, "An entry of `fits`", &fits_keys);
    table_text(&s, "An element of `inside`", &inside_keys);
    elements_text(&s);
    return sink_text(&s);
}
