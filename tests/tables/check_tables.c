/* Table and program agree: for every row of every table of data/, what the program answers is compared with what the table
 * says: one line of TAP a row, and each figure that differs below it. A table without a check here fails.
 *
 * usage: check_tables TABLE.tsv ... */
#include "base/print.h"
#include "ref/battery.h"
#include "ref/device.h"
#include "table.h"
#include "units/gauge.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double zero_C_K = 273.15, reference_K = 293.15, foot_m = 0.3048, inch_m = 0.0254;
static arena *scratch;
static int n_lines, n_failed, n_figures;
static sink differences; /* of the row at hand */

static void say(bool is_good, const char *what)
{
    n_lines++;
    n_failed += !is_good;
    printf("%sok %d - %s\n", is_good ? "" : "not ", n_lines, what);
}

/* One figure of the row at hand. */
static void note(bool is_good, const char *what)
{
    n_figures++;
    if (!is_good) sink_printf(&differences, "#   %s\n", what);
}

/* ---- agreement ---- */

typedef struct look {
    const char *file; /* "awg.tsv" */
    const table *t;
    int row;
} look;

static void agree(const char *what, double says, double answers, double slack)
{
    bool is_good = isfinite(answers) && fabs(answers - says) <= slack;
    note(is_good, arena_printf(scratch, "%s: table %.10g, program %.10g", what, says, answers));
}

static void agree_text(const char *what, const char *says, const char *answers)
{
    note(strcmp(says, answers) == 0, arena_printf(scratch, "%s: table `%s`, program `%s`", what, says, answers));
}

static void agree_source(const char *document, const char *how, const source *from)
{
    agree_text("source", document, from->document);
    agree_text("how", how, origin_word(from->how));
}

static double number(const look *l, const char *column) { return cell_number(l->t, l->row, column); }
static const char *text(const look *l, const char *column) { return cell_text(l->t, l->row, column); }
static bool is_given(const look *l, const char *column) { return strcmp(text(l, column), "-") != 0; }

/* Half of the last of `digits` significant digits. */
static double half_digit(double value, int digits) { return 0.5001 * pow(10, floor(log10(fabs(value))) - digits + 1); }

/* Significant digits of a number as written, without zeros in front. */
static int digits_of(const char *written)
{
    int n = 0;
    for (const char *at = written + strspn(written, "0."); *at != '\0'; at++) n += *at >= '0' && *at <= '9';
    return n;
}

/* ---- conductors ---- */

static conductor_size gauge_of(const look *l)
{
    const char *size = arena_printf(scratch, "%s AWG", text(l, "awg")), *wrong;
    quantity q = {0};
    if (!quantity_parse(size, strlen(size), &q, scratch, &wrong)) note(false, size);
    return conductor_size_of(&q);
}

static conductor_size metric_of(const look *l) { return (conductor_size){SIZE_METRIC, 0, number(l, "area_mm2") / 1e6}; }

/* Four printed figures of a length, and of an area within one of the last figure, since the textbook rounds the 642.45 of
 * 22 AWG up; resistance to 0.1 %, since the handbook starts from diameters rounded
 * to 0.1 mil, and to 0.3 % where three figures are printed. */
static void check_awg(const look *l)
{
    conductor_size size = gauge_of(l);
    double diameter_mil = gauge_diameter_m(size.gauge) / inch_m * 1e3;
    double in = number(l, "diameter_in"), cmil = number(l, "area_cmil"), ohm = number(l, "ohm_per_kft");
    agree("diameter in inches", in, diameter_mil / 1e3, half_digit(in, 4) + 5e-6);
    agree("circular mils", cmil, diameter_mil * diameter_mil, 2 * half_digit(cmil, 4));
    double slack = digits_of(text(l, "ohm_per_kft")) >= 4 ? 0.001 : 0.003;
    agree("ohm per 1000 ft", ohm, conductor_ohm_per_m(size, true, reference_K) * 1000 * foot_m, slack * ohm);
}

/* The code works with 4.89 for 16 AWG solid where the progression gives 4.8835: 0.2 %. Lay differs by construction:
 * 0.6 %. */
static void check_nec_9_8(const look *l)
{
    conductor_size size = gauge_of(l);
    double K = zero_C_K + 75, kft_m = 1000 * foot_m;
    if (is_given(l, "solid_ohm_per_kft")) {
        double ohm = number(l, "solid_ohm_per_kft");
        agree("solid at 75 degC", ohm, conductor_ohm_per_m(size, true, K) * kft_m,
              fmax(half_digit(ohm, 3), 0.002 * ohm));
    }
    double ohm = number(l, "stranded_ohm_per_kft");
    agree("stranded at 75 degC", ohm, conductor_ohm_per_m(size, false, K) * kft_m, 0.006 * ohm);
}

static void check_solid(const look *l)
{
    double ohm = number(l, "plain_ohm_per_km");
    agree("ohm per km, solid", ohm, conductor_ohm_per_m(metric_of(l), true, reference_K) * 1e3, 1e-12 * ohm);
}

static void check_class_5(const look *l)
{
    double ohm = number(l, "plain_ohm_per_km");
    agree("ohm per km, flexible", ohm, conductor_ohm_per_m(metric_of(l), false, reference_K) * 1e3, 1e-12 * ohm);
    source from = conductor_resistance_source(metric_of(l));
    agree_source(l->t->standard_and_table, l->t->how, &from);
}

static void check_ampacities(const look *l, conductor_size size)
{
    for (int i = 1; i < l->t->n_columns; i++) {
        double rating_C = strtod(l->t->columns[i] + strlen("at_"), NULL);
        source from;
        double bears_A = ampacity_A(size, zero_C_K + rating_C, &from);
        agree(l->t->columns[i], number(l, l->t->columns[i]), bears_A, 0);
        if (i == 1) agree_source(l->t->standard_and_table, l->t->how, &from);
    }
}

static void check_north_america(const look *l) { check_ampacities(l, gauge_of(l)); }
static void check_europe(const look *l) { check_ampacities(l, metric_of(l)); }

static void check_engine_space(const look *l)
{
    source from;
    double factor = ampacity_engine_factor(zero_C_K + number(l, "insulation_C"), &from);
    agree("factor", number(l, "factor"), factor, 0);
    agree_source(l->t->standard_and_table, text(l, "how"), &from);
}

static practice practice_of(const look *l)
{
    return strcmp(text(l, "practice"), "europe") == 0 ? PRACTICE_EUROPE : PRACTICE_NORTH_AMERICA;
}

static void check_bundle(const look *l)
{
    source from;
    int n = (int)number(l, "conductors");
    agree("factor", number(l, "factor"), ampacity_bundle_factor(practice_of(l), n, &from), 0);
    agree_source(text(l, "source"), text(l, "how"), &from);
    bool is_more = ampacity_bundle_factor(practice_of(l), n - 1, &from) > number(l, "factor");
    note(is_more, "one conductor less has no larger factor");
}

static void check_ambient(const look *l)
{
    static const double ratings_C[] = {60, 75, 90};
    for (int i = 0; i < 3; i++) {
        const char *column = l->t->columns[i + 1];
        source from;
        double factor = ampacity_ambient_factor(zero_C_K + ratings_C[i], zero_C_K + number(l, "up_to_C"), &from);
        if (is_given(l, column)) agree(column, number(l, column), factor, 0.005001);
    }
}

/* ---- devices, limits, colours ---- */

static device_style style_of(const look *l)
{
    device_style s = DEVICE_BLADE;
    if (!device_style_of(text(l, "style"), &s)) note(false, text(l, "style"));
    return s;
}

static void check_device(const look *l)
{
    source from;
    bool is_voltage = strcmp(text(l, "property"), "voltage") == 0;
    double answers = (is_voltage ? device_voltage_V : device_interrupts_A)(style_of(l), &from);
    agree(text(l, "property"), number(l, "value"), answers, 0);
    agree_text("unit", text(l, "unit"), is_voltage ? "V" : "A");
    agree_source(text(l, "source"), text(l, "how"), &from);
}

static void check_rating(const look *l)
{
    int n, place = 0;
    source from;
    const double *ratings_A = device_ratings(style_of(l), &n, &from);
    for (int row = 0; row < l->row; row++) place += strcmp(cell_text(l->t, row, "style"), text(l, "style")) == 0;
    agree("rating", number(l, "rating_A"), place < n ? ratings_A[place] : NAN, 0);
    bool is_last = l->row + 1 == l->t->n_rows || strcmp(cell_text(l->t, l->row + 1, "style"), text(l, "style")) != 0;
    if (is_last) agree("number of ratings", place + 1, n, 0);
    agree_source(text(l, "source"), text(l, "how"), &from);
}

static const char *si_unit(dimension d)
{
    static const char *const units[] = {
#define X(NAME, name, si, shown) si,
        DIMENSIONS(X)
#undef X
    };
    return d == DIMENSION_NUMBER ? "1" : units[d];
}

static void check_limit_of(const look *l, practice p)
{
    const limit *found = limit_of(p, text(l, "name"));
    agree(text(l, "name"), number(l, "value"), found->value, 0);
    agree_text("unit", text(l, "unit"), found->unit);
    agree_text("says", text(l, "says"), found->says);
    agree_source(text(l, "source"), text(l, "how"), &found->from);
    agree_text("as printed", text(l, "printed"), limit_printed(found));
    const char *printed = text(l, "printed"), *wrong = NULL;
    quantity q = {0};
    if (!quantity_parse(printed, strlen(printed), &q, scratch, &wrong)) {
        note(false, arena_printf(scratch, "`%s` %s", printed, wrong));
        return;
    }
    agree("as printed, in SI", number(l, "value"), q.value, 1e-6 * fabs(q.value));
    agree_text("SI unit of what is printed", text(l, "unit"), si_unit(q.dimension));
}

static void check_limit(const look *l)
{
    bool is_both = strcmp(text(l, "practice"), "both") == 0;
    if (is_both || practice_of(l) == PRACTICE_NORTH_AMERICA) check_limit_of(l, PRACTICE_NORTH_AMERICA);
    if (is_both || practice_of(l) == PRACTICE_EUROPE) check_limit_of(l, PRACTICE_EUROPE);
}

static void check_colours(const look *l)
{
    const char *wanted = NULL;
    source from;
    char *list = arena_text(scratch, text(l, "colours")), *rest = list;
    for (char *colour = strtok_r(list, ", ", &rest); colour != NULL; colour = strtok_r(NULL, ", ", &rest)) {
        bool suits = colour_suits(practice_of(l), text(l, "use"), colour, &wanted, &from);
        note(suits, arena_printf(scratch, "%s does not suit", colour));
    }
    bool suits = colour_suits(practice_of(l), text(l, "use"), "transparent", &wanted, &from);
    note(!suits, "another colour suits");
    agree_text("list", text(l, "colours"), wanted);
    agree_source(text(l, "source"), text(l, "how"), &from);
}

/* ---- batteries ---- */

static chemistry chemistry_in(const look *l)
{
    chemistry c = CHEMISTRY_LFP;
    if (!chemistry_of(text(l, "chemistry"), &c)) note(false, text(l, "chemistry"));
    return c;
}

static void check_lfp(const look *l)
{
    source from;
    double charge = number(l, "charge_percent") / 100;
    agree("cell", number(l, "cell_V"), battery_rest_V(CHEMISTRY_LFP, 12, charge, NULL, &from) / 4, 1e-9);
    agree_source(l->t->standard_and_table, l->t->how, &from);
}

static void check_lead_acid(const look *l)
{
    source from;
    double charge = number(l, "charge_percent") / 100;
    agree("12 V", number(l, "rest_V"), battery_rest_V(chemistry_in(l), 12, charge, NULL, &from), 1e-9);
    agree_source(l->t->standard_and_table, l->t->how, &from);
}

static void check_resistance(const look *l)
{
    source from;
    double mohm = battery_resistance_ohm(chemistry_in(l), 12, 100 * 3600.0, &from) * 1e3;
    agree("mohm", number(l, "mohm_at_100Ah"), mohm, 1e-12);
    agree_source(l->t->standard_and_table, l->t->how, &from);
}

/* ---- units: seven figures are printed ---- */

static void check_unit(const look *l)
{
    const char *one = arena_printf(scratch, "1 %s", text(l, "symbol")), *wrong = "";
    quantity q = {.value = NAN};
    if (!quantity_parse(one, strlen(one), &q, scratch, &wrong)) note(false, one);
    agree("in SI", number(l, "si"), q.value, half_digit(number(l, "si"), 7));
}

/* ---- all of them ---- */

static const struct {
    const char *file;
    void (*check)(const look *l);
} checks[] = {
    {"ambient-nec.tsv", check_ambient},
    {"ampacity-bundle.tsv", check_bundle},
    {"ampacity-engine-space.tsv", check_engine_space},
    {"ampacity-europe.tsv", check_europe},
    {"ampacity-north-america.tsv", check_north_america},
    {"awg.tsv", check_awg},
    {"battery-resistance.tsv", check_resistance},
    {"battery-rest-lead-acid.tsv", check_lead_acid},
    {"battery-rest-lfp.tsv", check_lfp},
    {"colours.tsv", check_colours},
    {"device-ratings.tsv", check_rating},
    {"device.tsv", check_device},
    {"iec-60228-class-1.tsv", check_solid},
    {"iec-60228-class-2.tsv", check_solid},
    {"iec-60228-class-5.tsv", check_class_5},
    {"limits.tsv", check_limit},
    {"nec-9-8.tsv", check_nec_9_8},
    {"units.tsv", check_unit},
};

static void check_row(const look *l, void (*check)(const look *l))
{
    int figures_before = n_figures;
    differences = sink_in(scratch);
    check(l);
    sink label = sink_in(scratch);
    for (int i = 0; i < 2 && i < l->t->n_columns; i++) sink_printf(&label, " %s", l->t->cells[l->row][i]);
    bool is_good = sink_text(&differences)[0] == '\0' && n_figures > figures_before;
    say(is_good, arena_printf(scratch, "%s:%s", l->file, sink_text(&label)));
    fputs(sink_text(&differences), stdout);
}

static void check_table(const char *path)
{
    const char *slash = strrchr(path, '/'), *file = slash != NULL ? slash + 1 : path;
    for (size_t i = 0; i < sizeof checks / sizeof *checks; i++) {
        if (strcmp(checks[i].file, file) != 0) continue;
        table *t = table_read(path);
        for (int row = 0; row < t->n_rows; row++) check_row(&(look){file, t, row}, checks[i].check);
        table_free(t);
        return;
    }
    say(false, arena_printf(scratch, "%s: no check holds this table against the program", file));
}

int main(int argc, char **argv)
{
    scratch = arena_create();
    if (scratch == NULL) return 2;
    for (int i = 1; i < argc; i++) check_table(argv[i]);
    printf("1..%d\n# %d tables: %d figures of %d rows compared, %d rows differ\n", n_lines, argc - 1, n_figures,
           n_lines, n_failed);
    arena_destroy(scratch);
    return n_failed != 0 || n_lines == 0;
}
