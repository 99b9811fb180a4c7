/* The starter file: what `loomwall new` writes. Every line of it is meant to be changed by its reader, so each says what
 * it is for. */
#include "read/read.h"

#include <ctype.h>
#include <string.h>

const char *scalar_text(const char *text, arena *a)
{
    bool is_plain = isalpha((unsigned char)*text) && strcmp(text, "null") != 0;
    sink s = sink_in(a);
    for (const char *c = text; *c; c++) {
        is_plain = is_plain && (isalnum((unsigned char)*c) || (*c == ' ' && c[1]) || *c == '-');
        if (*c == '\'') sink_add(&s, "'");
        sink_add_n(&s, (unsigned char)*c < 0x20 || *c == 0x7F ? " " : c, 1);
    }
    return is_plain ? text : arena_printf(a, "'%s'", sink_text(&s));
}

/* What depends on the practice. The sizes bear their fuses at 45 degC with room to spare. */
typedef struct local {
    const char *practice, *supply_size, *branch_size;
} local;

const char *starter_text(practice p, double nominal_V, const char *name, arena *a)
{
    static const local locals[] = {[PRACTICE_NORTH_AMERICA] = {"north-america", "6 AWG", "14 AWG"},
                                   [PRACTICE_EUROPE] = {"europe", "16 mm2", "2.5 mm2"}};
    const local *l = &locals[p];
    const char *supply = l->supply_size, *branch = l->branch_size;
    const char *volts = quantity_text(nominal_V, DIMENSION_VOLTAGE, 6, a);
    bool is_high = nominal_V > 18; /* the same pump at twice the voltage takes half the current */
    sink s = sink_in(a);
    sink_printf(&s,
                "# The low-voltage wiring of one van. Change it until it is yours, then ask:\n"
                "#   loomwall judge THIS-FILE      what stands between you and cutting, closing and the first fuse\n"
                "#   loomwall sheets THIS-FILE --out sheets\n"
                "#   loomwall kinds                what an item can be; loomwall kinds NAME tells what it takes\n"
                "# Every quantity has a unit: 3.2 m, 12 ft 6 in, 14 AWG, 2.5 mm2, 45 degC, 100 Ah.\n"
                "# Local codes come first, and work on mains voltage is for licensed people.\n"
                "\n"
                "loomwall: 1                 # the format of this file\n"
                "name: %s\n"
                "practice: %s     # north-america or europe: limits, conductor sizes, colours\n"
                "\n"
                "conditions:                 # the air around the conductors\n"
                "  hottest: 45 degC\n"
                "  coldest: -10 degC\n"
                "\n"
                "items:                      # everything that a wire can end on, each by an id of its own\n"
                "  bank:         {kind: battery, chemistry: agm, capacity: 100 Ah, voltage: %s}\n"
                "  main-fuse:    {kind: fuse, rating: 40 A, style: class-t}   # close to the battery\n"
                "  fuses:        {kind: fuse-block, slots: [5 A, 10 A]}       # one fuse for each circuit\n"
                "  returns:      {kind: busbar, studs: 4}                     # where the negative wires meet\n"
                "\n"
                "  light-switch: {kind: switch, name: Ceiling light}\n"
                "  light:        {kind: led-light, draws: 10 W}\n"
                "  pump-switch:  {kind: switch, name: Water pump}\n"
                "  pump:         {kind: pump, draws: %s, peak: %s}\n"
                "\n",
                scalar_text(*name ? name : "My van", a), l->practice, volts, is_high ? "2 A" : "4 A",
                is_high ? "5 A" : "9 A");
    sink_printf(&s,
                "wires:                      # by label: the wire's name for life, printed on its sleeve\n"
                "  P1: {from: bank.pos,         to: main-fuse.in,      length: 0.15 m, size: %s, colour: red}\n"
                "  P2: {from: main-fuse.out,    to: fuses.in,          length: 0.8 m, size: %s, colour: red}\n"
                "  N1: {from: returns.1,        to: bank.neg,          length: 0.8 m, size: %s, colour: black}\n"
                "\n"
                "  # Leave a size out, or write `size: auto`, and the program chooses one and says why.\n"
                "  P3: {from: fuses.1,          to: light-switch.feed, length: 2.5 m, size: %s, colour: red}\n"
                "  P4: {from: light-switch.out, to: light.pos,         length: 3.0 m, size: %s, colour: red}\n"
                "  N2: {from: light.neg,        to: returns.2,         length: 4.5 m, size: %s, colour: black}\n"
                "\n"
                "  P5: {from: fuses.2,          to: pump-switch.feed,  length: 2.5 m, size: %s, colour: red}\n"
                "  P6: {from: pump-switch.out,  to: pump.pos,          length: 2.0 m, size: %s, colour: red}\n"
                "  N3: {from: pump.neg,         to: returns.3,         length: 3.0 m, size: %s, colour: black}\n",
                supply, supply, supply, branch, branch, branch, branch, branch, branch);
    return sink_text(&s);
}
