/* Sources as text. */
#include "ref/source.h"

#include "base/arena.h"

const char *origin_word(origin o)
{
    static const char *const words[] = {
#define X(NAME, word) [ORIGIN_##NAME] = word,
        ORIGINS(X)
#undef X
    };
    return words[o];
}

const char *source_text(const source *s, arena *a)
{
    switch (s->how) {
    case ORIGIN_MEMORY:
        return arena_printf(a, "%s (from memory, to be confirmed)", s->document);
    case ORIGIN_SECONDARY:
        return arena_printf(a, "%s (as others quote it)", s->document);
    case ORIGIN_PUBLISHED:
    case ORIGIN_COMPUTED:
    case ORIGIN_PRACTICE:
        break;
    }
    return s->document;
}
