/* See csv.h. */
#include "sheets/csv.h"

#include <string.h>

static void add_cell(sink *out, const char *text)
{
    if (!strpbrk(text, ",\"\r\n")) {
        sink_add(out, text);
        return;
    }
    sink_add(out, "\"");
    for (const char *c = text; *c; c++) sink_add_n(out, *c == '"' ? "\"\"" : c, *c == '"' ? 2 : 1);
    sink_add(out, "\"");
}

void csv_row(sink *out, int n, const char *const *cells)
{
    for (int i = 0; i < n; i++) {
        if (i) sink_add(out, ",");
        add_cell(out, cells[i]);
    }
    sink_add(out, "\r\n");
}
