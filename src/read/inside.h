/* Pieces of the reader of kinds, for kinds.c alone: parameters, primitive elements, and parts, which are other kinds. Each
 * reads one node into the kind, and says what is wrong with it. */
#ifndef READ_INSIDE_H
#define READ_INSIDE_H

#include "read/kinds.h"

/* ---- parameters.c ---- */

void read_parameters(reader *r, const node *takes, kind *k);
/* `from:` as a source: common practice, from memory, or a document. */
void read_source(reader *r, const node *n, source *out);
/* The parameter that `$name` names, or -1 after a fault. */
int parameter_named(reader *r, const kind *k, const node *n);
/* Every dimension or word that `from` may have is one that `to` takes. */
bool parameter_suits(const parameter *from, const parameter *to);

/* ---- elements.c ---- */

/* Index by name, or -1; terminal_named and read_end report what is not there. */
int terminal_of(const kind *k, const char *name);
int inner_of(const kind *k, const char *name);
int terminal_named(reader *r, const kind *k, place where, const char *name);
bool read_end(reader *r, const kind *k, place where, const char *name, element_end *out);

/* Room for one more. */
element *add_element(reader *r, kind *k);
void read_element(reader *r, kind *k, const node *n, element_type type);

/* ---- parts.c ---- */

/* Adds the elements of `of`, which is read already and has room in `k`. */
void read_part(reader *r, kind *k, const node *n, const kind *of);

#endif
