/* Scalars as text. See edit_scalar.h. */
#include "read/edit_scalar.h"

#include "base/print.h"
#include "read/draft.h"
#include <ctype.h>
#include <string.h>

scalar_quotes quotes_of(char first)
{
    return first == '"' ? QUOTES_DOUBLE : first == '\'' ? QUOTES_SINGLE : QUOTES_IF_NEEDED;
}

/* Letters, digits and a few marks, with single spaces between: plain wherever it stands. */
static bool is_simple(const char *text)
{
    if (!isalnum((unsigned char)*text)) return false;
    for (const char *c = text; *c; c++) {
        bool is_space = *c == ' ' && c[1] && c[1] != ' ';
        if (!is_space && !isalnum((unsigned char)*c) && !strchr("./%-_", *c)) return false;
    }
    return true;
}

/* Asks the parser: what the text reads as where it stands. */
static bool reads_back(arena *a, const char *text, scalar_place where)
{
    const char *form = where.is_key       ? where.is_in_flow ? "{%s: x}" : "%s: x\n"
                       : where.is_in_flow ? "{k: %s}"
                                          : "k: %s\n";
    sink s = sink_in(a);
    const char *at = strstr(form, "%s");
    sink_add_n(&s, form, (size_t)(at - form));
    sink_add(&s, text);
    sink_add(&s, at + 2);
    report *r = report_create(a, "");
    const node *root = tree_read(a, sink_text(&s), s.n, r);
    if (!root || root->n != 1 || !report_is_empty(r)) return false;
    if (where.is_key) return strcmp(root->first->key, text) == 0;
    return root->first->form == NODE_SCALAR && root->first->is_plain && strcmp(root->first->text, text) == 0;
}

static bool is_plain(arena *a, const char *text, bool is_word, scalar_place where)
{
    if (is_word) return true;
    return !is_word_of_yaml(text) && (is_simple(text) || reads_back(a, text, where));
}

/* Bytes of a character that double quotes have to escape: control characters, and the line breaks on which editors do not
 * agree. 0: none. */
static size_t escaped_length(const char *c)
{
    unsigned char u = (unsigned char)*c, v = (unsigned char)c[u ? 1 : 0];
    if (u < 0x20 || u == 0x7F) return 1;
    if (u == 0xC2 && v < 0xA0) return 2;
    if (u == 0xE2 && v == 0x80 && ((unsigned char)c[2] == 0xA8 || (unsigned char)c[2] == 0xA9)) return 3;
    return u == 0xEF && v == 0xBB && (unsigned char)c[2] == 0xBF ? 3 : 0;
}

static unsigned code_of(const char *c, size_t n)
{
    unsigned u = (unsigned char)c[0];
    if (n == 1) return u;
    if (n == 2) return (u & 0x1F) << 6 | ((unsigned char)c[1] & 0x3F);
    return (u & 0x0F) << 12 | (unsigned)((unsigned char)c[1] & 0x3F) << 6 | ((unsigned char)c[2] & 0x3F);
}

static const char *in_double(arena *a, const char *text)
{
    sink s = sink_in(a);
    sink_add(&s, "\"");
    while (*text) {
        size_t n = escaped_length(text);
        if (*text == '"' || *text == '\\')
            sink_printf(&s, "\\%c", *text), n = 1;
        else if (*text == '\n')
            sink_add(&s, "\\n");
        else if (*text == '\t')
            sink_add(&s, "\\t");
        else if (n > 0)
            sink_printf(&s, "\\u%04x", code_of(text, n));
        else
            sink_add_n(&s, text, 1);
        text += n ? n : 1;
    }
    sink_add(&s, "\"");
    return sink_text(&s);
}

static bool has_escape(const char *text)
{
    for (; *text; text++)
        if (escaped_length(text) > 0) return true;
    return false;
}

static const char *in_single(arena *a, const char *text)
{
    sink s = sink_in(a);
    sink_add(&s, "'");
    for (; *text; text++) {
        if (*text == '\'') sink_add(&s, "'");
        sink_add_n(&s, text, 1);
    }
    sink_add(&s, "'");
    return sink_text(&s);
}

const char *scalar_written(arena *a, const char *text, bool is_word, scalar_place where)
{
    bool is_wished = where.quotes != QUOTES_IF_NEEDED;
    if (!is_wished && is_plain(a, text, is_word, where)) return text;
    bool is_single = where.quotes == QUOTES_SINGLE || (!is_wished && strpbrk(text, "\"\\"));
    return is_single && !has_escape(text) ? in_single(a, text) : in_double(a, text);
}
