/* Text that grows, and numbers as text: the same bytes on every run and in every locale. */
#ifndef BASE_PRINT_H
#define BASE_PRINT_H

#include "base/arena.h"

/* A growing text in an arena; `at` is always NUL-ended once something was added, and "" before. */
typedef struct sink {
    arena *arena;
    char *at;
    size_t n, room;
} sink;

sink sink_in(arena *a);
void sink_add(sink *s, const char *text);
void sink_add_n(sink *s, const char *text, size_t n);
void sink_printf(sink *s, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* What was added so far, NUL-ended; "" if nothing. */
const char *sink_text(const sink *s);

/* The shortest decimal of 15, 16 or 17 digits that reads back as `value`; integers below 1e15 without a point.
 * For JSON: a value that is not finite becomes "null". `room` bytes at `out`, at least 32. */
enum { number_room = 32 };
const char *number_exact(double value, char out[number_room]);

/* `value` rounded to `digits` significant digits, no exponent between 1e-4 and 1e9, trailing zeros dropped: for people. */
const char *number_short(double value, int digits, char out[number_room]);

/* The index of the word nearest to `word` among `n` (Damerau-Levenshtein), or -1 when none is near enough to suggest
 * (at most a third of its length, at least 1). Ties go to the first. */
int nearest_word(const char *word, const char *const *words, int n);

#endif
