/* What the program knows: kinds of items, rules, the schema of the file, a file to start from. */
#ifndef LOOMWALL_TELL_H
#define LOOMWALL_TELL_H

#include "loomwall/status.h"

typedef enum lw_form { LW_TEXT, LW_JSON } lw_form;

/* Each gives a text, released with lw_free. With `name` NULL: the list of all. LW_REFUSED: there is none of that name;
 * *out is then a message that names the nearest. */
/* The list of kinds as JSON is a catalogue of all that a form for a van must know: also which keys an item and a wire take, and
 * the conductor sizes, colours and ratings to choose from. */
lw_status lw_kinds(const char *name, lw_form form, char **out);
lw_status lw_why(const char *rule, lw_form form, char **out);

/* JSON Schema (2020-12) of the van file, for editors. */
lw_status lw_schema(char **out);

/* A commented van file to start from. `practice` is "north-america" or "europe" (NULL: the first), nominal_V is 12 or
 * 24 (0: 12), `name` may be NULL. LW_REFUSED: *out is a message. */
lw_status lw_starter(const char *practice, double nominal_V, const char *name, char **out);

#endif
