/* How long it takes to read a van file, without the process around it. Prints the number of wires, the size of the text
 * in bytes, and the median of the times in milliseconds.
 *
 * usage: bench_read FILE */
#include "loomwall/loomwall.h"

#include "timing.h"
#include <stdio.h>
#include <stdlib.h>

enum { n_turns = 15 };

int main(int n_words, char **words)
{
    static char text[most_bytes];
    size_t n_bytes = n_words == 2 ? read_text(words[1], text) : 0;
    double times_ms[n_turns];
    size_t n_wires = 0;
    for (int turn = 0; turn < n_turns; turn++) {
        lw_van *van = NULL;
        double start_ms = now_ms();
        if (lw_van_read("bench", text, n_bytes, &van, NULL) != LW_OK) return EXIT_FAILURE;
        times_ms[turn] = now_ms() - start_ms;
        n_wires = lw_van_n_wires(van);
        lw_van_free(van);
    }
    qsort(times_ms, n_turns, sizeof *times_ms, by_size);
    printf("%zu %zu %.3f\n", n_wires, n_bytes, times_ms[n_turns / 2]);
    return EXIT_SUCCESS;
}
