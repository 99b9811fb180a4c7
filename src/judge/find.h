/* What the checks share: raising a finding, filling it in, and the few questions that several of them ask.
 *
 * A check is a function that reads the study and raises findings of its own rule. It holds numbers that the study made
 * against limits from the tables; it makes none of its own. */
#ifndef JUDGE_FIND_H
#define JUDGE_FIND_H

#include "base/print.h"
#include "judge/judge.h"
#include "judge/rules.h"
#include "ref/device.h"

#include <math.h>

typedef struct finder {
    const study *study;
    const van *van;
    arena *arena;
    int rule; /* of the check that runs */
    ARRAY(finding) findings;
    int *wires_at;    /* number of wires at each terminal */
    bool *is_open;    /* load by load: a terminal of its item is open, or it is connected to nothing that feeds it */
    bool *is_swapped; /* item by item: feed and return are the wrong way round */
    bool is_tied;     /* find_tied */
    bool is_shorted;  /* a source is shorted: no current says anything until that is mended */
} finder;

typedef void check_function(finder *f);

/* A new finding of the check's rule, with the rule's gate and grade. The pointer holds until the next one is raised. */
finding *raise_finding(finder *f, place where);
void add_where(finder *f, finding *n, const char *reference);
void add_wire(finder *f, finding *n, int index);
void add_item(finder *f, finding *n, int index);
void add_terminal(finder *f, finding *n, int index);
void set_positions(finder *f, finding *n, const position *positions);
void set_value(finding *n, double value, double limit, const char *unit);
void set_source(finder *f, finding *n, const source *from);
#define SAYS(f, n, ...) ((n)->says = arena_printf((f)->arena, __VA_ARGS__))
#define MEND(f, n, ...) ((n)->remedy = arena_printf((f)->arena, __VA_ARGS__))

/* For people: three significant digits. */
const char *num(finder *f, double value);
const char *item_words(finder *f, int index); /* "pump (Water pump)" */
const char *size_words(conductor_size size);
/* "P3", "P3 and N1", "P3, N1 and 4 more". */
const char *list_words(finder *f, const char *const *words, int n);

const limit *limit_for(const finder *f, const char *name);

/* The air around a wire is as warm as its insulation may get: it bears nothing, however thick. */
bool is_too_warm(const finder *f, int wire);
void mend_too_warm(finder *f, finding *n, int wire);

/* The smallest standard rating of the device's style that is at least `amps`; the largest that is at most; 0: none. */
double rating_at_least(const finder *f, int element, double amps);
double rating_at_most(const finder *f, int element, double amps);
const net_element *element_of(const finder *f, int element);
/* "fuses, slot 3 (10 A)", "bank-fuse (200 A)". */
const char *device_words(finder *f, int element);

/* Something else explains what a load does: it is open, swapped or shorted, and says so. */
bool is_explained(const finder *f, const load_study *l);

/* The lamp of an item is wired, its circuit is live, and it never lights. */
bool has_dark_lamp(const finder *f, int index);
/* The two sides of a contact or a chopper are one conductor. */
bool is_bypassed(const finder *f, int element);
/* Batteries of different kinds side by side: what flows between them depends on the wiring, which no size mends. */
bool find_tied(const finder *f);
/* A battery whose posts are joined: by conductors alone (*contact -1), or as soon as a contact closes. */
bool find_short(const finder *f, int *battery, int *contact);

/* The checks, each named for its rule. */
#define CHECK(name) void check_##name(finder *f)
#define R(name, id, gate, grade, means, matters, limits, mends) CHECK(name);
RULES(R)
#undef R

#endif
