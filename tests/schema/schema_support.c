/* For run_schema.py: prints the schema, a starter file, or a YAML file as JSON after the core schema of YAML 1.2 (so that
 * `off` is a word and `8` a number), as an editor hands it to a validator; or tells by its status whether a van reads. */
#include "read/read.h"
#include "read/tree.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void print_string(const char *text)
{
    putchar('"');
    for (const char *c = text; *c; c++) {
        if (*c == '"' || *c == '\\')
            printf("\\%c", *c);
        else if ((unsigned char)*c < 0x20)
            printf("\\u%04x", (unsigned)*c);
        else
            putchar(*c);
    }
    putchar('"');
}

/* JSON writes numbers as YAML does, but for a leading + or 0 and a bare point, which no test file has. */
static bool is_number(const char *text)
{
    char *end;
    strtod(text, &end);
    return *text && !*end && (isdigit((unsigned char)*text) || (*text == '-' && isdigit((unsigned char)text[1])));
}

static void print_json(const node *n)
{
    if (n->form == NODE_SCALAR) {
        bool is_null = !*n->text || strcmp(n->text, "~") == 0 || strcmp(n->text, "null") == 0;
        if (n->is_plain && is_null)
            fputs("null", stdout);
        else if (n->is_plain && (is_number(n->text) || strcmp(n->text, "true") == 0 || strcmp(n->text, "false") == 0))
            fputs(n->text, stdout);
        else
            print_string(n->text);
        return;
    }
    putchar(n->form == NODE_MAPPING ? '{' : '[');
    for (const node *e = n->first; e; e = e->next) {
        if (n->form == NODE_MAPPING) {
            print_string(e->key);
            putchar(':');
        }
        print_json(e);
        if (e->next) putchar(',');
    }
    putchar(n->form == NODE_MAPPING ? '}' : ']');
}

/* Reads a file as JSON, or as a van: 0 when it reads without an error. */
static int use_file(arena *a, const char *path, bool is_json)
{
    FILE *f = fopen(path, "rb");
    if (!f) return perror(path), 2;
    char *text = arena_take(a, text_most, 1);
    size_t n = fread(text, 1, text_most, f);
    fclose(f);
    report *r = report_create(a, path);
    if (!is_json) return read_van(a, path, text, n, r) ? 0 : 1;
    const node *root = tree_read(a, text, n, r);
    if (!root) return 1;
    print_json(root);
    return 0;
}

int main(int argc, char **argv)
{
    arena *a = arena_create();
    if (!a) return 3;
    int status = 0;
    if (argc == 2 && strcmp(argv[1], "schema") == 0)
        fputs(read_schema(a), stdout);
    else if (argc == 4 && strcmp(argv[1], "starter") == 0) {
        practice p = strcmp(argv[2], "europe") == 0 ? PRACTICE_EUROPE : PRACTICE_NORTH_AMERICA;
        fputs(starter_text(p, atof(argv[3]), "Starter", a), stdout);
    } else if (argc == 3)
        status = use_file(a, argv[2], strcmp(argv[1], "json") == 0);
    else
        status = 2;
    arena_destroy(a);
    return status;
}
