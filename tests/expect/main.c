/* Runs the cases of the files given and prints TAP.
 *
 * usage: run_expect FILE.expect ... */
#include "subjects.h"

#include <stdlib.h>
#include <string.h>

/* The whole file, NUL-ended; NULL when it can't be read. The caller frees. */
static char *read_file(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (file == NULL) return NULL;
    size_t room = 1 << 20;
    char *text = malloc(room);
    size_t n = text != NULL ? fread(text, 1, room - 1, file) : 0;
    if (text != NULL) text[n] = '\0';
    bool is_whole = feof(file) && !ferror(file);
    fclose(file);
    if (is_whole && text != NULL && strlen(text) == n) return text;
    free(text);
    return NULL;
}

int main(int argc, char **argv)
{
    tally t = {0};
    for (int i = 1; i < argc; i++) {
        const char *slash = strrchr(argv[i], '/');
        char *text = read_file(argv[i]);
        if (text == NULL) return printf("Bail out! %s can't be read\n", argv[i]), 2;
        expect_run(slash != NULL ? slash + 1 : argv[i], text, subjects, n_subjects, stdout, &t);
        free(text);
    }
    expect_summary(&t, stdout);
    int n_bad = t.refused;
    for (int i = 0; i < N_CASE_ORIGINS; i++) n_bad += t.failed[i];
    return n_bad > 0 || t.n_lines == 0;
}
