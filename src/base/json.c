/* Writing JSON. See json.h. */
#include "base/json.h"

/* Bytes of the UTF-8 sequence at `at`, or 0 if it is none: overlong forms, surrogates and what lies above U+10FFFF are
 * none (RFC 3629, section 4). A NUL ends any sequence. */
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

void json_text(sink *s, const char *text)
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

void json_text_or_null(sink *s, const char *text)
{
    if (text) {
        json_text(s, text);
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
        json_text(s, words[i]);
    }
    sink_add(s, "]");
}

bool text_is_utf8(const char *text, size_t n)
{
    const unsigned char *at = (const unsigned char *)text, *end = at + n;
    while (at < end) {
        size_t length = *at == '\0' ? 0 : utf8_length(at);
        if (length == 0 || length > (size_t)(end - at)) return false;
        at += length;
    }
    return true;
}
