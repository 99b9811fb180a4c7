/* Labels: what the program proposes for wires that have none, and the text of the file with labels that stand. */
#ifndef LOOMWALL_LABEL_H
#define LOOMWALL_LABEL_H

#include "loomwall/van.h"
#include <stdbool.h>

/* A wire that stands under `unlabelled`. Its label may become that of another wire until it is in the file. */
typedef struct lw_proposal {
    const char *label;     /* "W21" */
    const char *from, *to; /* "fuses.3", "lamp.pos" */
    unsigned line, column; /* where in the file */
} lw_proposal;

size_t lw_van_n_proposals(const lw_van *van);
lw_proposal lw_van_proposal(const lw_van *van, size_t i);

/* The text of the file with the proposed labels in it, or with one more label retired; every byte that need not change is
 * as it was. The same text when there is nothing to do. LW_REFUSED: *text is a message that says what stands against it.
 * Release it with lw_free. */
lw_status lw_label_wires(const lw_van *van, char **text);
lw_status lw_label_retire(const lw_van *van, const char *label, char **text);

/* What `loomwall label --json` prints. `retired` may be NULL: then it is about the proposed labels. */
lw_status lw_label_json(const lw_van *van, const char *retired, bool is_written, char **json);

#endif
