/* Edits of a van file: what a builder changes, as splices of its text. Every byte that an edit is not about stays as it
 * was: comments, order, spacing, quotes, line ends. docs/methods/edits.md says how.
 *
 * An edit names its place by a path of keys, as {"wires", "P3", "size"}; an entry of a list by its number from 0, as
 * {"decided", "0"}, or by "-" for one behind the last. */
#ifndef LOOMWALL_EDIT_H
#define LOOMWALL_EDIT_H

#include "loomwall/van.h"
#include <stdbool.h>

/* A value, as a person would write it: "10 AWG", a list, or a mapping. */
typedef enum lw_value_form { LW_SCALAR, LW_LIST, LW_MAPPING } lw_value_form;
typedef struct lw_value {
    lw_value_form form;
    const char *key;                /* of an entry of a mapping */
    const char *text;               /* SCALAR: what it says, without quotes; `true` and `false` are truth values */
    const struct lw_value *entries; /* LIST, MAPPING */
    size_t n_entries;
} lw_value;

/* X(NAME, word, what it does) */
#define LW_EDIT_VERBS(X)                                                                                               \
    X(PUT, "put", "the value at the path becomes `value`; a key that is not there is added")                           \
    X(DROP, "drop",                                                                                                    \
      "the entry at the path goes, and what would point at nothing: a wire's label is retired, an item takes its "     \
      "wires, its mentions in `never-with` and the decisions on it along")                                             \
    X(RENAME, "rename", "the item (or kind) at the path is called `to`, wherever it is named")                         \
    X(WIRE, "wire", "a wire of these keys is added, under the next free label")                                        \
    X(MOVE, "move",                                                                                                    \
      "the entry at the path stands before the entry `to` of the same mapping; its lines stay as they are")
typedef enum lw_verb {
#define X(NAME, word, says) LW_EDIT_##NAME,
    LW_EDIT_VERBS(X)
#undef X
        LW_N_EDIT_VERBS
} lw_verb;

typedef struct lw_edit {
    lw_verb verb;
    const char *const *path; /* PUT, DROP, RENAME, MOVE */
    size_t n_path;
    const lw_value *value; /* PUT, WIRE */
    const char *to;        /* RENAME, MOVE */
} lw_edit;

enum { LW_NO_EDIT = -1 };

/* What came of edits. */
typedef struct lw_edited {
    /* LW_OK: */
    const char *text; /* of the file, with a NUL behind it; the same as before when there was nothing to change */
    size_t n_bytes;
    lw_van *van;               /* what the text reads as; set it to NULL to keep it, then lw_van_free is yours */
    const char *const *labels; /* of the wires that WIRE added, in their order */
    size_t n_labels;
    /* LW_REFUSED, one of the two: */
    const char *refusal; /* "what is wrong; what would be right", or NULL */
    int edit;            /* which edit it is about, or LW_NO_EDIT */
    lw_report *report;   /* the faults that the file would have, or NULL */
    const int *edit_of;  /* for each of its faults which edit caused it, or LW_NO_EDIT where that is not known */
    void *memory;
} lw_edited;

/* All of the edits, one after the other, or none: LW_OK, LW_REFUSED or LW_NO_MEMORY (then *out is left alone). The van
 * itself does not change. Release what came of it with lw_edited_finish, which takes an empty one (all zero), too. */
lw_status lw_van_edit(const lw_van *van, const lw_edit *edits, size_t n_edits, lw_edited *out);
void lw_edited_finish(lw_edited *edited);

/* What `loomwall edit --json` prints of edits that were made. */
lw_status lw_edited_json(const lw_edited *edited, bool is_changed, bool is_written, char **json);

/* The bytes of the value at a path, as they stand in a text that need not be a van, only readable as YAML; NULL in *raw
 * when nothing is there. With it two revisions of a file can be compared place by place. LW_REFUSED: it is not readable.
 * Release it with lw_free. */
lw_status lw_edit_value(const char *text, size_t n_bytes, const char *const *path, size_t n_path, char **raw);

/* A value from a text of a command line: in brackets, braces or quotes it is read as YAML, else taken as it stands.
 * LW_REFUSED: it is no YAML. Release it with lw_value_free. */
typedef struct lw_parsed_value lw_parsed_value;
lw_status lw_value_parse(const char *text, lw_parsed_value **parsed);
const lw_value *lw_value_get(const lw_parsed_value *parsed);
void lw_value_free(lw_parsed_value *parsed);

#endif
