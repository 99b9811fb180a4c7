/* Recipes: ready-made circuits as data. Each is a file of circuits/, embedded, so that a person can add one without
 * touching the program. Language: docs/circuits.md. */
#ifndef READY_RECIPE_H
#define READY_RECIPE_H

#include "base/print.h"
#include "read/tree.h"
#include "units/quantity.h"

/* What is asked of the builder. */
typedef struct ask {
    const char *name, *label;
    const char *in;     /* "A", "W", "A or W", "V", "m", "Ah", "count", "truth", "text", "panel" or "choice" */
    const node *preset; /* a scalar, or one for each voltage: {12 V: .., 24 V: ..} */
    const char **choices;
    int n_choices;
    const char *least, *most; /* "" if there is none */
} ask;

typedef struct recipe {
    const char *id; /* "fan": the name of its file */
    const char *title, *says;
    const char *comment; /* stands above what it adds; may hold answers */
    ask *asks;
    int n_asks;
    const node *items, *wires;
} recipe;

/* All recipes in the order of the files; asserts that they are sound. `start` and `supply` are among them, which
 * recipe_is_listed leaves out. */
const recipe *recipes(arena *a, int *n);
bool recipe_is_listed(const recipe *r);
const recipe *recipe_named(const recipe *all, int n, const char *id);
const ask *recipe_ask(const recipe *r, const char *name);

/* Names and the texts that stand for them. */
enum { answers_room = 64 };
typedef struct answers {
    arena *arena;
    const char *voltage; /* "12 V": which of a default's texts is meant */
    const char *names[answers_room], *texts[answers_room];
    int n;
} answers;

void answers_put(answers *to, const char *name, const char *text);
const char *answers_get(const answers *from, const char *name);
/* The scalar of a node, or of the entry for the voltage where it holds one for each; NULL: none for this voltage. */
const char *answers_scalar(const answers *from, const node *n);
/* The text with each `$name` replaced by its answer; names are the longest that fit. */
const char *answers_fill(const answers *from, const char *text);

/* Whether a text answers what was asked; NULL if it does, else what is wrong with it and what would be right. */
const char *answer_fault(const ask *q, const char *text, arena *a);
/* A sound answer as the file has it: of choices, the one that is meant; of a quantity, a space before the unit. */
const char *answer_kept(const ask *q, const char *text, arena *a);
/* A quantity of a text that answer_fault found sound. */
double answer_number(const char *text, arena *a);

#endif
