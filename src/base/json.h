/* Writing JSON (RFC 8259) into a text that grows: what comes out is good JSON, whatever goes in. */
#ifndef BASE_JSON_H
#define BASE_JSON_H

#include "base/print.h"

/* A string with its quotes (json_string is the name of a function of Jansson). What is not UTF-8 becomes U+FFFD, so that the whole is always good JSON. */
void json_text(sink *s, const char *text);
/* A string, or null for NULL. */
void json_text_or_null(sink *s, const char *text);
/* The shortest number that reads back the same; null when it is not finite. */
void json_number(sink *s, double value);
void json_truth(sink *s, bool is_true);
/* ["a", "b"] */
void json_words(sink *s, const char *const *words, int n);

/* Whether text[0..n), behind which a NUL stands, is UTF-8 without a NUL: what json_text tells in full. */
bool text_is_utf8(const char *text, size_t n);

#endif
