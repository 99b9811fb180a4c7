/* What the benchmarks share: the clock, an order for what it told, and the text of a van file. */
#ifndef BENCH_TIMING_H
#define BENCH_TIMING_H
#include <stdio.h>
#include <time.h>

static inline double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return 1e3 * (double)t.tv_sec + 1e-6 * (double)t.tv_nsec;
}

/* For qsort over doubles. */
static inline int by_size(const void *a, const void *b)
{
    const double *x = a, *y = b;
    return (*x > *y) - (*x < *y);
}

enum { most_bytes = 4 << 20 };

/* Its length; 0 when there is none. */
static inline size_t read_text(const char *path, char *text)
{
    FILE *file = fopen(path, "rb");
    if (!file) return 0;
    size_t n = fread(text, 1, most_bytes, file);
    fclose(file);
    return n;
}

#endif
