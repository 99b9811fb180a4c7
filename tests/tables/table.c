#include "table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static _Noreturn void give_up(const char *path, const char *why)
{
    printf("Bail out! %s: %s\n", path, why);
    exit(2);
}

static char *read_file(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (file == NULL) give_up(path, "cannot be opened");
    size_t room = 1 << 18;
    char *text = malloc(room);
    if (text == NULL) give_up(path, "no memory");
    size_t n = fread(text, 1, room - 1, file);
    fclose(file);
    if (n == room - 1) give_up(path, "is too long");
    text[n] = '\0';
    return text;
}

/* Splits a line at its tabs, in place. */
static int split(char *line, const char **cells, const char *path)
{
    int n = 0;
    for (char *at = line; at != NULL;) {
        if (n == columns_most) give_up(path, "too many columns");
        cells[n++] = at;
        at = strchr(at, '\t');
        if (at != NULL) *at++ = '\0';
    }
    return n;
}

static void read_heading(table *t, char *line)
{
    static const char standard[] = "# standard: ", place[] = "# table: ", how[] = "# how: ";
    if (strncmp(line, how, sizeof how - 1) == 0) t->how = line + sizeof how - 1;
    if (strncmp(line, standard, sizeof standard - 1) == 0) t->standard_and_table = strdup(line + sizeof standard - 1);
    if (strncmp(line, place, sizeof place - 1) == 0 && t->standard_and_table != NULL) {
        char *both = NULL;
        if (asprintf(&both, "%s, %s", t->standard_and_table, line + sizeof place - 1) < 0) abort();
        free((char *)t->standard_and_table);
        t->standard_and_table = both;
    }
}

static void read_line(table *t, char *line, const char *path)
{
    if (line[0] == '#') {
        read_heading(t, line);
    } else if (t->n_columns == 0) {
        t->n_columns = split(line, t->columns, path);
        for (int i = 0; i < t->n_columns; i++) {
            char *colon = strchr(t->columns[i], ':');
            if (colon == NULL) give_up(path, "a column without a type");
            *colon = '\0';
        }
    } else {
        if (t->n_rows == rows_most) give_up(path, "too many rows");
        if (split(line, t->cells[t->n_rows++], path) != t->n_columns) give_up(path, "a row of another width");
    }
}

table *table_read(const char *path)
{
    table *t = calloc(1, sizeof *t);
    if (t == NULL) give_up(path, "no memory");
    t->text = read_file(path);
    for (char *line = t->text; line != NULL && *line != '\0';) {
        char *end = strchr(line, '\n');
        if (end != NULL) *end++ = '\0';
        read_line(t, line, path);
        line = end;
    }
    if (t->n_rows == 0 || t->how == NULL || t->standard_and_table == NULL) give_up(path, "is no table");
    return t;
}

void table_free(table *t)
{
    free((char *)t->standard_and_table);
    free(t->text);
    free(t);
}

const char *cell_text(const table *t, int row, const char *column)
{
    for (int i = 0; i < t->n_columns; i++) {
        if (strcmp(t->columns[i], column) == 0) return t->cells[row][i];
    }
    give_up(column, "no such column");
}

double cell_number(const table *t, int row, const char *column)
{
    const char *text = cell_text(t, row, column);
    if (strcmp(text, "-") == 0) return 0;
    char *end;
    double value = strtod(text, &end);
    if (*end != '\0') give_up(column, "not a number");
    return value;
}
