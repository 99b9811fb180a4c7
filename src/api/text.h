/* Texts that leave the library: copies that the caller releases. */
#ifndef API_TEXT_H
#define API_TEXT_H

#include "base/json.h"
#include "loomwall/status.h"

/* Makes a text in an arena of its own and hands out a copy that lw_free releases. What `make` returns tells which text
 * it made: LW_REFUSED leaves a message. */
typedef lw_status text_maker(sink *s, const void *what);
lw_status text_give(text_maker *make, const void *what, char **out);
/* A copy for `*out` when `out` is given. */
lw_status text_copy(const char *text, char **out);

/* "did you mean `NAME`?", or else the `otherwise` text. */
const char *text_suggestion(const char *word, const char *const *words, int n, const char *otherwise, arena *a);

#endif
