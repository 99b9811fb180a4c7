/* How long it takes to draw the circuit diagram for the screen after an edit: the text is read, and the scene drawn with faces that
 * are open already. Prints the median times in milliseconds of reading, of drawing, and of drawing with faces opened for it alone,
 * measured in turns, and the size of the scene in bytes.
 *
 * usage: bench_scene FILE */
#include "loomwall/scene.h"

#include "timing.h"
#include <stdio.h>
#include <stdlib.h>

enum { n_turns = 15, n_kinds_of_time = 3 };

/* Milliseconds; negative when it could not be drawn. */
static double draw_ms(const lw_van *van, lw_faces *faces, size_t *n_bytes)
{
    const lw_scene_options options = {.faces = faces};
    char *svg = NULL;
    double start_ms = now_ms();
    if (lw_scene_draw(van, "diagram", &options, &svg, n_bytes, NULL) != LW_OK) return -1;
    double ms = now_ms() - start_ms;
    lw_free(svg);
    return ms;
}

int main(int n_words, char **words)
{
    static char text[most_bytes];
    size_t n_text = n_words == 2 ? read_text(words[1], text) : 0, n_bytes = 0;
    double times_ms[n_kinds_of_time][n_turns];
    lw_faces *faces = NULL;
    if (lw_faces_open(&faces, NULL) != LW_OK) return EXIT_FAILURE;
    for (int turn = -1; turn < n_turns; turn++) { /* the first warms up */
        lw_van *van = NULL;
        double start_ms = now_ms();
        if (lw_van_read("bench", text, n_text, &van, NULL) != LW_OK) return EXIT_FAILURE;
        const double turn_ms[] = {now_ms() - start_ms, draw_ms(van, faces, &n_bytes), draw_ms(van, NULL, &n_bytes)};
        lw_van_free(van);
        if (turn_ms[1] < 0 || turn_ms[2] < 0) return EXIT_FAILURE;
        for (int k = 0; turn >= 0 && k < n_kinds_of_time; k++) times_ms[k][turn] = turn_ms[k];
    }
    lw_faces_close(faces);
    for (int k = 0; k < n_kinds_of_time; k++) {
        qsort(times_ms[k], n_turns, sizeof times_ms[k][0], by_size);
        printf("%.3f ", times_ms[k][n_turns / 2]);
    }
    printf("%zu\n", n_bytes);
    return EXIT_SUCCESS;
}
