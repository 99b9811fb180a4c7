/* Circuits of a few elements, solved for their operating point.
 *
 *     given circuit E source plus 0 voltage=12_V resistance=0.1_ohm
 *     given circuit pump power plus 0 takes=100_W
 *     expect volts.plus 11.0990195 V tolerance 0.0001 %
 *     expect amps.pump 9.0098 A tolerance 0.001 %
 *     expect outcome solved
 *
 * One element a line: its name, what it is, its nodes a and b. Node 0 is what voltages are against; current counts
 * positive from a to b, and a source's a is its positive terminal. */
#include "hand.h"
#include "subjects.h"

#include <math.h>
#include <string.h>

typedef struct circuit {
    hand *hand;
    ARRAY(const char *) nodes; /* by their index; the first is "0" */
    const char **elements;     /* name of each part */
} circuit;

/* Index of a name, or -1. */
static int find(const char *const *names, int n, const char *name)
{
    for (int i = 0; i < n; i++) {
        if (strcmp(names[i], name) == 0) return i;
    }
    return -1;
}

static int node_of(expect_case *c, circuit *k, const char *name)
{
    int found = find(k->nodes.at, (int)k->nodes.n, name);
    if (found >= 0) return found;
    *ARRAY_ADD(c->arena, &k->nodes) = name;
    return hand_nodes(k->hand, 1);
}

static const char *bare_word(expect_case *c, int line)
{
    const word *w = given_next(c, line);
    if (w != NULL && w->value == NULL) return w->key;
    case_refuse(c, line, "an element is NAME TYPE NODE NODE, then its values");
    return "0";
}

static double value_of(expect_case *c, int line, const char *key, dimension d, const char *otherwise)
{
    return given_SI(c, line, key, d, otherwise);
}

static void add_element(expect_case *c, circuit *k, int line)
{
    k->elements[line] = bare_word(c, line);
    const char *type = bare_word(c, line);
    int a = node_of(c, k, bare_word(c, line)), b = node_of(c, k, bare_word(c, line));
    hand *h = k->hand;
    if (strcmp(type, "source") == 0) {
        hand_source(h, a, b, value_of(c, line, "voltage", DIMENSION_VOLTAGE, NULL),
                    value_of(c, line, "resistance", DIMENSION_RESISTANCE, "0 ohm"));
    } else if (strcmp(type, "resistor") == 0) {
        hand_resistor(h, a, b, value_of(c, line, "resistance", DIMENSION_RESISTANCE, NULL));
    } else if (strcmp(type, "power") == 0) {
        hand_power(h, -1, a, b, value_of(c, line, "takes", DIMENSION_POWER, NULL));
    } else if (strcmp(type, "current") == 0) {
        hand_current(h, -1, a, b, value_of(c, line, "takes", DIMENSION_CURRENT, NULL));
    } else if (strcmp(type, "diode") == 0) {
        hand_diode(h, a, b, value_of(c, line, "drop", DIMENSION_VOLTAGE, NULL),
                   value_of(c, line, "resistance", DIMENSION_RESISTANCE, "0 ohm"));
    } else {
        case_refuse(c, line,
                    arena_printf(c->arena, "`%s` is no element: source, resistor, power, current, diode", type));
    }
}

static answer read_off(expect_case *c, circuit *k, const char *wanted)
{
    static const char volts[] = "volts.", amps[] = "amps.";
    const operating_point *op = hand_solve(k->hand, NULL);
    if (strcmp(wanted, "outcome") == 0) return answer_word(outcome_word(op->outcome));
    if (strncmp(wanted, volts, sizeof volts - 1) == 0) {
        int node = find(k->nodes.at, (int)k->nodes.n, wanted + sizeof volts - 1);
        if (node >= 0) return answer_number(op->node_V[node], DIMENSION_VOLTAGE);
    }
    if (strncmp(wanted, amps, sizeof amps - 1) == 0) {
        int part = find(k->elements, c->n_givens, wanted + sizeof amps - 1);
        if (part >= 0) return answer_number(op->current_A[k->hand->index[part]], DIMENSION_CURRENT);
    }
    return answer_unknown(c, wanted);
}

answer answer_circuit(expect_case *c, const char *wanted)
{
    circuit k = {.hand = hand_create(), .elements = ARENA_ARRAY(c->arena, const char *, c->n_givens)};
    node_of(c, &k, "0");
    k.hand->net.reference = 0;
    for (int line = 0; line < c->n_givens; line++) add_element(c, &k, line);
    answer found = answer_number(NAN, DIMENSION_NUMBER);
    if (c->wrong == NULL) found = read_off(c, &k, wanted);
    hand_destroy(k.hand);
    return found;
}
