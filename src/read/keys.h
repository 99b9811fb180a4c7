/* The tables of keys: everything that a van file may say, once. The reader, the schema (schema.c) and the tables of
 * docs/van-file.md and docs/kinds.md come from them. */
#ifndef READ_KEYS_H
#define READ_KEYS_H

#include "read/values.h"

enum {
    top_loomwall,
    top_name,
    top_revision,
    top_says,
    top_practice,
    top_conditions,
    top_kinds,
    top_items,
    top_wires,
    top_unlabelled,
    top_retired,
    top_decided,
    n_top_keys
};
enum { conditions_hottest, conditions_coldest, n_conditions_keys };
enum {
    item_kind_key,
    item_name,
    item_says,
    item_positions,
    item_never_with,
    item_critical,
    item_panel,
    item_at,
    item_on,
    n_item_keys
};
enum {
    wire_from,
    wire_to,
    wire_length,
    wire_size,
    wire_insulation,
    wire_bundled,
    wire_sheathed,
    wire_solid,
    wire_engine_space,
    wire_colour,
    wire_says,
    wire_way,
    n_wire_keys
};
enum { decided_rule, decided_where, decided_why, decided_date, n_decided_keys };
enum {
    kind_says,
    kind_role,
    kind_terminals,
    kind_open_allowed,
    kind_takes,
    kind_positions,
    kind_dial,
    kind_nodes,
    kind_inside,
    kind_motor,
    kind_critical,
    kind_fits,
    kind_symbol,
    n_kind_keys
};
enum {
    takes_in,
    takes_default,
    takes_least,
    takes_most,
    takes_choices,
    takes_list,
    takes_says,
    takes_from,
    n_takes_keys
};
enum { fits_smallest, fits_largest, fits_conductors, fits_by, fits_from, n_fits_keys };
enum { inside_kind, inside_between, inside_closed_in, inside_moves, inside_to, inside_joins, n_inside_keys };

extern const key_table top_keys, conditions_keys, item_keys, wire_keys, decided_keys, kind_keys, takes_keys, fits_keys,
    inside_keys;

extern const char *const practice_words[], *const role_words[], *const chemistry_words[], *const curve_words[];

/* Which primitive element takes which of the keys that hold a value. */
typedef struct element_rule {
    element_type element;
    element_key key;
    bool is_required;
    bool is_positive;        /* nothing is not enough */
    dimension dimensions[3]; /* any of them; n_dimensions 0: one of `words` */
    int n_dimensions;
    const char *const *words;
    const char *says;
} element_rule;
extern const element_rule element_rules[];
extern const int n_element_rules;
const element_rule *element_rule_of(element_type e, element_key k);

/* What an element is, in a line; which of inside_keys it takes besides `kind` and `between`: a bit for each. */
const char *element_says(element_type e);
unsigned element_inside_keys(element_type e);

enum {
    items_most = 20000,
    wires_most = 50000,
    kinds_most = 1000,
    terminals_most = 200000,
    elements_most = 256,
    parameters_most = 64,
    inner_most = 64,
    row_most = 100
};

/* The tables as text in Markdown, for the manual. */
const char *keys_text(arena *a);

#endif
