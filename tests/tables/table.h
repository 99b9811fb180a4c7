/* A reader of the tables of data/ of its own: what checks the tables must not share code with what embeds them. */
#ifndef TESTS_TABLE_H
#define TESTS_TABLE_H

enum { columns_most = 12, rows_most = 400 };

typedef struct table {
    char *text;                        /* the file; cells point into it */
    const char *columns[columns_most]; /* names without their types */
    int n_columns;
    const char *cells[rows_most][columns_most];
    int n_rows;
    const char *standard_and_table; /* as a source names it: "STANDARD, TABLE" */
    const char *how;
} table;

/* Ends the program with a message when the file is no table. The caller frees with table_free. */
table *table_read(const char *path);
void table_free(table *t);

const char *cell_text(const table *t, int row, const char *column);
/* A number; 0 for `-`. */
double cell_number(const table *t, int row, const char *column);

#endif
