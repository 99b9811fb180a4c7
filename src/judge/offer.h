/* Mends: remedies that are plain enough to be applied as they stand. Each is a sentence and the edits of the file that it
 * means. A check offers one where its own numbers, and the study's, decide what would do; where a builder has to think,
 * there is a remedy in words and no mend. A mend answers its finding and promises nothing else. */
#ifndef JUDGE_OFFER_H
#define JUDGE_OFFER_H

#include "judge/find.h"

/* A new mend of a finding; the words are for people: "make P3 10 AWG". The pointer holds until the next one of the same
 * finding. */
mend *offer(finder *f, finding *n, const char *format, ...) __attribute__((format(printf, 3, 4)));
/* The value at section, id and key, which may be NULL; `entry` of a list there, or -1. */
void mend_put(finder *f, mend *m, const char *section, const char *id, const char *key, int entry, const char *text);
void mend_drop(finder *f, mend *m, const char *section, const char *id);
/* A wire of these keys; `length` and `colour` may be NULL. */
void mend_wire(finder *f, mend *m, int from, int to, const char *length, conductor_size size, const char *colour);
void mend_rating(finder *f, mend *m, int device, double rating_A);
void mend_size(finder *f, mend *m, int wire, conductor_size size);
/* Another terminal of the item, or of another one, in the place of `terminal` at one end of a wire. */
void mend_end(finder *f, mend *m, int wire, int terminal, int instead);

/* "make P3 10 AWG and N1 12 AWG", for wires that are to be thicker. */
void offer_sizes(finder *f, finding *n, const sized_wire *sizes, int n_sizes);
/* The smallest thicker size that also bears `protector_A`. */
bool offer_thicker(finder *f, finding *n, int wire, double protector_A);
/* A thicker size for each of the wires, or nothing. */
void offer_thicker_all(finder *f, finding *n, const int *wires, int n_wires);
/* "put a 10 A fuse in bench-fuses slot 3". */
void offer_rating(finder *f, finding *n, int device, double rating_A);
/* Takes a wire out, and a joint with it that is left without any; nothing where an end would then be open. */
bool offer_without(finder *f, finding *n, int wire);
/* Where a return may end: a free stud of the bar for a block (-1: any), else the monitor's load side or the battery's
 * post, while they take one more; -1: none. */
int return_place(const finder *f, int block);
/* Is a terminal of a joint or a bar that has one wire alone? */
bool is_left_over(const finder *f, int t);
/* Does a terminal take one more conductor? */
bool takes_more(const finder *f, int t);
/* The one wire that goes past the monitor, to the monitor's load side. `is_before_shunt`: terminals on the battery's side. */
void offer_load_side(finder *f, finding *n, int shunt, const int *wires, int n_wires, const bool *is_before_shunt);
/* In connect.c: a return for an open negative terminal; two wires that change places; the far end of an indicator lamp to
 * the common return. Each offers nothing where that is not plain. */
void offer_connection(finder *f, finding *n, int open);
void offer_swap(finder *f, finding *n, int item);
void offer_lamp_return(finder *f, finding *n, int item);
const char *usual_colour(const finder *f, const char *use);

#endif
