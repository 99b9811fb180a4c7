/* A text as a scalar of YAML: plain where that reads back as the same, else in quotes. */
#ifndef READ_EDIT_SCALAR_H
#define READ_EDIT_SCALAR_H

#include "base/arena.h"

typedef enum scalar_quotes { QUOTES_IF_NEEDED, QUOTES_SINGLE, QUOTES_DOUBLE } scalar_quotes;

typedef struct scalar_place {
    bool is_in_flow; /* inside brackets or braces */
    bool is_key;
    scalar_quotes quotes; /* those wished for; a text that single ones can't hold gets double ones */
} scalar_place;

/* `is_word`: `true` and its like as words of YAML, without quotes. */
const char *scalar_written(arena *a, const char *text, bool is_word, scalar_place where);

/* How a scalar or key that starts with this byte is quoted. */
scalar_quotes quotes_of(char first);

#endif
