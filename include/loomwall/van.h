/* The van: what one file says, checked against itself. */
#ifndef LOOMWALL_VAN_H
#define LOOMWALL_VAN_H

#include "loomwall/status.h"

typedef struct lw_van lw_van;

/* Reads text[0..n_bytes), at most 4 MiB. `file` is how messages name it. LW_REFUSED: nothing is read, and *report, if
 * `report` is given, holds every fault; release it with lw_report_free. Otherwise *report is left alone. */
lw_status lw_van_read(const char *file, const char *text, size_t n_bytes, lw_van **van, lw_report **report);

/* The van must outlive everything that was made from it. */
void lw_van_free(lw_van *van);

/* The text that it was read from, with a NUL behind it. */
const char *lw_van_text(const lw_van *van, size_t *n_bytes);
const char *lw_van_name(const lw_van *van);
size_t lw_van_n_items(const lw_van *van);
size_t lw_van_n_wires(const lw_van *van);

/* What the file says, each value as it is written there, as docs/van-file.md describes it. Release with lw_free. */
lw_status lw_van_json(const lw_van *van, char **json);
/* The same for people, with what was taken where the file is silent. */
lw_status lw_van_list(const lw_van *van, char **text);

#endif
