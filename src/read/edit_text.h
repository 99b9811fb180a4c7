/* Places in the text of a file, and splices of it: what every edit is made of in the end.
 *
 * The parser's marks count characters, a byte-order mark not counted; splices count bytes. Lines end as those of the file
 * do. */
#ifndef READ_EDIT_TEXT_H
#define READ_EDIT_TEXT_H

#include "base/print.h"
#include "read/tree.h"

typedef struct splice { /* n bytes at `at` give way to `text` */
    size_t at, n;
    const char *text;
    bool are_lines; /* which start on a line of their own, also behind a last line without an end */
} splice;

typedef struct edit_text {
    arena *arena;
    const char *text;
    size_t n;
    const uint32_t *byte_of; /* of each character of the text, and of its end */
    const char *line_break;
    ARRAY(splice) splices;
} edit_text;

/* The text is borrowed; there is a NUL behind it. */
edit_text edit_text_of(arena *a, const char *text, size_t n);

bool is_break(char c);
size_t start_of(const edit_text *t, const node *n);
size_t end_of(const edit_text *t, const node *n);
size_t key_start_of(const edit_text *t, const node *n);
size_t key_end_of(const edit_text *t, const node *n);
const char *bytes_of(const edit_text *t, const node *n);

bool starts_line(const edit_text *t, size_t at);
size_t line_start(const edit_text *t, size_t at);
/* Where the next line starts, or the end of the text. */
size_t after_line(const edit_text *t, size_t at);
/* The break of the line, or the end of the text. */
size_t line_end(const edit_text *t, size_t at);
/* Where the lines of a value end; that of a block of text ends behind its last line. */
size_t after_value(const edit_text *t, const node *n);
/* `c` in [from, to) outside of comments, or `to`. */
size_t find_mark(const edit_text *t, size_t from, size_t to, char c);
/* Nothing but spaces and tabs in [from, to). */
bool is_blank(const edit_text *t, size_t from, size_t to);
bool holds_break(const edit_text *t, size_t from, size_t to);
/* Columns, in characters from 0, of a byte. */
int column_of(const edit_text *t, size_t at);

void splice_in(edit_text *t, size_t at, size_t n, const char *text);
/* Whole lines, each with its break, where a line starts or the text ends. */
void splice_lines(edit_text *t, size_t at, size_t n, const char *lines);
/* The text with its splices. What two of them take out goes once; NULL when one takes out what another puts in. */
const char *spliced(edit_text *t);

#endif
