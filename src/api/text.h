/* Texts that leave the library: JSON, and copies that the caller releases. */
#ifndef API_TEXT_H
#define API_TEXT_H

#include "base/print.h"
#include "loomwall/status.h"

/* A string with its quotes. What is not UTF-8 becomes U+FFFD, so that the whole is always good JSON. */
void json_string(sink *s, const char *text);
/* A string, or null for NULL. */
void json_string_or_null(sink *s, const char *text);
/* The shortest number that reads back the same; null when it is not finite. */
void json_number(sink *s, double value);
void json_truth(sink *s, bool is_true);

/* ["a", "b"] */
void json_words(sink *s, const char *const *words, int n);

/* Makes a text in an arena of its own and hands out a copy that lw_free releases. What `make` returns tells which text
 * it made: LW_REFUSED leaves a message. */
typedef lw_status text_maker(sink *s, const void *what);
lw_status text_give(text_maker *make, const void *what, char **out);
/* A copy for `*out` when `out` is given. */
lw_status text_copy(const char *text, char **out);

/* "did you mean `NAME`?", or else the `otherwise` text. */
const char *text_suggestion(const char *word, const char *const *words, int n, const char *otherwise, arena *a);

#endif
