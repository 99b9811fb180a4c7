/* Edits of a van file, as splices of its text.
 *
 * A file is its builder's. An edit changes what it is about and keeps every other byte: comments, order, spacing, quotes,
 * line ends. It finds its places from the parser's marks, and trusts none of them: what comes out is read again and
 * compared with the tree that was meant, and where they differ (YAML has many ways to write the same) there is no edit, but
 * words that tell how to do it by hand. */
#ifndef READ_EDIT_H
#define READ_EDIT_H

#include "model/van.h"
#include "read/draft.h"

/* A file as it was read: the van, and its text, with a NUL behind it. */
typedef struct edited_file {
    const van *van;
    const char *text;
    size_t n;
} edited_file;

typedef enum edit_verb { EDIT_PUT, EDIT_DROP, EDIT_RENAME, EDIT_WIRE, EDIT_MOVE } edit_verb;

/* See loomwall/edit.h. */
typedef struct edit {
    edit_verb verb;
    const char *const *path;
    int n_path;
    draft *value; /* PUT, WIRE; given up to the edit */
    const char *to;
} edit;

typedef struct edited {
    const char *text;    /* NULL: there is no edit */
    const char *why;     /* then: what stands against it, with the way out */
    int edit;            /* then: which edit, or -1 */
    const char **labels; /* of the wires that were added */
    int n_labels;
    const draft *meant;
    const node *now; /* the tree of the text, which is what was meant */
} edited;

/* All edits or none, in the arena. The text reads as YAML and as what was meant; whether it is a van is left to be asked. */
edited edit_make(arena *a, const edited_file *file, const edit *edits, int n);

/* The edit that made what stands at a place of the new text; -1 when none did. */
int edit_at(const edited *e, place where);

/* The bytes of the value at a path of a text that need not be a van; NULL when nothing is there. False when the text can't
 * be read as YAML. */
bool edit_raw_value(arena *a, const char *text, size_t n, const char *const *path, int n_path, const char **raw);

/* A path as messages name it. */
const char *path_text(arena *a, const char *const *path, int n);

/* The text with the wires of `unlabelled` moved to the end of `wires`, each under the label that the van has for it. The
 * key `unlabelled` stays, with nothing in it. Lines keep their comments and move to the indentation of `wires`. The same
 * text when there are none. NULL, and *why, when it can't be done. In the arena. */
const char *edit_give_labels(arena *a, const edited_file *file, const char **why);

/* The text with one more label in `retired`. The label is sound, and no wire of the file has it. The same text when it is
 * retired already. */
const char *edit_retire(arena *a, const edited_file *file, const char *label, const char **why);

#endif
