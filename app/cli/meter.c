/* `loomwall meter`: what a meter would read at each terminal and in each wire, in one set of switch positions. */
#include "loomwall/meter.h"
#include "say.h"
#include "van.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* "50%", or "50", which is percent too: the option is called P. Between 0 and 1 a bare number could mean either. */
static int read_charge(const arguments *arguments, double *charge)
{
    const char *words = argument(arguments, OPTION_CHARGE);
    if (!words) return EXIT_OPEN;
    char *end, *why = NULL;
    double percent = strtod(words, &end);
    if (end != words && *end == '\0') {
        *charge = percent / 100;
        if (percent == 0 || (percent > 1 && percent <= 100)) return EXIT_OPEN;
        complain("`%s` is not a charge; give per cent, such as 80%%", words);
        return EXIT_UNREAD;
    }
    int status = complain_of(lw_quantity(words, "%", charge, &why), &why);
    lw_free(why);
    return status;
}

static int read_ambient(const arguments *arguments, double *ambient_K)
{
    const char *words = argument(arguments, OPTION_AMBIENT);
    if (!words) return EXIT_OPEN;
    char *why = NULL;
    int status = complain_of(lw_quantity(words, "K", ambient_K, &why), &why);
    lw_free(why);
    return status;
}

static const char *number_or_dash(arena *a, double value, int decimals)
{
    if (!isfinite(value)) return "-";
    double smallest = 0.5 * pow(10, -decimals);
    return arena_printf(a, "%.*f", decimals, fabs(value) < smallest ? 0.0 : value);
}

static int widest(size_t n, const char *(*name)(const lw_reading *, size_t), const lw_reading *r, int least)
{
    int width = least;
    for (size_t i = 0; i < n; i++) {
        int length = (int)strlen(name(r, i));
        if (length > width) width = length;
    }
    return width;
}

static const char *item_id(const lw_reading *r, size_t i) { return lw_reading_item(r, i).item; }
static const char *terminal_name(const lw_reading *r, size_t i) { return lw_reading_terminal(r, i).terminal; }
static const char *wire_label(const lw_reading *r, size_t i) { return lw_reading_wire(r, i).wire; }

static const char *lamp_word(lw_lamp lamp)
{
    switch (lamp) {
    case LW_LAMP_LIT:
        return "lit";
    case LW_LAMP_DARK:
        return "dark";
    case LW_NO_LAMP:
        break;
    }
    return "";
}

/* A row without the spaces that its empty cells would leave at the end. */
static void add_item_row(sink *s, int width, const char *const cells[6])
{
    char *row = arena_printf(s->arena, "%-*s  %-10s %-5s %-5s %10s %10s", width, cells[0], cells[1], cells[2], cells[3],
                             cells[4], cells[5]);
    size_t n = strlen(row);
    while (n > 0 && row[n - 1] == ' ') n--;
    sink_add_n(s, row, n);
    sink_add(s, "\n");
}

static void add_items(sink *s, const lw_reading *r)
{
    int width = widest(lw_reading_n_items(r), item_id, r, 4);
    sink_add(s, "\n");
    add_item_row(s, width, (const char *const[]){"item", "position", "lamp", "", "volts", "watts"});
    for (size_t i = 0; i < lw_reading_n_items(r); i++) {
        lw_item_reading item = lw_reading_item(r, i);
        if (!item.is_load && !item.position && item.lamp == LW_NO_LAMP) continue;
        const char *runs = item.runs ? "runs" : "off";
        add_item_row(s, width,
                     (const char *const[]){item.item, item.position ? item.position : "", lamp_word(item.lamp),
                                           item.is_load ? runs : "",
                                           item.is_load ? number_or_dash(s->arena, item.volts, 3) : "",
                                           item.is_load ? number_or_dash(s->arena, item.watts, 2) : ""});
    }
}

static void add_wires(sink *s, const lw_reading *r)
{
    int width = widest(lw_reading_n_wires(r), wire_label, r, 4);
    sink_printf(s, "\n%-*s  %10s %10s  from, to\n", width, "wire", "amps", "amps rms");
    for (size_t i = 0; i < lw_reading_n_wires(r); i++) {
        lw_wire_reading w = lw_reading_wire(r, i);
        sink_printf(s, "%-*s  %10s %10s  %s, %s\n", width, w.wire, number_or_dash(s->arena, w.amps, 3),
                    number_or_dash(s->arena, w.amps_rms, 3), w.from, w.to);
    }
}

static void add_terminals(sink *s, const lw_reading *r)
{
    int width = widest(lw_reading_n_terminals(r), terminal_name, r, 8);
    sink_printf(s, "\n%-*s  %10s\n", width, "terminal", "volts");
    for (size_t i = 0; i < lw_reading_n_terminals(r); i++) {
        lw_terminal_reading t = lw_reading_terminal(r, i);
        sink_printf(s, "%-*s  %10s\n", width, t.terminal, number_or_dash(s->arena, t.volts, 3));
    }
}

static int say_as_text(const arguments *arguments, const lw_van *van, const lw_meter_options *options,
                       const lw_reading *r)
{
    sink s = sink_in(arguments->arena);
    lw_reading_quality q = lw_reading_how_well(r);
    char celsius[number_room], percent[number_room];
    sink_painted(&s, PAINT_STRONG, lw_van_name(van));
    sink_printf(&s, ": conductors at %s degC, batteries at %s %%, volts against %s\n",
                number_short(options->ambient_K - 273.15, 4, celsius), number_short(100 * options->charge, 4, percent),
                q.reference ? q.reference : "nothing: the van has no battery");
    if (q.trouble) {
        sink_painted(&s, PAINT_STOP, "There is no answer: ");
        sink_wrapped(&s, q.trouble, 20, 0);
        sink_add(&s, "\n");
    }
    if (!q.is_rms_exact) sink_add(&s, "So many dimmers run at once that the rms currents are estimates.\n");
    add_items(&s, r);
    add_wires(&s, r);
    add_terminals(&s, r);
    if (!q.trouble)
        sink_printf(&s, "\nCurrents balance within %.1e A, power within %.1e W.\n", q.residual_A,
                    fabs(q.power_residual_W));
    return say(sink_text(&s), EXIT_OPEN);
}

static int say_as_json(const lw_reading *r)
{
    char *json = NULL;
    lw_status given = lw_reading_json(r, &json);
    return say_given(given, json, EXIT_OPEN);
}

int run_meter(const arguments *arguments)
{
    lw_meter_options options = lw_meter_defaults();
    options.set = arguments->values[OPTION_SET];
    options.n_set = (size_t)arguments->n_values[OPTION_SET];
    options.against = argument(arguments, OPTION_AGAINST);
    lw_van *van = NULL;
    lw_reading *reading = NULL;
    char *why = NULL;
    int status = read_charge(arguments, &options.charge);
    if (status == EXIT_OPEN) status = read_ambient(arguments, &options.ambient_K);
    if (status == EXIT_OPEN) status = load_van(arguments, &van);
    if (status == EXIT_OPEN) status = complain_of(lw_meter(van, &options, &reading, &why), &why);
    if (status == EXIT_OPEN) {
        bool is_json = is_given(arguments, OPTION_JSON);
        status = is_json ? say_as_json(reading) : say_as_text(arguments, van, &options, reading);
    }
    lw_free(why);
    lw_reading_free(reading);
    lw_van_free(van);
    return status;
}
