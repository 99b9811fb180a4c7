/* A van file as it is meant to be: a copy of its tree that edits change. What became of which entry stays known, so that the
 * text can be changed there and nowhere else (edit_splice.h), and so that what comes out can be compared with it. */
#ifndef READ_DRAFT_H
#define READ_DRAFT_H

#include "base/print.h"
#include "read/tree.h"

typedef struct draft {
    const node *was; /* what it is a copy of; NULL: it is new */
    node_form form;
    const char *key;  /* of an entry of a mapping */
    const char *text; /* SCALAR */
    bool is_plain;    /* SCALAR: to be written without quotes where that makes a difference: `true` is no text */
    bool is_moved;    /* it stands elsewhere among the entries than it did */
    int edit;         /* that touched it last; -1: none */
    struct draft *first, *next;
    int n;
} draft;

/* Of a tree, with the entries of entries; in the arena. */
draft *draft_of(arena *a, const node *n);
draft *draft_scalar(arena *a, const char *text);
draft *draft_collection(arena *a, node_form form); /* empty */

/* The entry of a mapping by its key, or NULL. */
draft *draft_get(const draft *d, const char *key);
draft *draft_at(const draft *d, int i);

/* `after` NULL: as the first. */
void draft_insert(draft *d, draft *after, draft *entry);
void draft_append(draft *d, draft *entry);
void draft_remove(draft *d, const draft *entry);
/* A scalar says something else; it keeps its quotes. Nothing happens when it says that already. */
void draft_say(draft *d, const char *text, int edit);
/* The value of `d` becomes that of `value`, which is given up. Entries that both have stay what they are. */
void draft_become(draft *d, const draft *value, int edit);
/* `d` and all within. */
void draft_touch(draft *d, int edit);

/* Whether a text without quotes means something else than the text with them. */
bool is_word_of_yaml(const char *text);
bool is_truth_word(const char *text);
/* Whether a tree says what was meant: forms, keys, values and order. */
bool draft_is(const draft *d, const node *n);

#endif
