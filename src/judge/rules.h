/* The rules: one entry a check. The table makes the enum, the declarations of the checks and what `why` prints.
 *
 * R(name, id, gate, grade, means, matters, limits, mends) */
#ifndef JUDGE_RULES_H
#define JUDGE_RULES_H

#define RULES(R)                                                                                                       \
    R(unproven_positions, "unproven-positions", CUT, UNPROVEN,                                                         \
      "Not every combination of switch positions could be worked out, so no verdict that rests on them is proven.",    \
      "What was not worked out may be the one position in which something burns.", "",                                 \
      "Say with `positions` and `never-with` what can't occur, so that fewer combinations remain.")                    \
    R(length_unknown, "length-unknown", CLOSE, UNPROVEN,                                                               \
      "The length of a wire is not known, so the wire is left out and whatever it feeds is unproven.",                 \
      "Voltage drop and short-circuit current depend on the length.", "",                                              \
      "Measure the run from terminal to terminal, with slack, and write it as `length`.")                              \
    R(short_circuit, "short-circuit", CLOSE, STOP,                                                                     \
      "The two poles of a source are joined by nothing but conductors and closed contacts.",                           \
      "The full current of the battery flows: conductors glow, contacts weld, and a fuse may burst.", "",              \
      "Take away the wire that joins feed and return, or put it on the terminal that was meant.")                      \
    R(sources_contradict, "sources-contradict", CLOSE, STOP,                                                           \
      "Sources or shorts contradict each other, so that no voltages satisfy all of them.",                             \
      "In the van one of them would lose, with a current that nothing limits.", "",                                    \
      "Separate the sources, or mend the connection that joins them.")                                                 \
    R(no_operating_point, "no-operating-point", CLOSE, STOP,                                                           \
      "A load asks for more power than its wiring can carry at all: there is no voltage at which it would run.",       \
      "It starts, pulls its voltage down, stops, and starts again; conductors get hot meanwhile.", "",                 \
      "Take a thicker conductor where most is lost, or a shorter run.")                                                \
    R(relay_chatters, "relay-chatters", CLOSE, STOP,                                                                   \
      "A relay or a cut-out switches itself off and on without end: when it is on, its voltage falls below what it "   \
      "needs to stay on.",                                                                                             \
      "Contacts burn and loads are damaged by the constant starting.", "",                                             \
      "Feed the coil from a point that its own contact does not switch, or take thicker conductors.")                  \
    R(item_not_connected, "item-not-connected", CLOSE, STOP, "An item stands in the file and no wire goes to it.",     \
      "Its wires are forgotten, and after the wall is closed they can't be added.", "",                                \
      "Add its wires, or take the item out of the file.")                                                              \
    R(item_floating, "item-floating", CLOSE, STOP,                                                                     \
      "Items are wired to each other, and no path leads to a source in any position.", "They can't work.", "",         \
      "Add the missing connection.")                                                                                   \
    R(terminal_open, "terminal-open", CLOSE, STOP, "A terminal has no wire, and its kind does not allow that.",        \
      "The item does not work, or a part of it is not protected.", "",                                                 \
      "Add the wire. Where the terminal is free on purpose, its kind must say so with `open-allowed`.")                \
    R(polarity_swapped, "polarity-swapped", CLOSE, STOP, "Feed and return are the wrong way round at an item.",        \
      "Electronics die at once, pumps and fans run backwards.", "", "Swap the two wires.")                             \
    R(load_never_runs, "load-never-runs", CLOSE, STOP, "In no allowed position does a load get a voltage.",            \
      "Something is connected where it was not meant to be.", "",                                                      \
      "Follow its feed from the supply and its return back to it.")                                                    \
    R(wire_does_nothing, "wire-does-nothing", CLOSE, MIND, "No position sends a current through a wire.",              \
      "Either it is on the wrong terminal, or it is one more thing behind the wall that can fail.", "",                \
      "Put it on the terminal that was meant, or leave it out.")                                                       \
    R(conductor_overloaded, "conductor-overloaded", CLOSE, STOP,                                                       \
      "A conductor carries more than it bears, corrected for its insulation, the air around it, the conductors that "  \
      "it is bundled with and an engine space; where the current is chopped, its rms value counts.",                   \
      "Its insulation softens and ages, and behind a wall nobody sees it.", "small-circuit engine-space-air",          \
      "Take the size that is named, insulation of a higher rating, or fewer conductors in the bundle.")                \
    R(size_below_minimum, "size-below-minimum", CLOSE, STOP,                                                           \
      "A conductor is smaller than the practice allows for one that is run like this.",                                \
      "It breaks before it burns: a thin conductor does not bear vibration and handling.",                             \
      "least-size-single least-size-sheathed small-circuit",                                                           \
      "Take the smallest size that is allowed, or run it in a sheath with others.")                                    \
    R(protector_upstream_of_smaller_conductor, "protector-upstream-of-smaller-conductor", CLOSE, STOP,                 \
      "Conductor sizes step down behind a protective device, which suits the thick ones and not the thin ones.",       \
      "A short at the end of the thin conductor heats it until it burns; the device does not notice.",                 \
      "protector-over-conductor", "Keep the size to the end, or protect the thin conductor where it starts.")          \
    R(protector_too_large, "protector-too-large", LIVE, STOP,                                                          \
      "A protective device lets through more than the conductors behind it bear.",                                     \
      "A short or a jammed motor heats the conductor until it burns; the device does not notice.",                     \
      "protector-over-conductor",                                                                                      \
      "Take a smaller device, or thicker conductors. The rule of the practice leaves room above what a conductor "     \
      "bears; in that room the finding is a note.")                                                                    \
    R(protector_missing, "protector-missing", CUT, STOP, "A feed has no protective device between it and a source.",   \
      "Whatever is shorted there, the battery drives its full current until something burns through.",                 \
      "protector-distance",                                                                                            \
      "Put a device at the source end of the feed; it must not let through more than the conductor bears.")            \
    R(protector_too_far, "protector-too-far", CLOSE, STOP,                                                             \
      "The first protective device is too far along the conductor from its source.",                                   \
      "The stretch before the device is protected by nothing.",                                                        \
      "protector-distance protector-distance-sheathed protector-distance-battery",                                     \
      "Move the device to the source, or sheathe the stretch over its whole length where the longer limit does.")      \
    R(charger_unprotected_at_battery, "charger-unprotected-at-battery", CUT, STOP,                                     \
      "The output of a charger reaches a battery without a protective device at the battery's end.",                   \
      "The charger limits its own current, the battery does not: a short in that cable is fed by the battery.",        \
      "protector-distance", "Put a device at the battery's end of the cable.")                                         \
    R(protector_too_small, "protector-too-small", LIVE, STOP,                                                          \
      "A protective device is smaller than what it must carry: less than the current itself (stop), less than the "    \
      "current with the factor for loads that run for hours, or less than a start peak (both mind). All loads are "    \
      "taken to run for hours.",                                                                                       \
      "It opens in use, or ages until it does.", "continuous-factor start-peak",                                       \
      "Take the rating that is named, if the conductor bears it, or spread the loads.")                                \
    R(protector_voltage, "protector-voltage", CUT, STOP,                                                               \
      "A protective device is made for a lower voltage than it meets.",                                                \
      "It opens, and the arc goes on burning inside it.", "", "Take a device that is rated for the voltage.")          \
    R(protector_interrupts, "protector-interrupts", CUT, MIND,                                                         \
      "The battery can drive more current into a short than its first protective device can interrupt. The current "   \
      "is the battery's voltage over its inner resistance, so it is an upper bound.",                                  \
      "The device may burst instead of opening.", "",                                                                  \
      "Take a device that interrupts more (class T), or give the battery's resistance from its data sheet.")           \
    R(drop_critical, "drop-critical", CLOSE, STOP,                                                                     \
      "The wiring of a critical load loses more than the practice allows.",                                            \
      "It fails when the battery is low, which is when it is needed.", "drop-critical",                                \
      "Take a thicker conductor where most is lost.")                                                                  \
    R(drop_other, "drop-other", CLOSE, MIND, "The wiring of a load loses more than the practice allows.",              \
      "Lights are dim, motors start badly, and the lost power heats the wiring. It is a stop where the load falls "    \
      "below the voltage that it needs.",                                                                              \
      "drop-other load-needs", "Take a thicker conductor where most is lost.")                                         \
    R(load_voltage_low, "load-voltage-low", CLOSE, STOP,                                                               \
      "In its worst positions, with the battery low and the conductors hot, a load gets less voltage than it needs, "  \
      "although its wiring keeps within the allowed drop.",                                                            \
      "It stops, or switches itself off and on.", "load-needs battery-low",                                            \
      "Take thicker conductors, a battery that holds its voltage, or a load that needs less.")                         \
    R(load_over_voltage, "load-over-voltage", LIVE, STOP,                                                              \
      "A load gets much more than the voltage that it is made for.", "It overheats or dies.", "load-bears",            \
      "Take a load for this voltage, or a converter.")                                                                 \
    R(switch_overloaded, "switch-overloaded", CUT, STOP,                                                               \
      "The contacts of a switch carry more than they are rated for.", "They weld or burn.", "",                        \
      "Take a switch with a higher rating, or let it switch a relay.")                                                 \
    R(relay_overloaded, "relay-overloaded", CUT, STOP, "The contacts of a relay carry more than they are rated for.",  \
      "They weld: the load can't be switched off any more.", "", "Take a relay with a higher rating.")                 \
    R(dimmer_overloaded, "dimmer-overloaded", CUT, STOP, "A dimmer carries more than it is rated for.",                \
      "It overheats, and fails closed.", "", "Take a dimmer with a higher rating, or split the lights.")               \
    R(outlet_overloaded, "outlet-overloaded", CUT, STOP,                                                               \
      "What is assumed to be plugged in draws more than the outlet is rated for.", "Plug and socket overheat.", "",    \
      "Take an outlet with a higher rating, or plug in less.")                                                         \
    R(busbar_overloaded, "busbar-overloaded", CUT, STOP, "A stud of a bar carries more than the bar is rated for.",    \
      "The bar and its studs overheat.", "", "Take a bar with a higher rating, or share the current between two.")     \
    R(block_overloaded, "block-overloaded", CUT, STOP, "A fuse block carries more than the whole of it is rated for.", \
      "Its common bar overheats.", "", "Take a block with a higher rating, or share the circuits between two.")        \
    R(slots_over_block, "slots-over-block", CUT, MIND,                                                                 \
      "The fuses of a block add up to more than the block is rated for. It is a note where a device upstream keeps "   \
      "the whole within the rating.",                                                                                  \
      "All fuses together would let more through than the block bears.", "",                                           \
      "Put a device of at most the block's rating before it, or take smaller fuses.")                                  \
    R(shunt_overloaded, "shunt-overloaded", CUT, STOP,                                                                 \
      "The battery monitor's shunt carries more than it is rated for.", "It overheats, and the monitor reads wrong.",  \
      "", "Take a shunt with a higher rating.")                                                                        \
    R(fed_twice, "fed-twice", CLOSE, STOP,                                                                             \
      "What lies behind two protective devices in different circuits can be fed through both of them at once.",        \
      "A short there is fed by both, more than its conductors are protected for, and one switch no longer turns it "   \
      "off.",                                                                                                          \
      "", "Take away the wire that joins the two circuits, or select between the feeds with a changeover.")            \
    R(runs_while_off, "runs-while-off", CLOSE, STOP, "A load runs while its own switch is off.",                       \
      "Nobody expects it to: it drains the battery, and it is live under the hands of whoever works on it.",           \
      "off-voltage", "Find the second path to it and take it away.")                                                   \
    R(live_while_off, "live-while-off", CLOSE, STOP, "A load has a voltage while its own switch is off.",              \
      "It is fed backwards through something else.", "off-voltage", "Find the second path to it and take it away.")    \
    R(glows_while_off, "glows-while-off", CLOSE, MIND, "A switch's own lamp is lit while the switch is off.",          \
      "It shows the opposite of what is.", "", "Put the lamp's return on the common return.")                          \
    R(lamp_dark_by_mistake, "lamp-dark-by-mistake", CLOSE, MIND,                                                       \
      "A lamp is wired and never lights, although its circuit is live. A lamp whose terminal is left open, which its " \
      "kind allows, is dark on purpose and not meant here.",                                                           \
      "It says off while the circuit is on.", "",                                                                      \
      "Put the lamp's return on the common return, or leave it off on purpose.")                                       \
    R(lamp_lit_at_rest, "lamp-lit-at-rest", LIVE, NOTE, "Lamps stay lit while everything stands at rest.",             \
      "They draw from the battery, and light the van at night.", "", "Nothing needs mending if that is meant.")        \
    R(dimmer_bypassed, "dimmer-bypassed", CLOSE, STOP,                                                                 \
      "The two sides of a dimmer are joined, mostly because a light's return also reaches the common return.",         \
      "The light is fully on in every position, and can't be dimmed or put out there.", "",                            \
      "Let the return of a dimmed light go to the dimmer and nowhere else.")                                           \
    R(load_on_wrong_side_of_dimmer, "load-on-wrong-side-of-dimmer", CLOSE, STOP,                                       \
      "A dimmer has no load on its switched side, and a load that it should dim is beside it.",                        \
      "The light is not dimmed.", "", "Put the load's return on the dimmer's load terminal.")                          \
    R(motor_on_chopper_without_diode, "motor-on-chopper-without-diode", CLOSE, STOP,                                   \
      "A motor is chopped, and no diode takes over its current while the chopper is open.",                            \
      "Each time the chopper opens, the motor drives a voltage peak into it until it fails.", "",                      \
      "Put a diode across the motor, or don't dim it.")                                                                \
    R(return_bypasses_shunt, "return-bypasses-shunt", CLOSE, MIND,                                                     \
      "A return reaches the battery without passing the monitor's shunt.",                                             \
      "The monitor does not count that current, and tells a charge that is not there.", "",                            \
      "Put the return on the load side of the shunt.")                                                                 \
    R(sources_tied, "sources-tied", CLOSE, STOP,                                                                       \
      "Batteries that differ in chemistry, voltage or capacity are joined at both posts without isolation.",           \
      "One drains into the other, with a current that only their resistance limits.", "",                              \
      "Put a relay or a charger between them.")                                                                        \
    R(hidden_joint, "hidden-joint", CLOSE, MIND, "A joint is hidden once the wall is closed.",                         \
      "Joints fail before conductors do, and this one can't be looked at.", "",                                        \
      "Run the conductor in one piece, or put the joint where it can be reached.")                                     \
    R(too_many_on_terminal, "too-many-on-terminal", CLOSE, MIND,                                                       \
      "A terminal has more conductors than it takes. It is a stop where the kind states what it takes, and mind "      \
      "where only the usual limit of a stud is passed.",                                                               \
      "The lowest one loosens, gets hot, and takes the rest with it.", "stud-conductors",                              \
      "Use another stud or a bar.")                                                                                    \
    R(size_does_not_fit_terminal, "size-does-not-fit-terminal", CLOSE, STOP,                                           \
      "A terminal does not take a conductor of this size.",                                                            \
      "Strands get cut off or the clamp does not hold: a bad joint gets hot.", "",                                     \
      "Take a size that the terminal takes, or a short tail of such a size over a bar.")                               \
    R(colour_departs, "colour-departs", CLOSE, MIND,                                                                   \
      "Conductors have a colour that the practice does not give to their use.",                                        \
      "Whoever opens the wall in ten years takes a feed for a return.", "",                                            \
      "Take a colour of the practice, or mark both ends.")                                                             \
    R(size_chosen, "size-chosen", CLOSE, NOTE, "The size of a wire was left to the program, which chose this one.",    \
      "It is a size to buy and to sleeve, and it changes when the van changes until it is written down.", "",          \
      "Write it as `size` once it is bought.")                                                                         \
    R(standby_drain, "standby-drain", LIVE, NOTE,                                                                      \
      "What the battery loses while everything stands at rest. It is mind where the battery bears it for less than "   \
      "the limit.",                                                                                                    \
      "The van is found with an empty battery.", "standby-days usable-charge-lfp usable-charge-lead-acid",             \
      "Put what draws behind a main switch, or decide that it is meant.")                                              \
    R(decision_without_finding, "decision-without-finding", LIVE, NOTE,                                                \
      "A decision in the file answers no finding that can be decided.",                                                \
      "It is out of date, names the wrong place, or tries to decide a stop.", "",                                      \
      "Take it out of the file, or correct its rule and where.")

typedef enum rule_name {
#define R(name, id, gate, grade, means, matters, limits, mends) RULE_##name,
    RULES(R)
#undef R
        N_RULES
} rule_name;

#endif
