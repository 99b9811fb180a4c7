/* Ready-made circuits, and the guided start: a few answers to what a builder would otherwise have to draw up.
 *
 * Ids, labels, fuses and sizes are chosen by the rules that `judge` holds the van against. What comes out is a proposal
 * like any other text of a van file: it is judged as such, and nobody promises that it fits the van at hand. */
#ifndef LOOMWALL_CIRCUITS_H
#define LOOMWALL_CIRCUITS_H

#include "loomwall/van.h"

/* The circuits, what each asks, and what the guided start asks: {"circuits": [..], "start": {..}}. Defaults are for the
 * voltage of `van`, and the panels and fuse blocks to choose from are its own; `van` may be NULL. Release with lw_free. */
lw_status lw_circuits_json(const lw_van *van, char **json);

/* The same for people. */
lw_status lw_circuits_text(const lw_van *van, char **text);

/* An answer by the name of what was asked, in the words of a van file ("6 A", "3 m", "true"). What is not answered takes
 * its default. */
typedef struct lw_answer {
    const char *name, *value;
} lw_answer;

/* What a circuit adds to a van. Texts live as long as it does. */
typedef struct lw_addition lw_addition;
/* `fuses` among the answers names the fuse block to take a slot of, or is `new`. A van without a fuse block gets one, with
 * its main fuse and a bar for the returns. LW_REFUSED: *why, if given, is a message; release it with lw_free. */
lw_status lw_circuit_add(const lw_van *van, const char *circuit, const lw_answer *answers, size_t n_answers,
                         lw_addition **addition, char **why);
void lw_addition_free(lw_addition *addition);
/* The text of the file with the circuit in it; every byte that need not change is as it was. */
const char *lw_addition_text(const lw_addition *addition);
/* What would be undone: "add Water pump". */
const char *lw_addition_says(const lw_addition *addition);
/* Ids of the new items, labels of the new wires. */
const char *const *lw_addition_items(const lw_addition *addition, size_t *n);
const char *const *lw_addition_wires(const lw_addition *addition, size_t *n);

/* A circuit that the guided start is to make, `count` times. Ends of names and ids are numbered where that is needed. */
typedef struct lw_circuit_wish {
    const char *circuit;
    int count; /* 1..20 */
    const lw_answer *answers;
    size_t n_answers;
} lw_circuit_wish;

/* The text of a commented van file. LW_REFUSED: *text is a message that says what is wrong. Release with lw_free. */
lw_status lw_start(const lw_answer *answers, size_t n_answers, const lw_circuit_wish *circuits, size_t n_circuits,
                   char **text);

#endif
