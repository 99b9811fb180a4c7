/* Entries that are new, as text in the style of their neighbours. */
#ifndef READ_EDIT_WRITE_H
#define READ_EDIT_WRITE_H

#include "read/draft.h"
#include "read/edit_scalar.h"
#include "read/edit_text.h"

/* How the file is written: in JSON, new texts have double quotes. */
typedef struct writer {
    const edit_text *text;
    scalar_quotes key_quotes; /* of the file's first key */
    bool is_json;
} writer;

writer writer_of(const edit_text *t, const node *root);

/* Neighbours to follow, of the same form, or NULL: the nearer one tells the style; what both do alike is a column. */
typedef struct models {
    const node *near, *far;
} models;

/* A value in one line: a scalar, or in brackets. `in_flow`: inside of others. */
const char *written_value(const writer *w, const draft *d, models like, bool is_in_flow);
/* `key: value` or `value`, to stand inside brackets. `column` is where it starts, if known, else -1. */
const char *written_flow_entry(const writer *w, const draft *d, models like, int column);
/* Lines for an entry, with the break of the last; it starts at `column`. */
const char *written_lines(const writer *w, const draft *d, models like, int column);
/* The lines of the entries of `d`, without neighbours to follow. */
const char *written_entries(const writer *w, const draft *d, int column);
const char *written_key(const writer *w, const char *key, const node *neighbour, bool is_in_flow);

#endif
