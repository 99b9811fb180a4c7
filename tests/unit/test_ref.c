/* ref: how the look-ups behave at the edges of their tables, and laws that the numbers obey. The rows themselves are
 * held against data/ by tests/tables, and against the books by expect/. */
#include "base/arena.h"
#include "ref/battery.h"
#include "ref/device.h"

#include "tap.h"
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double zero_C_K = 273.15;

static conductor_size gauge(int number) { return (conductor_size){SIZE_AWG, number, 0}; }
static conductor_size metric(double mm2) { return (conductor_size){SIZE_METRIC, 0, mm2 / 1e6}; }

START_TEST(series_rise_and_are_listed)
{
    for (int s = SIZE_AWG; s <= SIZE_METRIC; s++) {
        int n;
        const conductor_size *sizes = conductor_series((size_series)s, &n);
        ck_assert_int_gt(n, 10);
        for (int i = 0; i < n; i++) {
            ck_assert(conductor_is_listed(sizes[i]));
            ck_assert(strcmp(conductor_size_text(sizes[i]), "unlisted") != 0);
            if (i == 0) continue;
            ck_assert_int_eq(conductor_compare(sizes[i - 1], sizes[i]), -1);
            ck_assert(conductor_ohm_per_m(sizes[i], false, 293.15) < conductor_ohm_per_m(sizes[i - 1], false, 293.15));
            ck_assert(conductor_ohm_per_m(sizes[i], true, 293.15) < conductor_ohm_per_m(sizes[i - 1], true, 293.15));
        }
    }
}
END_TEST

START_TEST(sizes_have_names)
{
    ck_assert_str_eq(conductor_size_text(gauge(16)), "16 AWG");
    ck_assert_str_eq(conductor_size_text(gauge(-1)), "2/0 AWG");
    ck_assert_str_eq(conductor_size_text(metric(2.5)), "2.5 mm2");
    ck_assert_str_eq(conductor_size_text((conductor_size){0}), "auto");
    ck_assert_str_eq(conductor_size_text(metric(2.6)), "unlisted");
    ck_assert_str_eq(conductor_size_text(gauge(41)), "unlisted");
    ck_assert(!conductor_is_listed(metric(2.6)));
    ck_assert(!conductor_is_listed(gauge(15)));
    ck_assert(!conductor_is_listed((conductor_size){0}));
}
END_TEST

START_TEST(sizes_come_from_quantities)
{
    arena *a = arena_create();
    quantity q;
    const char *wrong;
    ck_assert(quantity_parse("2/0 AWG", 7, &q, a, &wrong));
    ck_assert_str_eq(conductor_size_text(conductor_size_of(&q)), "2/0 AWG");
    ck_assert(quantity_parse("0.16 cm2", 8, &q, a, &wrong));
    ck_assert_str_eq(conductor_size_text(conductor_size_of(&q)), "16 mm2");
    ck_assert(quantity_parse("3 m", 3, &q, a, &wrong));
    ck_assert(conductor_size_of(&q).series == SIZE_UNSET);
    arena_destroy(a);
}
END_TEST

START_TEST(what_is_not_in_a_table_is_not_made_up)
{
    source from;
    ck_assert(isnan(conductor_ohm_per_m(metric(2.6), false, 293.15)));
    ck_assert(isnan(conductor_ohm_per_m((conductor_size){0}, false, 293.15)));
    ck_assert(isnan(conductor_ohm_per_m(gauge(41), false, 293.15)));
    ck_assert_double_eq(ampacity_A(gauge(20), zero_C_K + 105, &from), 0);
    ck_assert_double_eq(ampacity_A(metric(0.5), zero_C_K + 105, &from), 0);
    ck_assert_double_eq(ampacity_A(metric(2.6), zero_C_K + 105, &from), 0);
    ck_assert_double_eq(ampacity_A(gauge(14), zero_C_K + 59, &from), 0);
    ck_assert_double_eq(ampacity_A((conductor_size){0}, zero_C_K + 105, &from), 0);
    ck_assert_double_eq(ampacity_engine_factor(zero_C_K + 59, &from), 0);
}
END_TEST

START_TEST(insulation_takes_the_column_not_above_it)
{
    source from;
    ck_assert_double_eq(ampacity_A(gauge(14), zero_C_K + 60, &from), 20);
    ck_assert_double_eq(ampacity_A(gauge(14), zero_C_K + 104.9, &from), 30);
    ck_assert_double_eq(ampacity_A(gauge(14), zero_C_K + 105, &from), 35);
    ck_assert_double_eq(ampacity_A(gauge(14), zero_C_K + 300, &from), 45);
    ck_assert_double_eq(ampacity_A(gauge(14), (221 + 459.67) * 5 / 9, &from), 35); /* 221 degF is 105 degC */
    ck_assert_str_eq(from.document, "33 CFR 183.425, table 5");
    ck_assert_double_eq(ampacity_A(metric(2.5), zero_C_K + 90, &from), 30);
    ck_assert_int_eq(from.how, ORIGIN_MEMORY);
}
END_TEST

START_TEST(ambient_factor_ends_where_it_must)
{
    source from;
    double rating_K = zero_C_K + 105;
    ck_assert_double_eq(ampacity_ambient_factor(rating_K, zero_C_K + 30, &from), 1);
    ck_assert_double_eq(ampacity_ambient_factor(rating_K, rating_K, &from), 0);
    ck_assert_double_eq(ampacity_ambient_factor(rating_K, rating_K + 10, &from), 0);
    ck_assert_double_eq(ampacity_ambient_factor(zero_C_K + 30, zero_C_K, &from), 0);
    double at_10 = ampacity_ambient_factor(rating_K, zero_C_K + 10, &from);
    ck_assert_double_gt(at_10, 1);
    ck_assert_double_eq(ampacity_ambient_factor(rating_K, zero_C_K - 20, &from), at_10);
}
END_TEST

START_TEST(bundle_factor_falls)
{
    for (int p = PRACTICE_NORTH_AMERICA; p <= PRACTICE_EUROPE; p++) {
        source from = {0};
        double before = 1;
        for (int n = 1; n <= 40; n++) {
            double factor = ampacity_bundle_factor((practice)p, n, &from);
            ck_assert_double_le(factor, before);
            ck_assert_ptr_nonnull(from.document);
            before = factor;
        }
        ck_assert_double_eq(ampacity_bundle_factor((practice)p, 2, &from), 1);
    }
}
END_TEST

START_TEST(devices_are_complete)
{
    for (int i = 0; i < N_DEVICE_STYLES; i++) {
        device_style s = (device_style)i, again;
        source from = {0};
        int n;
        const double *ratings_A = device_ratings(s, &n, &from);
        ck_assert_int_gt(n, 5);
        for (int k = 1; k < n; k++) ck_assert_double_gt(ratings_A[k], ratings_A[k - 1]);
        ck_assert_double_gt(device_voltage_V(s, &from), 0);
        ck_assert_double_gt(device_interrupts_A(s, &from), ratings_A[n - 1]);
        ck_assert(device_style_of(device_style_word(s), &again) && again == s);
    }
    device_style s;
    ck_assert(!device_style_of("blade-fuse", &s));
}
END_TEST

START_TEST(limits_stand_in_both_practices)
{
    static const char *const names[] = {
        "drop-critical",
        "drop-other",
        "protector-over-conductor",
        "protector-distance",
        "protector-distance-sheathed",
        "protector-distance-battery",
        "stud-conductors",
        "continuous-factor",
        "least-size-single",
        "least-size-sheathed",
        "standby-days",
    };
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        ck_assert_double_gt(limit_of(PRACTICE_NORTH_AMERICA, names[i])->value, 0);
        ck_assert_double_gt(limit_of(PRACTICE_EUROPE, names[i])->value, 0);
    }
    ck_assert_str_eq(limit_printed(limit_of(PRACTICE_NORTH_AMERICA, "protector-distance")), "7 in");
    bool is_for[2];
    ck_assert_ptr_null(limit_row(-1, is_for));
    ck_assert_ptr_null(limit_row(100000, is_for));
}
END_TEST

START_TEST(colours_are_whole_words)
{
    const char *wanted;
    source from;
    ck_assert(colour_suits(PRACTICE_NORTH_AMERICA, "return", "black", &wanted, &from));
    ck_assert(colour_suits(PRACTICE_NORTH_AMERICA, "return", "yellow", &wanted, &from));
    ck_assert(!colour_suits(PRACTICE_NORTH_AMERICA, "return", "blac", &wanted, &from));
    ck_assert(!colour_suits(PRACTICE_NORTH_AMERICA, "return", "red", &wanted, &from));
    ck_assert(!colour_suits(PRACTICE_NORTH_AMERICA, "return", "", &wanted, &from));
    ck_assert_str_eq(wanted, "black, yellow, black-yellow");
    ck_assert(colour_suits(PRACTICE_EUROPE, "earth", "green-yellow", &wanted, &from));
    ck_assert(!colour_suits(PRACTICE_EUROPE, "earth", "green", &wanted, &from));
}
END_TEST

/* The slope that the solver uses is that of the curve, away from its corners. */
START_TEST(rest_voltage_rises_with_its_slope)
{
    for (int c = 0; c < N_CHEMISTRIES; c++) {
        source from;
        double before = 0;
        for (int i = 0; i <= 1000; i++) {
            double slope, charge = i / 1000.0, h = 1e-5;
            double rest_V = battery_rest_V((chemistry)c, 24, charge, &slope, &from);
            ck_assert_double_ge(rest_V, before);
            before = rest_V;
            double ahead = battery_rest_V((chemistry)c, 24, charge + 0.0005 + h, NULL, &from);
            double behind = battery_rest_V((chemistry)c, 24, charge + 0.0005 - h, NULL, &from);
            if (i == 1000) continue;
            battery_rest_V((chemistry)c, 24, charge + 0.0005, &slope, &from);
            ck_assert_double_eq_tol(slope, (ahead - behind) / (2 * h), 1e-6 * fabs(slope) + 1e-6);
        }
        ck_assert_double_eq(battery_rest_V((chemistry)c, 24, 2, NULL, &from), before);
        ck_assert_double_eq(battery_rest_V((chemistry)c, 24, -1, NULL, &from),
                            battery_rest_V((chemistry)c, 24, 0, NULL, &from));
    }
}
END_TEST

START_TEST(batteries_scale)
{
    source from;
    double lfp_12 = battery_rest_V(CHEMISTRY_LFP, 12, 0.5, NULL, &from);
    ck_assert_double_eq_tol(lfp_12, 4 * 3.2781, 1e-9);
    ck_assert_double_eq(battery_rest_V(CHEMISTRY_LFP, 12.8, 0.5, NULL, &from), lfp_12);
    ck_assert_double_eq(battery_rest_V(CHEMISTRY_LFP, 25.6, 0.5, NULL, &from), 2 * lfp_12);
    ck_assert_double_eq(battery_rest_V(CHEMISTRY_LFP, 51.2, 0.5, NULL, &from), 4 * lfp_12);
    ck_assert_double_eq(battery_rest_V(CHEMISTRY_LFP, 3.2, 0.5, NULL, &from), lfp_12 / 4);
    ck_assert_double_eq_tol(battery_rest_V(CHEMISTRY_AGM, 6, 0.5, NULL, &from), 6.15, 1e-12);
    double one = battery_resistance_ohm(CHEMISTRY_AGM, 12, 360000, &from);
    ck_assert_double_eq_tol(battery_resistance_ohm(CHEMISTRY_AGM, 24, 360000, &from), 2 * one, 1e-15);
    ck_assert_double_eq_tol(battery_resistance_ohm(CHEMISTRY_AGM, 12, 720000, &from), one / 2, 1e-15);
    chemistry c;
    ck_assert(chemistry_of("gel", &c) && c == CHEMISTRY_GEL);
    ck_assert(!chemistry_of("nickel", &c));
}
END_TEST

START_TEST(sources_say_how_they_were_got)
{
    arena *a = arena_create();
    source memory = {"ISO 10133, annex A", ORIGIN_MEMORY}, published = {"33 CFR 183.425, table 5", ORIGIN_PUBLISHED};
    source secondary = {"IEC 60228", ORIGIN_SECONDARY};
    ck_assert_str_eq(source_text(&memory, a), "ISO 10133, annex A (from memory, to be confirmed)");
    ck_assert_str_eq(source_text(&published, a), "33 CFR 183.425, table 5");
    ck_assert_str_eq(source_text(&secondary, a), "IEC 60228 (as others quote it)");
    ck_assert_str_eq(origin_word(ORIGIN_COMPUTED), "computed");
    arena_destroy(a);
}
END_TEST

START_TEST(nobody_need_ask_for_the_source)
{
    conductor_size size = gauge(14);
    int n;
    ck_assert_double_eq(ampacity_A(size, zero_C_K + 105, NULL), 35);
    ck_assert_double_gt(ampacity_ambient_factor(zero_C_K + 105, zero_C_K + 45, NULL), 0);
    ck_assert_double_gt(ampacity_bundle_factor(PRACTICE_EUROPE, 4, NULL), 0);
    ck_assert_double_gt(ampacity_engine_factor(zero_C_K + 105, NULL), 0);
    ck_assert_double_gt(battery_rest_V(CHEMISTRY_GEL, 12, 0.5, NULL, NULL), 0);
    ck_assert_double_gt(battery_resistance_ohm(CHEMISTRY_GEL, 12, 3600, NULL), 0);
    ck_assert_ptr_nonnull(device_ratings(DEVICE_BLADE, &n, NULL));
    ck_assert_double_gt(device_voltage_V(DEVICE_BLADE, NULL), 0);
    ck_assert(colour_suits(PRACTICE_EUROPE, "feed", "red", NULL, NULL));
}
END_TEST

int main(void)
{
    Suite *s = suite_create("ref");
    TCase *t = tcase_create("tables");
    tcase_add_test(t, series_rise_and_are_listed);
    tcase_add_test(t, sizes_have_names);
    tcase_add_test(t, sizes_come_from_quantities);
    tcase_add_test(t, what_is_not_in_a_table_is_not_made_up);
    tcase_add_test(t, insulation_takes_the_column_not_above_it);
    tcase_add_test(t, ambient_factor_ends_where_it_must);
    tcase_add_test(t, bundle_factor_falls);
    tcase_add_test(t, devices_are_complete);
    tcase_add_test(t, limits_stand_in_both_practices);
    tcase_add_test(t, colours_are_whole_words);
    tcase_add_test(t, rest_voltage_rises_with_its_slope);
    tcase_add_test(t, batteries_scale);
    tcase_add_test(t, nobody_need_ask_for_the_source);
    tcase_add_test(t, sources_say_how_they_were_got);
    suite_add_tcase(s, t);
    return tap_run(s);
}
