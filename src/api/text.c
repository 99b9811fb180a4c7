/* Texts that leave the library. See text.h. */
#include "api/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Bytes of the UTF-8 sequence at `at`, or 0 if it is none: overlong forms, surrogates and what lies above U+10FFFF are
 * none (RFC 3629, section 4). */
static size_t utf8_length(const unsigned char *at)
{
    if (at[0] < 0x80) return 1;
    size_t n = at[0] >= 0xF0 ? 4 : at[0] >= 0xE0 ? 3 : 2;
    if (at[0] < 0xC2 || at[0] > 0xF4) return 0;
    for (size_t i = 1; i < n; i++) {
        if ((at[i] & 0xC0) != 0x80) return 0;
    }
    if (at[0] == 0xE0 && at[1] < 0xA0) return 0;
    if (at[0] == 0xED && at[1] > 0x9F) return 0;
    if (at[0] == 0xF0 && at[1] < 0x90) return 0;
    if (at[0] == 0xF4 && at[1] > 0x8F) return 0;
    return n;
}

static void escape(sink *s, unsigned char byte)
{
    switch (byte) {
    case '"':
        sink_add(s, "\\\"");
        break;
    case '\\':
        sink_add(s, "\\\\");
        break;
    case '\n':
        sink_add(s, "\\n");
        break;
    case '\t':
        sink_add(s, "\\t");
        break;
    default:
        sink_printf(s, "\\u%04x", byte);
    }
}

void json_string(sink *s, const char *text)
{
    sink_add(s, "\"");
    const unsigned char *at = (const unsigned char *)text;
    while (*at) {
        size_t n = utf8_length(at);
        if (n == 0) {
            sink_add(s, "\\ufffd");
            n = 1;
        } else if (*at < 0x20 || *at == '"' || *at == '\\' || *at == 0x7F) {
            escape(s, *at);
        } else {
            sink_add_n(s, (const char *)at, n);
        }
        at += n;
    }
    sink_add(s, "\"");
}

void json_string_or_null(sink *s, const char *text)
{
    if (text) {
        json_string(s, text);
    } else {
        sink_add(s, "null");
    }
}

void json_number(sink *s, double value)
{
    char number[number_room];
    sink_add(s, number_exact(value, number));
}

void json_truth(sink *s, bool is_true) { sink_add(s, is_true ? "true" : "false"); }

void json_words(sink *s, const char *const *words, int n)
{
    sink_add(s, "[");
    for (int i = 0; i < n; i++) {
        if (i > 0) sink_add(s, ", ");
        json_string(s, words[i]);
    }
    sink_add(s, "]");
}

typedef struct giving {
    arena *arena;
    text_maker *make;
    const void *what;
    lw_status status;
    char *text;
} giving;

static void give(void *context)
{
    giving *g = context;
    sink s = sink_in(g->arena);
    g->status = g->make(&s, g->what);
    g->text = strdup(sink_text(&s));
}

lw_status text_give(text_maker *make, const void *what, char **out)
{
    giving g = {.arena = arena_create(), .make = make, .what = what, .status = LW_OK};
    bool is_made = g.arena && arena_try(g.arena, give, &g) && g.text;
    arena_destroy(g.arena);
    if (!is_made) return LW_NO_MEMORY;
    *out = g.text;
    return g.status;
}

lw_status text_copy(const char *text, char **out)
{
    if (!out) return LW_OK;
    char *copy = strdup(text);
    if (!copy) return LW_NO_MEMORY;
    *out = copy;
    return LW_OK;
}

const char *text_suggestion(const char *word, const char *const *words, int n, const char *otherwise, arena *a)
{
    int nearest = nearest_word(word, words, n);
    return nearest < 0 ? otherwise : arena_printf(a, "did you mean `%s`?", words[nearest]);
}
