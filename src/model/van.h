/* The van in memory: what the file says, checked against itself, with every default filled in. It computes nothing.
 *
 * Records refer to each other by index. Everything lives in the van's arena. Quantities are SI. */
#ifndef MODEL_VAN_H
#define MODEL_VAN_H

#include "model/kind.h"
#include "model/names.h"
#include "ref/conductor.h"

/* What a parameter holds in one item. Exactly one of the members counts, by the parameter's declaration. */
typedef struct setting {
    bool is_given; /* the file gave it; else the default stands */
    bool is_auto;  /* `auto`, or neither given nor defaulted */
    double number; /* SI; 0 or 1 for a truth value; the count for a count */
    dimension dimension;
    const char *word; /* one of the parameter's choices */
    double *list;     /* list parameters */
    int n_list;
    place where; /* of the value in the file, or of the item when it is a default */
} setting;

/* One position of one item. For a dial, `fraction` counts and `index` is 0. */
typedef struct position {
    int index;       /* into kind.positions */
    double fraction; /* 0..1 */
} position;

/* What the file says under a key, in the words of whoever wrote it: "0.5 m" stays "0.5 m". */
typedef struct written {
    const char *key;
    const char *text;        /* NULL for a list */
    const char *const *list; /* then its texts */
    int n_list;
} written;

/* Keys of one entry of the file in their order. */
typedef struct writing {
    const written *at;
    int n;
} writing;

typedef struct exclusion { /* never-with: this item in `here` never together with `other` in `there` */
    int other;
    position there;
    int here; /* position index of this item; -1: any position but its first */
} exclusion;

typedef struct item {
    const char *id;   /* "pump-switch" */
    const char *name; /* "Water pump"; the id when not given */
    const char *says;
    int kind;           /* index into van.kinds */
    setting *settings;  /* one for each parameter of the kind */
    int first_terminal; /* index into van.terminals */
    int n_terminals;
    position
        *positions; /* those that it may stand in: all of the kind unless `positions` narrows them; a dial: 0 and 1,
                              or the fractions listed. The first is its rest position. An item whose kind holds a COIL
                              is moved by the coil (the solver finds its position), by nobody else */
    int n_positions;
    exclusion *exclusions;
    int n_exclusions;
    bool is_hidden;    /* `where: hidden`: behind the closed wall */
    bool is_critical;  /* `critical: true`, or the kind's */
    const char *panel; /* `panel:` the switch panel that carries it, or NULL */
    writing given;
    place where;
} item;

typedef struct terminal {
    int item;
    int template_index; /* into the kind's terminals */
    int number;         /* in a row: 1..n; else 0 */
    const char *name;   /* "bank.pos" */
} terminal;

typedef struct wire {
    const char *label;      /* "P3" */
    bool is_label_proposed; /* by the program, which may propose another one tomorrow: the file gives it none */
    const char *says;
    int from, to;        /* terminals */
    double length_m;     /* 0 with is_length_auto */
    bool is_length_auto; /* not worked out in this part: a stop that says so */
    conductor_size size; /* SIZE_UNSET: auto */
    double insulation_K; /* rating; the practice's default when not given */
    bool is_insulation_given;
    int n_bundled; /* loaded conductors that run touching, itself included; 1 alone */
    bool is_sheathed, is_solid, is_in_engine_space;
    const char *colour; /* NULL when not given */
    writing given;
    place where, from_place, to_place, size_place, length_place;
} wire;

typedef struct decision {
    const char *rule;
    const char *where; /* "wire P3", "item pump", "terminal pump.neg" */
    const char *why;
    const char *date; /* "2026-11-25" */
    place place;
} decision;

typedef struct van {
    const char *file; /* as given */
    const char *name;
    const char *revision; /* `revision:` of the file, or "" */
    const char *says;
    double hottest_K, coldest_K; /* air around the conductors */
    writing conditions;
    kind *kinds;
    item *items;
    terminal *terminals;
    wire *wires;
    decision *decisions;
    const char **panels;                             /* names of switch panels, in the order of the file */
    names *item_names, *terminal_names, *wire_names; /* for van_item, van_terminal, van_wire */
    names *retired;              /* labels that no wire may have again, each with its line in the file */
    const char **retired_labels; /* the same in the order of the file */
    const char *next_label;      /* the first that is free for one more wire */
    arena *arena;
    int n_kinds, n_items, n_terminals, n_wires, n_decisions, n_panels, n_retired;
    practice practice;
} van;

/* Look up by name; -1 if there is none. Linear in a hash: cheap. */
int van_item(const van *v, const char *id);
int van_terminal(const van *v, const char *name); /* "item.terminal" */
int van_wire(const van *v, const char *label);
/* The setting of a parameter of an item, or NULL when its kind has no such parameter. */
const setting *item_setting(const van *v, int item, const char *parameter);
double item_number(const van *v, int item, const char *parameter, double otherwise);
const kind *item_kind(const van *v, int item);
/* What was written under a key, or NULL. */
const written *written_under(const writing *w, const char *key);
/* Terminal of an item by its name in the kind ("pos"), or by row number ("3"); -1 if none. */
int item_terminal(const van *v, int item, const char *name);
/* Whether a terminal takes a conductor: -1 too thin for it, 1 too thick, 0 it fits. */
int terminal_fit(const van *v, int terminal, double area_m2);
int terminal_n_wires(const van *v, int terminal);
/* The first terminal of an item's row that has no wire; -1: none. */
int item_free_of_row(const van *v, int item);
/* A row of devices on one feed; a bar with studs. */
bool item_is_fuse_block(const van *v, int item);
bool item_is_bar(const van *v, int item);
bool wire_is_at_item(const van *v, int wire, int item);
/* "on", "40 %". */
const char *position_text(const van *v, int item, position p, arena *a);

#endif
