/* Where a number comes from. Every row of data/ carries one, and every limit that a finding shows names it. */
#ifndef REF_SOURCE_H
#define REF_SOURCE_H

/* X(NAME, word): how the number was got */
#define ORIGINS(X)                                                                                                     \
    X(PUBLISHED, "published") /* read from the document, or a copy of it */                                            \
    X(SECONDARY, "secondary") /* read where somebody else quotes the document */                                       \
    X(COMPUTED, "computed")   /* from a published formula */                                                           \
    X(MEMORY, "memory")       /* from memory, to be confirmed */                                                       \
    X(PRACTICE, "practice")   /* common practice, no source */

typedef enum origin {
#define X(NAME, word) ORIGIN_##NAME,
    ORIGINS(X)
#undef X
} origin;

typedef struct source {
    const char *document; /* "33 CFR 183.425, table 5"; "common practice" where origin is PRACTICE */
    origin how;
} source;

/* Look-ups answer where their number is from through a pointer that may be NULL, for those who don't ask. */
static inline void source_give(source *to, source from)
{
    if (to) *to = from;
}

const char *origin_word(origin o);
/* "33 CFR 183.425, table 5", "IEC 60228, table 3 (as others quote it)", "ISO 10133, annex A (from memory, to be
 * confirmed)", "common practice". Static text or in the arena. */
struct arena;
const char *source_text(const source *s, struct arena *a);

#endif
