/* A plan: what recipes and answers add to a van, before and after the program chose ratings and sizes.
 *
 * A plan stands on a van that is there, with its study, or on nothing (the guided start). It takes free slots, studs and
 * labels, and makes more where none is free. */
#ifndef READY_PLAN_H
#define READY_PLAN_H

#include "ready/recipe.h"
#include "ref/device.h"
#include "study/study.h"

typedef struct plan_key {
    const char *key, *text;
} plan_key;

/* A protective device whose rating the program chooses: a fuse, or one slot of a block. */
typedef struct plan_device {
    const char *item;
    int slot; /* 0: the item itself */
    device_style style;
    double rating_A;
    double estimate_A; /* what its circuit takes, from the answers */
} plan_device;

typedef struct plan_item {
    const char *id, *note; /* "" if none */
    int section;
    ARRAY(plan_key) keys;
    bool is_block, is_bar, is_device;
    int n_row; /* slots or studs taken so far */
} plan_item;

typedef struct plan_wire {
    const char *label, *from, *to, *length, *colour;
    conductor_size size; /* SIZE_UNSET: auto */
    int section;
} plan_wire;

/* A row of an item of the van that gets longer. */
typedef struct plan_row {
    int item; /* of the van */
    int n;
} plan_row;

typedef struct plan {
    arena *arena;
    const van *van;      /* NULL: the plan stands on nothing */
    const study *before; /* of that van */
    practice practice;
    double nominal_V;
    const recipe *recipes;
    int n_recipes;
    const char *supply_distance;  /* for a supply that is brought along; NULL: its default */
    ARRAY(const char *) sections; /* the comment above each */
    ARRAY(plan_item) items;
    ARRAY(plan_wire) wires;
    ARRAY(plan_device) devices;
    ARRAY(plan_row) rows;
    const char *block; /* that the next circuit takes a slot of; NULL: not known yet */
    const char *name;  /* of what was added last, for people */
    const char *why;   /* what stands against it; NULL: nothing */
} plan;

/* "12 V" or "24 V": which defaults are meant. */
const char *plan_voltage(double nominal_V);
/* The block that a circuit takes a slot of when nobody names one: the first that has one free, else the first; NULL. */
const char *plan_block_of(const van *v);
bool recipe_uses_block(const recipe *r);

/* Adds a circuit. `given` holds the answers; what they leave out takes its default. `number` above 1 is put behind the
 * name. False, and plan->why, when an answer is wrong or there is no room. */
bool plan_add(plan *p, const recipe *r, const answers *given, int number);

/* The ratings that are enough for the currents and starts that the study of `with` finds; true when one changed. Where they
 * may not fall, they only rise. */
bool plan_rate(plan *p, const study *with, bool may_fall);
/* Sizes of the new wires: those that were chosen for `auto`, as far as the terminals take them. */
void plan_size(plan *p, const study *with);
/* The wire of each starved load's loop that loses most, among the new ones that can still grow, goes up a size; false
 * when nothing grew. */
bool plan_grow(plan *p, const study *with);

/* Lines of a section, each with its break, aligned; `indent` spaces in front. */
void plan_item_lines(const plan *p, int section, int indent, sink *s);
void plan_wire_lines(const plan *p, int section, int indent, sink *s);
/* The value of `slots` or `studs` of an item of the van that gets other ones. */
const char *plan_row_text(const plan *p, const plan_row *row);

#endif
