/* Text to a small tree of nodes with places, over the event parser of libyaml.
 *
 * The van file is YAML 1.2 without anchors, aliases and tags: one document, every value written where it stands. What
 * the tree can't hold is reported here, so that the readers above see clean text: it is UTF-8, holds no NUL, no control
 * characters and none of the line breaks that editors do not agree on (U+0085, U+2028, U+2029). */
#ifndef READ_TREE_H
#define READ_TREE_H

#include "base/report.h"

typedef enum node_form {
    NODE_SCALAR,
    NODE_SEQUENCE,
    NODE_MAPPING,
    NODE_BROKEN /* an alias or the like: it was reported, nobody need say more about it */
} node_form;

typedef struct node {
    node_form form;
    place where;
    const char *text; /* SCALAR: NUL-ended */
    bool is_plain;    /* SCALAR: written without quotes */
    bool is_flow;     /* list or mapping in brackets */
    const char *key;  /* of an entry of a mapping */
    place key_where;
    uint32_t start,
        end; /* where its text lies, in characters from the start of the text, a byte-order mark not counted;
                            an empty value lies behind its colon; the text of a list or mapping without brackets ends
                            with that of its last entry. For edit.h */
    uint32_t key_start, key_end;
    struct node *first, *next; /* entries of this; the next entry of what holds this */
    int n;                     /* entries */
} node;

/* The largest text, depth and number of nodes that are read. */
enum { text_most = 4 * 1024 * 1024, depth_most = 64, nodes_most = 1000 * 1000 };

/* The root of the one document in text[0..n), which is a mapping; or NULL when there is none to go on with. Whatever is
 * wrong is in the report, also when a root comes back. Nodes live in the arena. */
node *tree_read(arena *a, const char *text, size_t n, report *r);

/* The entry of a mapping, or NULL. Of duplicates (which are reported) the first. */
const node *node_get(const node *mapping, const char *key);

/* "a list", "a mapping", "text": for messages. */
const char *node_form_name(const node *n);

#endif
