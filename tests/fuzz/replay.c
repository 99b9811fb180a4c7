/* Feeds each file of a corpus folder to a fuzzer's entry, one TAP line a file, in the order of their names. What the
 * entry finds wrong ends the program, which the missing lines show. */
#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

enum { file_most = 1 << 22 };

static int is_visible(const struct dirent *entry) { return entry->d_name[0] != '.'; }

static int feed(const char *folder, const char *name)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "rb");
    uint8_t *bytes = malloc(file_most);
    if (file == NULL || bytes == NULL) {
        if (file != NULL) fclose(file);
        free(bytes);
        return 0;
    }
    size_t n = fread(bytes, 1, file_most, file);
    fclose(file);
    /* A block of the very size, so that a read past the end is seen. */
    uint8_t *exact = realloc(bytes, n > 0 ? n : 1);
    int is_fed = exact != NULL && LLVMFuzzerTestOneInput(exact, n) == 0;
    free(exact != NULL ? exact : bytes);
    return is_fed;
}

int main(int argc, char **argv)
{
    if (argc != 2) return fprintf(stderr, "usage: %s FOLDER\n", argv[0]), 2;
    struct dirent **entries;
    int n = scandir(argv[1], &entries, is_visible, alphasort);
    if (n <= 0) return fprintf(stderr, "%s: no corpus\n", argv[1]), 2;
    printf("1..%d\n", n);
    int failed = 0;
    for (int i = 0; i < n; i++) {
        int is_fed = feed(argv[1], entries[i]->d_name);
        failed += !is_fed;
        printf("%sok %d - %s\n", is_fed ? "" : "not ", i + 1, entries[i]->d_name);
        fflush(stdout);
        free(entries[i]);
    }
    free(entries);
    return failed != 0;
}
