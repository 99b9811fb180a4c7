/* Edits of a van file, as splices of its text: labels that stand from now on, and labels that are retired.
 *
 * A file is its builder's. An edit changes what it is about and keeps every other byte: comments, order, spacing, quotes,
 * line ends. It finds its places from the parser's marks, and trusts none of them: what comes out is read again and
 * compared with the tree that was meant, and where they differ (YAML has many ways to write the same) there is no edit, but
 * words that tell how to do it by hand. */
#ifndef READ_EDIT_H
#define READ_EDIT_H

#include "model/van.h"

/* A file as it was read: the van, and its text, with a NUL behind it. */
typedef struct edited_file {
    const van *van;
    const char *text;
    size_t n;
} edited_file;

/* The text with the wires of `unlabelled` moved to the end of `wires`, each under the label that the van has for it. The
 * key `unlabelled` stays, with nothing in it. Lines keep their comments and move to the indentation of `wires`. The same
 * text when there are none. NULL, and *why, when it can't be done. In the arena. */
const char *edit_give_labels(arena *a, const edited_file *file, const char **why);

/* The text with one more label in `retired`. The label is sound, and no wire of the file has it. The same text when it is
 * retired already. */
const char *edit_retire(arena *a, const edited_file *file, const char *label, const char **why);

#endif
