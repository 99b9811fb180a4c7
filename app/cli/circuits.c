/* `loomwall add`: a ready-made circuit into a van file. `loomwall new`: a file to start from, with the circuits that are
 * asked for. */
#include "loomwall/circuits.h"
#include "base/json.h"
#include "files.h"
#include "loomwall/meter.h"
#include "loomwall/tell.h"
#include "say.h"
#include "van.h"

#include <stdlib.h>
#include <string.h>

/* "name=value"; false, having complained, when it is none. */
static bool answer_read(arena *a, const char *text, lw_answer *out)
{
    const char *equals = strchr(text, '=');
    if (!equals || equals == text) return complain("`%s` is no answer; write it as `draws=6A`", text), false;
    *out = (lw_answer){arena_text_n(a, text, (size_t)(equals - text)), equals + 1};
    return true;
}

/* ---- add ---- */

static int list_circuits(const lw_van *van, bool is_json)
{
    char *text = NULL;
    lw_status given = is_json ? lw_circuits_json(van, &text) : lw_circuits_text(van, &text);
    return say_given(given, text, EXIT_OPEN);
}

static int tell_addition(const arguments *arguments, const lw_addition *addition)
{
    const char *file = arguments->operands[0];
    const bool is_written = is_given(arguments, OPTION_WRITE);
    size_t n_items, n_wires;
    const char *const *items = lw_addition_items(addition, &n_items), *const *wires =
                                                                          lw_addition_wires(addition, &n_wires);
    sink s = sink_in(arguments->arena);
    if (is_given(arguments, OPTION_JSON)) {
        sink_add(&s, "{\"items\": ");
        json_words(&s, items, (int)n_items);
        sink_add(&s, ", \"wires\": ");
        json_words(&s, wires, (int)n_wires);
        sink_add(&s, ", \"written\": ");
        json_truth(&s, is_written);
        sink_add(&s, "}\n");
        return say(sink_text(&s), EXIT_OPEN);
    }
    sink_add(&s, "items: ");
    sink_words(&s, items, n_items);
    sink_add(&s, "\nwires: ");
    sink_words(&s, wires, n_wires);
    if (is_written)
        sink_printf(&s, "\n\nWritten to %s. Measure the runs and correct their lengths, then: loomwall judge %s\n",
                    file, file);
    else
        sink_add(&s, "\n\nThis is what would be added; nothing is written without `--write`.\n");
    return say(sink_text(&s), EXIT_OPEN);
}

static int add_circuit(const arguments *arguments, const lw_van *van)
{
    const size_t n = (size_t)arguments->n_values[OPTION_ANSWER];
    lw_answer *answers = ARENA_ARRAY(arguments->arena, lw_answer, n + 1);
    for (size_t i = 0; i < n; i++)
        if (!answer_read(arguments->arena, arguments->values[OPTION_ANSWER][i], &answers[i])) return EXIT_UNREAD;
    lw_addition *addition = NULL;
    char *why = NULL;
    int status = complain_of(lw_circuit_add(van, arguments->operands[1], answers, n, &addition, &why), &why);
    lw_free(why);
    if (status != EXIT_OPEN) return status;
    status = write_back(arguments, van, lw_addition_text(addition));
    if (status == EXIT_OPEN) status = tell_addition(arguments, addition);
    lw_addition_free(addition);
    return status;
}

int run_add(const arguments *arguments)
{
    lw_van *van = NULL;
    int status = load_van(arguments, &van);
    if (status == EXIT_OPEN && arguments->n_operands == 1)
        status = list_circuits(van, is_given(arguments, OPTION_JSON));
    else if (status == EXIT_OPEN)
        status = add_circuit(arguments, van);
    lw_van_free(van);
    return status;
}

/* ---- new ---- */

typedef struct wishes {
    lw_circuit_wish *at;
    size_t n;
} wishes;

/* "pump-with-lamp:2" */
static bool wish_read(arena *a, const char *text, lw_circuit_wish *out)
{
    const char *colon = strchr(text, ':');
    char *end = NULL;
    const long count = colon ? strtol(colon + 1, &end, 10) : 1;
    if (colon && (end == colon + 1 || *end || count < 1 || count > 20))
        return complain("`%s`: write how many times behind the colon, from 1 to 20", text), false;
    *out =
        (lw_circuit_wish){.circuit = colon ? arena_text_n(a, text, (size_t)(colon - text)) : text, .count = (int)count};
    return true;
}

/* "fan.draws=30W" belongs to the wish of that circuit. */
static bool wish_answer(arena *a, const wishes *all, const char *text)
{
    lw_answer answer;
    if (!answer_read(a, text, &answer)) return false;
    const char *dot = strchr(answer.name, '.');
    for (size_t i = 0; dot && i < all->n; i++) {
        lw_circuit_wish *w = &all->at[i];
        if (strncmp(w->circuit, answer.name, (size_t)(dot - answer.name)) != 0 || w->circuit[dot - answer.name])
            continue;
        lw_answer *longer = ARENA_ARRAY(a, lw_answer, w->n_answers + 1);
        if (w->n_answers) memcpy(longer, w->answers, w->n_answers * sizeof *longer);
        longer[w->n_answers++] = (lw_answer){dot + 1, answer.value};
        w->answers = longer;
        return true;
    }
    return complain("`%s` answers no circuit that is asked for; write it as `--circuit fan --answer fan.draws=30W`",
                    text),
           false;
}

static int start(const arguments *arguments, char **text)
{
    static const struct {
        option option;
        const char *name;
    } asked[] = {{OPTION_NAME, "name"},           {OPTION_PRACTICE, "practice"}, {OPTION_VOLTAGE, "voltage"},
                 {OPTION_CHEMISTRY, "chemistry"}, {OPTION_CAPACITY, "capacity"}, {OPTION_BATTERY_DISTANCE, "distance"}};
    enum { n_asked = sizeof asked / sizeof *asked };
    lw_answer answers[n_asked];
    size_t n = 0;
    for (size_t i = 0; i < n_asked; i++)
        if (is_given(arguments, asked[i].option))
            answers[n++] = (lw_answer){asked[i].name, argument(arguments, asked[i].option)};
    wishes all = {.n = (size_t)arguments->n_values[OPTION_CIRCUIT]};
    all.at = ARENA_ARRAY(arguments->arena, lw_circuit_wish, all.n + 1);
    for (size_t i = 0; i < all.n; i++)
        if (!wish_read(arguments->arena, arguments->values[OPTION_CIRCUIT][i], &all.at[i])) return EXIT_UNREAD;
    for (int i = 0; i < arguments->n_values[OPTION_ANSWER]; i++)
        if (!wish_answer(arguments->arena, &all, arguments->values[OPTION_ANSWER][i])) return EXIT_UNREAD;
    return complain_of(lw_start(answers, n, all.at, all.n, text), text);
}

static int starter(const arguments *arguments, char **text)
{
    double nominal_V = 12;
    if (is_given(arguments, OPTION_VOLTAGE)) {
        int status = complain_of(lw_quantity(argument(arguments, OPTION_VOLTAGE), "V", &nominal_V, text), text);
        if (status != EXIT_OPEN) return status;
    }
    return complain_of(
        lw_starter(argument(arguments, OPTION_PRACTICE), nominal_V, argument(arguments, OPTION_NAME), text), text);
}

/* What only the guided start asks. */
static bool is_guided(const arguments *arguments)
{
    return is_given(arguments, OPTION_CIRCUIT) || is_given(arguments, OPTION_CHEMISTRY) ||
           is_given(arguments, OPTION_CAPACITY) || is_given(arguments, OPTION_BATTERY_DISTANCE) ||
           is_given(arguments, OPTION_ANSWER);
}

int run_new(const arguments *arguments)
{
    char *text = NULL;
    const char *path = arguments->n_operands > 0 ? arguments->operands[0] : NULL;
    int status = is_guided(arguments) ? start(arguments, &text) : starter(arguments, &text);
    sink s = sink_in(arguments->arena);
    if (status == EXIT_OPEN && path && strcmp(path, "-") != 0) {
        if (!file_write_new(path, text, strlen(text))) status = EXIT_UNREAD;
        sink_printf(&s, "%s is a van to start from. Change it, then: loomwall judge %s\n", path, path);
    } else if (status == EXIT_OPEN)
        sink_add(&s, text);
    if (status == EXIT_OPEN) status = say(sink_text(&s), EXIT_OPEN);
    lw_free(text);
    return status;
}
