/* Text that grows, numbers as text, the nearest word. See print.h. */
#include "base/print.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

sink sink_in(arena *a) { return (sink){.arena = a}; }

static void sink_reserve(sink *s, size_t more)
{
    if (s->n + more + 1 <= s->room) return;
    size_t room = s->room ? s->room : 256;
    while (room < s->n + more + 1) room *= 2;
    char *moved = arena_take(s->arena, room, 1);
    if (s->n) memcpy(moved, s->at, s->n);
    s->at = moved;
    s->room = room;
}

void sink_add_n(sink *s, const char *text, size_t n)
{
    sink_reserve(s, n);
    if (n) memcpy(s->at + s->n, text, n);
    s->n += n;
    s->at[s->n] = '\0';
}

void sink_add(sink *s, const char *text) { sink_add_n(s, text, strlen(text)); }

void sink_printf(sink *s, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    int n = vsnprintf(NULL, 0, format, args);
    va_end(args);
    if (n > 0) {
        sink_reserve(s, (size_t)n);
        vsnprintf(s->at + s->n, (size_t)n + 1, format, again);
        s->n += (size_t)n;
    }
    va_end(again);
}

const char *sink_text(const sink *s) { return s->at ? s->at : ""; }

const char *number_exact(double value, char out[number_room])
{
    if (!isfinite(value)) return strcpy(out, "null");
    if (value == 0) return strcpy(out, "0");
    if (value == floor(value) && fabs(value) < 1e15) {
        snprintf(out, number_room, "%.0f", value);
        return out;
    }
    for (int digits = 15; digits <= 17; digits++) {
        snprintf(out, number_room, "%.*g", digits, value);
        if (strtod(out, NULL) == value) break;
    }
    return out;
}

static void drop_trailing_zeros(char *text)
{
    if (!strchr(text, '.')) return;
    char *end = text + strlen(text);
    while (end[-1] == '0') *--end = '\0';
    if (end[-1] == '.') end[-1] = '\0';
}

const char *number_short(double value, int digits, char out[number_room])
{
    if (isnan(value)) return strcpy(out, "unknown");
    if (isinf(value)) return strcpy(out, value > 0 ? "endless" : "-endless");
    if (fabs(value) < 1e-12) return strcpy(out, "0");
    char rounded[number_room];
    snprintf(rounded, sizeof rounded, "%.*e", digits - 1, value); /* decides the decade after rounding */
    int decade = atoi(strchr(rounded, 'e') + 1);
    if (decade < -4 || decade > 9) {
        snprintf(out, number_room, "%.*g", digits, value);
        return out;
    }
    int decimals = digits - 1 - decade;
    snprintf(out, number_room, "%.*f", decimals > 0 ? decimals : 0, strtod(rounded, NULL));
    drop_trailing_zeros(out);
    return out;
}

static int least(int a, int b) { return a < b ? a : b; }

/* Damerau-Levenshtein distance (adjacent swaps count one), words cut at 63 bytes. */
static int word_distance(const char *a, const char *b)
{
    enum { most = 63 };
    int n = least((int)strlen(a), most), m = least((int)strlen(b), most);
    int d[most + 1][most + 1];
    for (int i = 0; i <= n; i++) d[i][0] = i;
    for (int j = 0; j <= m; j++) d[0][j] = j;
    for (int i = 1; i <= n; i++) {
        for (int j = 1; j <= m; j++) {
            d[i][j] = least(least(d[i - 1][j], d[i][j - 1]) + 1, d[i - 1][j - 1] + (a[i - 1] != b[j - 1]));
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                d[i][j] = least(d[i][j], d[i - 2][j - 2] + 1);
        }
    }
    return d[n][m];
}

int nearest_word(const char *word, const char *const *words, int n)
{
    int best = -1, allowed = (int)strlen(word) / 3;
    if (allowed < 1) allowed = 1;
    for (int i = 0; i < n; i++) {
        int d = word_distance(word, words[i]);
        if (d < allowed || (d == allowed && best < 0)) {
            best = i;
            allowed = d;
        }
    }
    return best;
}
