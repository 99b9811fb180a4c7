/* Nodes to values, by tables of keys. One table says of each key what it holds, in which range, whether it must be
 * there and what it is for; the reader, the schema and the pages of the manual all come from it. */
#ifndef READ_VALUES_H
#define READ_VALUES_H

#include "base/print.h"
#include "model/van.h"
#include "read/tree.h"

typedef struct reader {
    arena *arena;
    report *report;
    long words_left; /* how many more words may be compared in the search for suggestions: a bound on time */
} reader;

/* What a key holds. X(NAME, for people) */
#define HOLDS(X)                                                                                                       \
    X(TEXT, "text")                                                                                                    \
    X(ID, "an id")                                                                                                     \
    X(WORD, "one of the words listed")                                                                                 \
    X(QUANTITY, "a quantity")                                                                                          \
    X(SIZE, "a conductor size")                                                                                        \
    X(COUNT, "a whole number")                                                                                         \
    X(TRUTH, "true or false")                                                                                          \
    X(DATE, "a date, as 2026-11-25")                                                                                   \
    X(TERMINAL, "item.terminal")                                                                                       \
    X(WORDS, "a list of words")                                                                                        \
    X(LIST, "a list")                                                                                                  \
    X(MAPPING, "a mapping")                                                                                            \
    X(VALUE, "a value")                                                                                                \
    X(LATER, "not in this release")
typedef enum holds {
#define X(NAME, says) HOLDS_##NAME,
    HOLDS(X)
#undef X
} holds;

typedef struct key_rule {
    const char *name;
    holds holds;
    const char *says;
    bool is_required, takes_auto;
    dimension dimension;      /* QUANTITY */
    double least, most;       /* QUANTITY (SI) and COUNT */
    const char *const *words; /* WORD; ends with NULL */
} key_rule;

typedef struct key_table {
    const char *what; /* "a wire" */
    const key_rule *rules;
    int n;
} key_table;

/* Text of a message. */
#define SAY(r, ...) arena_printf((r)->arena, __VA_ARGS__)

/* Adds an error. */
void fault(reader *r, place where, const char *wrong, const char *right);
/* "did you mean `fuse`?", or `otherwise` when no word is near. */
const char *suggestion(reader *r, const char *word, const char *const *words, int n, const char *otherwise);
/* "a, b and c"; with `last` "or": "a, b or c". At most `most` of them, then "...". */
/* Text of the file for a message: one line, not too long. */
const char *quoted(reader *r, const char *text);
const char *listing(reader *r, const char *const *words, int n, int most, const char *last);

/* Entries of a mapping by the table: fields[i] is the entry of rules[i], NULL when it is not there. Reports keys that
 * are not in the table (unless `other` takes them), keys that lack, and keys of later releases. False when the node is
 * no mapping, which is reported. */
typedef bool (*other_key)(void *context, const node *entry);
bool read_fields(reader *r, const node *mapping, const key_table *t, const node **fields, other_key other,
                 void *context);

/* Each returns false when the value is not there (NULL or broken) or is wrong, which is reported; then `out` is
 * untouched. */
bool read_text(reader *r, const node *n, const char **out);
bool read_id(reader *r, const node *n, const char **out);
bool read_word(reader *r, const node *n, const key_rule *k, int *out);
bool read_truth(reader *r, const node *n, bool *out);
bool read_count(reader *r, const node *n, double least, double most, int *out);
bool read_quantity(reader *r, const node *n, const key_rule *k, double *out);
bool read_size(reader *r, const node *n, conductor_size *out);
bool read_date(reader *r, const node *n, const char **out);
bool read_list(reader *r, const node *n, const char *of);
bool is_auto(const node *n);
/* The entries of a mapping as they are written: texts, and lists of texts. Anything else is left out. */
writing read_writing(arena *a, const node *mapping);
/* Not there, or a key with nothing after it. */
bool is_empty(const node *n);

/* A quantity of one of several dimensions; for a quantity with one dimension within least..most (SI), else more than
 * nothing. */
bool read_any_quantity(reader *r, const node *n, const dimension *dimensions, int n_dimensions, double least,
                       double most, quantity *out);
/* The range that any quantity of a dimension has when nobody narrows it. */
void physical_range(dimension d, double *least, double *most);

bool id_is_sound(const char *id);
/* The key of an entry as an id; false after a fault. */
bool check_key_id(reader *r, const node *entry);
/* "a current in A, mA, or a power in W, mW". */
const char *dimensions_text(reader *r, const dimension *dimensions, int n);
/* "1 mm to 1000 m". */
const char *range_text(arena *a, dimension d, double least, double most);

/* How a builder calls an entry: its key, or the text of an entry of a list. */
const char *node_name(const node *n);

#endif
