/* How fast switch positions are gone through, by the method of choice and by plain enumeration, on the van files given.
 * Watches the rms current of every wire. Prints, for each file: positions, then for both methods the milliseconds and
 * the solves made; plain is left out ("-") above 2^16 positions.
 *
 * usage: bench_states THREADS FILE... */
#include "circuit/states.h"
#include "read/read.h"

#include "timing.h"
#include <stdio.h>
#include <stdlib.h>

static const double most_plain = 65536;

static const van *read_file(arena *a, const char *path)
{
    char *text = arena_take(a, most_bytes, 1);
    size_t n = read_text(path, text);
    if (n == 0) return NULL;
    return read_van(a, path, text, n, report_create(a, path));
}

static const states *run_and_print(arena *a, const network *net, const watch *watches, states_options o)
{
    double start_ms = now_ms();
    const states *s = states_run(a, net, watches, net->van->n_wires, &o);
    printf(" %s %.3f %ld", s->is_complete ? s->method : "incomplete", now_ms() - start_ms, s->n_solves);
    return s;
}

static bool measure(const char *path, int n_threads)
{
    arena *a = arena_create();
    const van *v = a ? read_file(a, path) : NULL;
    if (!v) return false;
    conditions c = conditions_meter();
    const network *net = network_build(a, v, &c);
    watch *watches = ARENA_ARRAY(a, watch, (size_t)v->n_wires);
    for (int w = 0; w < v->n_wires; w++) watches[w] = (watch){.kind = WATCH_WIRE_RMS_A, .index = w};
    states_options o = states_defaults();
    o.n_threads = n_threads;
    const states *best = run_and_print(a, net, watches, o);
    o.method = STATES_PLAIN;
    if (best->n_positions <= most_plain) {
        run_and_print(a, net, watches, o);
    } else {
        printf(" - - -");
    }
    printf(" %.17g\n", best->n_positions);
    arena_destroy(a);
    return true;
}

int main(int n_words, char **words)
{
    if (n_words < 3) return EXIT_FAILURE;
    for (int i = 2; i < n_words; i++) {
        if (!measure(words[i], atoi(words[1]))) return EXIT_FAILURE;
    }
    return EXIT_SUCCESS;
}
