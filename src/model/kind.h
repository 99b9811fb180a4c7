/* A kind: what an item is, as data. A small network of primitive elements between named terminals, with parameters.
 *
 * Kinds come from kinds/ (built in) and from `kinds:` of the van file, in one language (docs/kinds.md). A kind may
 * hold other kinds; the reader has flattened that by the time it stands here, so `elements` are primitive. */
#ifndef MODEL_KIND_H
#define MODEL_KIND_H

#include "base/report.h"
#include "ref/source.h"
#include "units/quantity.h"

/* Primitive elements. X(NAME, word) */
#define ELEMENTS(X)                                                                                                    \
    X(CONDUCTOR, "conductor")                                                                                          \
    X(EMF, "emf")                                                                                                      \
    X(CONTACT, "contact")                                                                                              \
    X(FUSIBLE, "fusible")                                                                                              \
    X(LOAD, "load")                                                                                                    \
    X(LAMP, "lamp")                                                                                                    \
    X(DIODE, "diode")                                                                                                  \
    X(CHOPPER, "chopper")                                                                                              \
    X(COIL, "coil")                                                                                                    \
    X(TRANSFER, "transfer")
typedef enum element_type {
#define X(NAME, word) ELEMENT_##NAME,
    ELEMENTS(X)
#undef X
        N_ELEMENTS
} element_type;
const char *element_type_word(element_type t);

/* Keys of elements that hold a value. X(NAME, word). Which element takes which is a table in read/. */
#define ELEMENT_KEYS(X)                                                                                                \
    X(RESISTANCE, "resistance")                                                                                        \
    X(VOLTAGE, "voltage")                                                                                              \
    X(RATING, "rating")                                                                                                \
    X(CURVE, "curve")                                                                                                  \
    X(INTERRUPTS, "interrupts")                                                                                        \
    X(POWER, "power")                                                                                                  \
    X(CURRENT, "current")                                                                                              \
    X(DRAWS, "draws")                                                                                                  \
    X(PEAK, "peak")                                                                                                    \
    X(STOPS_BELOW, "stops-below")                                                                                      \
    X(STARTS_ABOVE, "starts-above")                                                                                    \
    X(AT, "at")                                                                                                        \
    X(LIGHTS_ABOVE, "lights-above")                                                                                    \
    X(DROP, "drop")                                                                                                    \
    X(DUTY, "duty")                                                                                                    \
    X(PULLS_ABOVE, "pulls-above")                                                                                      \
    X(DROPS_BELOW, "drops-below")                                                                                      \
    X(EFFICIENCY, "efficiency")                                                                                        \
    X(STANDBY, "standby")                                                                                              \
    X(LIMIT, "limit")                                                                                                  \
    X(CHEMISTRY, "chemistry")                                                                                          \
    X(CAPACITY, "capacity")
typedef enum element_key {
#define X(NAME, word) KEY_##NAME,
    ELEMENT_KEYS(X)
#undef X
        N_ELEMENT_KEYS
} element_key;
const char *element_key_word(element_key k);

/* A value in a kind: not given, a number (SI), a word, or a parameter of the kind. */
typedef enum value_form { VALUE_NONE, VALUE_NUMBER, VALUE_WORD, VALUE_PARAMETER } value_form;
typedef struct value {
    value_form form;
    double number;
    dimension dimension;
    const char *word;
    int parameter; /* index into kind.parameters */
} value;

/* What an item is for, which is what the checks ask. One role a kind (`role:`). X(NAME, word) */
#define ROLES(X)                                                                                                       \
    X(OTHER, "other")                                                                                                  \
    X(BATTERY, "battery")                                                                                              \
    X(PROTECTION, "protection")                                                                                        \
    X(SPREADER, "spreader") /* busbar, joint */                                                                        \
    X(SHUNT, "shunt")                                                                                                  \
    X(CHASSIS, "chassis")                                                                                              \
    X(SWITCH, "switch")                                                                                                \
    X(RELAY, "relay")                                                                                                  \
    X(DIMMER, "dimmer")                                                                                                \
    X(LOAD, "load")                                                                                                    \
    X(OUTLET, "outlet")                                                                                                \
    X(CHARGER, "charger")                                                                                              \
    X(INVERTER, "inverter")                                                                                            \
    X(MEASURE, "measure")
typedef enum role {
#define X(NAME, word) ROLE_##NAME,
    ROLES(X)
#undef X
        N_ROLES
} role;
const char *role_word(role r);

/* What one entry of an element's `between` names: a terminal, one of a row of terminals (the element is repeated for
 * each), an inner node of the kind. */
typedef enum end_form { END_TERMINAL, END_ROW, END_INNER } end_form;
typedef struct element_end {
    end_form form;
    int index; /* terminal template, or inner node */
} element_end;

typedef struct element {
    const char *name; /* "contact"; unique in the kind */
    element_type type;
    element_end a, b;       /* current counts positive from a to b */
    element_end to_a, to_b; /* TRANSFER: holds its voltage between them */
    value keys[N_ELEMENT_KEYS];
    uint32_t closed_in; /* CONTACT: bit p set when closed in position p */
    int moves;          /* COIL: position while pulled in, else -1 */
    bool is_repeated;   /* once for each terminal of the kind's row; list parameters give each its own value */
    place where;
} element;

typedef struct parameter {
    const char *name;
    const char *says;
    dimension dimensions[3]; /* any of them will do; n_dimensions 0: a word out of `choices`, or a truth value */
    int n_dimensions;
    bool is_list;               /* one value for each terminal of the row */
    bool is_truth;              /* true or false */
    bool is_count;              /* a whole bare number (`studs: 8`) */
    bool is_auto;               /* may be `auto`; what it means then is the part's that uses it */
    bool is_positive;           /* more than nothing: 0 is out of range */
    const char *const *choices; /* for words; ends with NULL */
    int n_choices;
    value preset;       /* default; VALUE_NONE: must be given unless is_auto */
    double least, most; /* allowed range, SI; -HUGE_VAL, HUGE_VAL if none */
    source from;        /* of the default */
    place where;
} parameter;

/* A terminal as the kind declares it. `row` terminals are numbered 1..n, n from a count or a list parameter. */
typedef struct terminal_template {
    const char *name; /* "feed"; for a row, the name of its parameter */
    bool is_row;
    int row_parameter;    /* a count, or a list whose length counts */
    bool may_be_open;     /* may be left unconnected on purpose */
    int takes_conductors; /* at most this many; 0: the limit of the practice */
    double smallest_m2;   /* conductor cross-sections that it takes; 0: no limit known */
    double largest_m2;
    const char *fitting; /* what makes the joint: "M8 stud", "6.3 mm tab", "screw"; "" if not said */
    source fits_from;
} terminal_template;

enum { kind_positions_most = 16, kind_terminals_most = 16 };

typedef struct kind {
    const char *name; /* "lit-switch" */
    const char *says;
    role role;
    bool is_built_in;
    bool is_motor; /* its current can't be chopped without a diode */
    bool has_freewheel_diode;
    bool is_critical; /* takes the narrower voltage drop unless the item says otherwise */
    terminal_template terminals[kind_terminals_most];
    int n_terminals;
    int row; /* the terminal template that is a row, or -1 */
    parameter *parameters;
    int n_parameters;
    const char *positions[kind_positions_most];
    int n_positions;    /* 0: it has none */
    int dial;           /* the fraction parameter that its position sets ("40%"), or -1. Then n_positions is 0 */
    const char **inner; /* names of inner nodes */
    int n_inner;
    element *elements;
    int n_elements;
    const char *symbol; /* which graphical symbol draws it; "" draws a box with its name */
    place where;
} kind;

/* Index by name, or -1. */
int kind_parameter(const kind *k, const char *name);
int kind_position(const kind *k, const char *name);
/* The first COIL among its elements, or -1. An item whose kind has one is moved by it and by nobody else. */
int kind_coil(const kind *k);

#endif
