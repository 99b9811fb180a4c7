/* The study and the judgement against arithmetic that a person can follow. Resistance of 12 AWG: 5.2107 ohm/km at
 * 20 degC, solid (NBS Handbook 100, table 2, as computed from ASTM B258 and 1/58 ohm mm2/m), and 2 % more for strands;
 * 0.00393 per kelvin. */
#include "judge/judge.h"
#include "read/read.h"
#include "ref/battery.h"

#include "tap.h"
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define AWG12_OHM_PER_M (5.2107e-3 * 1.02)

static arena *a;
static const study *s;
static const judgement *j;

static void start(void) { a = arena_create(); }
static void finish(void) { arena_destroy(a); }

#define HEAD                                                                                                           \
    "loomwall: 1\nname: Test\npractice: north-america\nconditions: {hottest: 30 degC, coldest: 0 degC}\nitems:\n"
#define BANK "  bank: {kind: battery, chemistry: agm, capacity: 30 Ah, resistance: 15 mohm}\n"
#define FUSE "  main: {kind: fuse, rating: 10 A}\n"
#define SWITCH "  sw: {kind: switch}\n"
#define LAMP "  lamp: {kind: led-light, draws: 5 A}\n"
#define P1 "  P1: {from: bank.pos, to: main.in, length: 0.1 m, size: 12 AWG, colour: red}\n"
#define P2 "  P2: {from: main.out, to: sw.feed, length: 2 m, size: 12 AWG, colour: red}\n"
#define P3 "  P3: {from: sw.out, to: lamp.pos, length: 2 m, size: 12 AWG, colour: red}\n"
#define N1 "  N1: {from: lamp.neg, to: bank.neg, length: 4 m, size: 12 AWG, colour: black}\n"
#define ITEMS HEAD BANK FUSE SWITCH LAMP
#define WIRES "wires:\n" P1 P2 P3 N1

static const van *van_of(const char *text)
{
    report *r = report_create(a, "test.yaml");
    const van *v = read_van(a, "test.yaml", text, strlen(text), r);
    ck_assert_msg(v != NULL, "%s", report_text(r, a));
    return v;
}

static void study_of(const char *text)
{
    s = study_run(a, van_of(text), NULL);
    j = judge(a, s);
}

static const wire_study *wire_of(const char *label) { return &s->wires[van_wire(s->van, label)]; }

static const load_study *load_of(const char *id)
{
    for (int i = 0; i < s->n_loads; i++)
        if (s->loads[i].is_main && s->loads[i].feed->item == van_item(s->van, id)) return &s->loads[i];
    ck_abort_msg("no load %s", id);
    return NULL;
}

static const finding *finding_of(const char *rule_id)
{
    for (int i = 0; i < j->n_findings; i++)
        if (j->findings[i].rule == rule_by_id(rule_id)) return &j->findings[i];
    return NULL;
}

static const char *told(void)
{
    sink t = sink_in(a);
    int n;
    for (int i = 0; i < j->n_findings; i++) {
        const finding *f = &j->findings[i];
        sink_printf(&t, "%s %d %d %s %.17g %.17g %s|%s|%s|", rules(&n)[f->rule].id, f->gate, f->grade, f->says,
                    f->value, f->limit, f->unit, f->source, f->remedy);
        for (int k = 0; k < f->n_where; k++) sink_printf(&t, " %s", f->where[k]);
        for (int k = 0; k < f->n_position_items; k++)
            sink_printf(&t, " %s=%s", s->van->items[f->position_items[k]].id,
                        position_text(s->van, f->position_items[k], f->positions[f->position_items[k]], a));
        sink_add(&t, "\n");
    }
    return sink_text(&t);
}

static void check_near(double value, double expected, double share)
{
    ck_assert_msg(fabs(value - expected) <= share * fabs(expected), "%.9g, expected %.9g", value, expected);
}

/* ---- numbers ---- */

/* 12 AWG bears 35 A with insulation of 80 degC (33 CFR 183.425, table 5), so at 5 A it is at
 * 30 + (80 - 30) (5/35)^2 = 31.0204 degC. 8.1 m of it, 5 mohm of the switch and 0.1 V / 10 A = 10 mohm of the fuse. */
START_TEST(drop)
{
    study_of(ITEMS WIRES);
    const double hot = 1 + 0.00393 * (31.0204 - 20);
    const double ohm = 8.1 * AWG12_OHM_PER_M * hot + 0.005 + 0.010;
    check_near(wire_of("P2")->temperature_K - 273.15, 31.0204, 1e-5);
    check_near(load_of("lamp")->drop, 5 * ohm / 12, 1e-4);
    check_near(load_of("lamp")->worst_wire_V, 5 * 4 * AWG12_OHM_PER_M * hot, 1e-4);
    ck_assert_str_eq(s->van->wires[load_of("lamp")->worst_wire].label, "N1");
    check_near(wire_of("N1")->worst_A, 5, 1e-6);
    ck_assert(load_of("lamp")->runs_at_worst);
    ck_assert(fabs(load_of("lamp")->off_V) < 1e-6);
    ck_assert(s->is_proven && j->is_open[GATE_CUT] && j->is_open[GATE_CLOSE] && j->is_open[GATE_LIVE]);
}
END_TEST

/* The worst volts are the rest voltage at 20 % less what 15 mohm and the wiring lose. */
START_TEST(worst_volts)
{
    study_of(ITEMS WIRES);
    source from;
    const double rest_V = battery_rest_V(CHEMISTRY_AGM, 12, 0.2, NULL, &from);
    check_near(load_of("lamp")->worst_V, rest_V - 5 * 0.015 - load_of("lamp")->drop * 12, 1e-6);
}
END_TEST

/* Tables: printed products of 33 CFR 183.425, table 5, 105 degC: 14 AWG 35 A; in an engine space 29.8 A; three
 * conductors and engine space 20.8 A; 16 AWG, four to six conductors 15.0 A. At 45 degC with 105 degC insulation the
 * factor is sqrt(60/75) = 0.8944. */
START_TEST(ampacities)
{
#define W(label, size, more)                                                                                           \
    "  " label ": {from: main.out, to: sw.feed, length: 2 m, size: " size ", insulation: 105 degC" more "}\n"
    study_of(ITEMS WIRES W("A", "14 AWG", "") W("B", "14 AWG", ", engine-space: true")
                 W("C", "14 AWG", ", engine-space: true, bundled: 3") W("D", "16 AWG", ", bundled: 5"));
    check_near(wire_of("A")->ampacity_A, 35, 1e-9);
    check_near(wire_of("B")->ampacity_A, 29.75, 1e-9);
    check_near(wire_of("C")->ampacity_A, 20.825, 1e-9);
    check_near(wire_of("D")->ampacity_A, 15.0, 1e-9);
    study_of(
        "loomwall: 1\nname: T\npractice: north-america\nconditions: {hottest: 45 degC, coldest: 0 degC}\nitems:\n" BANK
            FUSE SWITCH LAMP WIRES W("A", "14 AWG", "") W("B", "14 AWG", ", engine-space: true"));
    check_near(wire_of("A")->ampacity_A, 35 * sqrt(60.0 / 75), 1e-9);
    check_near(wire_of("B")->ampacity_A, 29.75, 1e-9); /* 50 degC in the engine space is worse than 45 degC */
}
END_TEST

/* 16 AWG bears 20 A at 30 degC with 80 degC insulation, 14 A where three run touching:
 * 5 A: 30 + 50 (5/20)^2 = 33.125 degC; 30 + 50 (5/14)^2 = 36.378 degC. 25 A would be 108 degC: no more than 80 counts. */
START_TEST(temperatures)
{
#define THIN(label, from, to, more) "  " label ": {from: " from ", to: " to ", length: 1 m, size: 16 AWG" more "}\n"
    study_of(ITEMS "wires:\n" P1 THIN("P2", "main.out", "sw.feed", "") THIN("P3", "sw.out", "lamp.pos", ", bundled: 3")
                 N1);
    check_near(wire_of("P2")->temperature_K - 273.15, 33.125, 1e-5);
    check_near(wire_of("P3")->temperature_K - 273.15, 36.3776, 1e-5);
    study_of(HEAD BANK "  main: {kind: fuse, rating: 40 A}\n  sw: {kind: switch, rating: 40 A}\n"
                       "  lamp: {kind: load, draws: 25 A}\n"
                       "wires:\n" P1 THIN("P2", "main.out", "sw.feed", "") P3 N1);
    check_near(wire_of("P2")->temperature_K - 273.15, 80, 1e-9);
    const finding *f = finding_of("conductor-overloaded");
    ck_assert(f && f->grade == GRADE_STOP);
    check_near(f->value, 25, 1e-6);
    check_near(f->limit, 20, 1e-9);
    ck_assert_int_eq(f->n_position_items, 1);
    ck_assert_int_eq(f->position_items[0], van_item(s->van, "sw"));
    ck_assert(strstr(f->remedy, "14 AWG")); /* 25 A at 80 degC */
}
END_TEST

/* ---- sizes ---- */

/* 3 % of 12 V at 5 A is 72 mohm. 15 mohm of fuse and switch and 6.1 m of 12 AWG at 31 degC (5.54 mohm/m) take 48.8, so
 * 23.2 mohm are left for 10 m: 8 AWG has 2.19 mohm/m at 31 degC, 10 AWG 3.47. */
START_TEST(size_by_drop)
{
    study_of(HEAD BANK FUSE SWITCH "  lamp: {kind: led-light, draws: 5 A, critical: true}\n"
                                   "wires:\n" P1 P2
                                   "  P3: {from: sw.out, to: lamp.pos, length: 10 m, size: auto}\n" N1);
    ck_assert_str_eq(conductor_size_text(wire_of("P3")->size), "8 AWG");
    ck_assert(wire_of("P3")->is_size_chosen && strstr(wire_of("P3")->why_size, "voltage drop to lamp"));
    ck_assert(load_of("lamp")->drop <= 0.03);
}
END_TEST

/* A fuse of 30 A: 14 AWG bears 25 A, 12 AWG 35 A. A fuse of 5 A: 16 AWG, the smallest that is run singly. */
START_TEST(size_by_protector)
{
    study_of(HEAD BANK "  main: {kind: fuse, rating: 30 A}\n" SWITCH LAMP "wires:\n" P1
                       "  P2: {from: main.out, to: sw.feed, length: 1 m, size: auto}\n" P3 N1);
    ck_assert_str_eq(conductor_size_text(wire_of("P2")->size), "12 AWG");
    ck_assert(strstr(wire_of("P2")->why_size, "protective device of 30 A"));
    study_of(HEAD BANK "  main: {kind: fuse, rating: 5 A}\n" SWITCH "  lamp: {kind: led-light, draws: 1 A}\n"
                       "wires:\n" P1 "  P2: {from: main.out, to: sw.feed, length: 1 m, size: auto}\n" P3 N1);
    ck_assert_str_eq(conductor_size_text(wire_of("P2")->size), "16 AWG");
    ck_assert(strstr(wire_of("P2")->why_size, "smallest that the practice allows"));
}
END_TEST

/* With every size left to the program nothing is found. */
START_TEST(size_of_all)
{
    study_of(ITEMS "wires:\n"
                   "  P1: {from: bank.pos, to: main.in, length: 0.1 m}\n"
                   "  P2: {from: main.out, to: sw.feed, length: 9 m}\n"
                   "  P3: {from: sw.out, to: lamp.pos, length: 7 m}\n"
                   "  N1: {from: lamp.neg, to: bank.neg, length: 15 m}\n");
    ck_assert_msg(j->is_open[GATE_LIVE], "%s", told());
    ck_assert(load_of("lamp")->drop <= 0.10);
    meter_reading *m = study_meter(a, s->van, NULL, NULL, -1);
    const int fed = van_terminal(s->van, "sw.feed");
    ck_assert(m->op->node_V[fed] > 12 && m->reference == van_terminal(s->van, "bank.neg"));
}
END_TEST

/* ---- rest, peaks, protection ---- */

/* 30 Ah, half of it usable, over 20 mA: 750 h = 31.25 days. */
START_TEST(standby)
{
    study_of(ITEMS "  meter: {kind: voltmeter, draws: 20 mA}\n" WIRES
                   "  P4: {from: main.out, to: meter.pos, length: 1 m, size: 16 AWG, colour: red}\n"
                   "  N2: {from: meter.neg, to: bank.neg, length: 1 m, size: 16 AWG, colour: black}\n");
    check_near(s->standby_A, 0.020, 1e-6);
    check_near(s->days_to_empty, 31.25, 1e-5);
    const finding *f = finding_of("standby-drain");
    ck_assert(f && f->grade == GRADE_NOTE);
    ck_assert_str_eq(f->where[0], "item meter");
}
END_TEST

#define BANK_24 "  b: {kind: battery, chemistry: agm, capacity: 20 Ah, resistance: 15 mohm}\n"
#define WIRES_24                                                                                                       \
    "wires:\n" P1 P2 P3 "  L1: {from: bank.neg, to: b.pos, length: 0.4 m, size: 12 AWG, colour: red}\n"                \
    "  N1: {from: lamp.neg, to: b.neg, length: 4 m, size: 12 AWG, colour: black}\n"

/* Two batteries in series: the loop of `drop` with 0.4 m of link more, against 24 V. The fuse of the string stands for
 * the link, 10 A on 12 AWG. The smaller battery sets how long it lasts: 20 Ah, half of it usable, over 20 mA: 500 h. */
START_TEST(batteries_in_series)
{
    study_of(ITEMS BANK_24 WIRES_24);
    const double hot = 1 + 0.00393 * (31.0204 - 20);
    const double ohm = 8.5 * AWG12_OHM_PER_M * hot + 0.005 + 0.010;
    check_near(s->nominal_V, 24, 1e-12);
    check_near(load_of("lamp")->nominal_V, 24, 1e-12);
    check_near(load_of("lamp")->drop, 5 * ohm / 24, 1e-4);
    source from;
    const double rest_V = 2 * battery_rest_V(CHEMISTRY_AGM, 12, 0.2, NULL, &from);
    check_near(load_of("lamp")->worst_V, rest_V - 5 * (2 * 0.015 + ohm), 1e-6);
    check_near(wire_of("L1")->protector_A, 10, 1e-12);
    ck_assert_msg(!finding_of("protector-missing") && !finding_of("protector-too-far"), "%s", told());
    ck_assert_msg(j->is_open[GATE_CUT] && j->is_open[GATE_CLOSE] && j->is_open[GATE_LIVE], "%s", told());

    study_of(ITEMS BANK_24 "  meter: {kind: voltmeter, draws: 20 mA}\n" WIRES_24
                           "  P4: {from: main.out, to: meter.pos, length: 1 m, size: 16 AWG, colour: red}\n"
                           "  N2: {from: meter.neg, to: b.neg, length: 1 m, size: 16 AWG, colour: black}\n");
    check_near(s->standby_A, 0.020, 1e-6);
    check_near(s->usable_C, 10 * 3600, 1e-9);
    check_near(s->days_to_empty, 500.0 / 24, 1e-5);

    study_of(ITEMS BANK_24 "  meter: {kind: voltmeter, draws: 20 mA}\n  tap: {kind: fuse, rating: 5 A}\n" WIRES_24
                           "  P4: {from: b.pos, to: tap.in, length: 0.1 m, size: 16 AWG, colour: red}\n"
                           "  P5: {from: tap.out, to: meter.pos, length: 1 m, size: 16 AWG, colour: red}\n"
                           "  N2: {from: meter.neg, to: b.neg, length: 1 m, size: 16 AWG, colour: black}\n");
    check_near(load_of("meter")->nominal_V, 12, 1e-12);
    check_near(s->standby_A, 0.020, 1e-6);
    check_near(s->days_to_empty, 500.0 / 24, 1e-5);
}
END_TEST

/* 120 m of 12 AWG lose more than a tenth of 24 V at 5 A. A link too thin for the fuse of its string is found; so is one
 * of a string that has no fuse at all. */
START_TEST(batteries_in_series_amiss)
{
    study_of(ITEMS BANK_24 "wires:\n" P1 P2
                           "  P3: {from: sw.out, to: lamp.pos, length: 60 m, size: 12 AWG, colour: red}\n"
                           "  L1: {from: bank.neg, to: b.pos, length: 0.4 m, size: 12 AWG, colour: red}\n"
                           "  N1: {from: lamp.neg, to: b.neg, length: 60 m, size: 12 AWG, colour: black}\n");
    const finding *f = finding_of("drop-other");
    ck_assert_msg(f != NULL, "%s", told());
    study_of(HEAD BANK "  main: {kind: fuse, rating: 40 A}\n" SWITCH LAMP BANK_24
                       "wires:\n  P1: {from: bank.pos, to: main.in, length: 0.1 m, size: 8 AWG, colour: red}\n"
                       "  P2: {from: main.out, to: sw.feed, length: 2 m, size: 8 AWG, colour: red}\n"
                       "  P3: {from: sw.out, to: lamp.pos, length: 2 m, size: 8 AWG, colour: red}\n"
                       "  L1: {from: bank.neg, to: b.pos, length: 0.4 m, size: 16 AWG, colour: red}\n"
                       "  N1: {from: lamp.neg, to: b.neg, length: 4 m, size: 8 AWG, colour: black}\n");
    f = finding_of("protector-upstream-of-smaller-conductor");
    ck_assert_msg(f && !strcmp(f->where[0], "wire L1"), "%s", told());
    study_of(HEAD BANK SWITCH LAMP BANK_24
             "wires:\n  P2: {from: bank.pos, to: sw.feed, length: 2 m, size: 12 AWG, colour: red}\n" P3
             "  L1: {from: bank.neg, to: b.pos, length: 0.4 m, size: 12 AWG, colour: red}\n"
             "  N1: {from: lamp.neg, to: b.neg, length: 4 m, size: 12 AWG, colour: black}\n");
    ck_assert_msg(finding_of("protector-missing") != NULL, "%s", told());
}
END_TEST

/* A pump of 6 A that starts with 15 A: the wire and the fuse see 15 A, and 10 A * 135 % = 13.5 A is what a start may be. */
START_TEST(start_peak)
{
    study_of(HEAD BANK FUSE SWITCH "  lamp: {kind: pump, draws: 6 A, peak: 15 A}\n" WIRES);
    check_near(wire_of("P3")->peak_A, 15, 1e-6);
    const finding *f = finding_of("protector-too-small");
    ck_assert(f && f->grade == GRADE_MIND);
    check_near(f->value, 15, 1e-6);
    check_near(f->limit, 13.5, 1e-9);
    study_of(HEAD BANK FUSE SWITCH "  lamp: {kind: pump, draws: 6 A, peak: 13 A}\n" WIRES);
    ck_assert(!finding_of("protector-too-small"));
}
END_TEST

/* Before its fuse a wire bears what the fuse lets through, or burns in an overload: 150 % of 20 A. */
START_TEST(thin_before_its_fuse)
{
#define AHEAD "  P1: {from: bank.pos, to: main.in, length: 0.1 m, size: 16 AWG}\n"
    study_of(HEAD BANK "  main: {kind: fuse, rating: 60 A}\n" SWITCH LAMP "wires:\n" AHEAD P2 P3 N1);
    const finding *f = NULL;
    for (int i = 0; i < j->n_findings; i++)
        if (!strncmp(j->findings[i].says, "main (60 A) lets 60 A through P1", 32)) f = &j->findings[i];
    ck_assert_msg(f && f->grade == GRADE_STOP, "%s", told());
    check_near(f->limit, 30, 1e-9);
    study_of(HEAD BANK FUSE SWITCH LAMP "wires:\n" AHEAD P2 P3 N1);
    ck_assert_msg(!j->n_findings, "%s", told());
}
END_TEST

/* A short in the load drives what the fuse lets through into the return, too. */
START_TEST(thin_return)
{
    study_of(HEAD BANK "  main: {kind: fuse, rating: 30 A}\n" SWITCH LAMP "wires:\n" P1 P2 P3
                       "  N1: {from: lamp.neg, to: bank.neg, length: 4 m, size: 18 AWG, sheathed: true}\n");
    ck_assert_int_eq(wire_of("N1")->protector, wire_of("P3")->protector);
    const finding *f = finding_of("protector-upstream-of-smaller-conductor");
    ck_assert(f != NULL);
    ck_assert_str_eq(f->where[0], "wire N1");
    check_near(f->value, 30, 1e-9);
    check_near(f->limit, 22.5, 1e-9); /* 150 % of 15 A */
}
END_TEST

/* Four circuits of 10, 5, 15 and 10 A push 40 A through the return that they share; no more than a main fuse of 30 A. */
START_TEST(shared_return)
{
#define SHARED(main_A, size)                                                                                           \
    HEAD BANK "  main: {kind: fuse, rating: " main_A ", style: bolted}\n"                                              \
              "  fuses: {kind: fuse-block, slots: [10 A, 5 A, 15 A, 10 A]}\n"                                          \
              "  a: {kind: led-light, draws: 2 A}\n  b: {kind: led-light, draws: 2 A}\n"                               \
              "  c: {kind: led-light, draws: 2 A}\n  d: {kind: led-light, draws: 2 A}\n"                               \
              "  bar: {kind: busbar, studs: 5}\nwires:\n"                                                              \
              "  P1: {from: bank.pos, to: main.in, length: 0.1 m, size: 6 AWG}\n"                                      \
              "  P2: {from: main.out, to: fuses.in, length: 1 m, size: 6 AWG}\n"                                       \
              "  P3: {from: fuses.1, to: a.pos, length: 1 m, size: 14 AWG}\n"                                          \
              "  P4: {from: fuses.2, to: b.pos, length: 1 m, size: 14 AWG}\n"                                          \
              "  P5: {from: fuses.3, to: c.pos, length: 1 m, size: 14 AWG}\n"                                          \
              "  P6: {from: fuses.4, to: d.pos, length: 1 m, size: 14 AWG}\n"                                          \
              "  N1: {from: a.neg, to: bar.1, length: 1 m, size: 14 AWG}\n"                                            \
              "  N2: {from: b.neg, to: bar.2, length: 1 m, size: 14 AWG}\n"                                            \
              "  N3: {from: c.neg, to: bar.3, length: 1 m, size: 14 AWG}\n"                                            \
              "  N4: {from: d.neg, to: bar.4, length: 1 m, size: 14 AWG}\n"                                            \
              "  N5: {from: bar.5, to: bank.neg, length: 1 m, size: " size "}\n"
    study_of(SHARED("60 A", "16 AWG"));
    const finding *f = finding_of("protector-too-large");
    ck_assert_msg(f && f->grade == GRADE_STOP && f->gate == GATE_CLOSE, "%s", told());
    ck_assert_str_eq(f->where[0], "wire N5");
    check_near(f->value, 40, 1e-9);
    check_near(f->limit, 30, 1e-9); /* 150 % of 20 A */
    check_near(wire_of("N3")->protector_A, 15, 1e-9);

    study_of(SHARED("30 A", "16 AWG"));
    f = finding_of("protector-too-large");
    ck_assert_msg(f && f->grade == GRADE_NOTE, "%s", told());
    check_near(f->value, 30, 1e-9);

    study_of(SHARED("60 A", "auto"));
    ck_assert_double_ge(wire_of("N5")->ampacity_A, 40);
    ck_assert_msg(!finding_of("protector-too-large"), "%s", told());
    ck_assert_ptr_nonnull(strstr(wire_of("N5")->why_size, "push through it"));
}
END_TEST

/* Between what a conductor bears and what the rule allows there is a note; in Europe there is no such room. */
START_TEST(room_above_conductor)
{
    study_of(HEAD BANK "  main: {kind: fuse, rating: 40 A}\n" SWITCH LAMP WIRES);
    const finding *f = finding_of("protector-too-large");
    ck_assert(f && f->grade == GRADE_NOTE && j->is_open[GATE_LIVE]);
    study_of("loomwall: 1\nname: T\npractice: europe\nconditions: {hottest: 30 degC, coldest: 0 degC}\nitems:\n" BANK
             "  main: {kind: fuse, rating: 25 A}\n" SWITCH LAMP "wires:\n"
             "  P1: {from: bank.pos, to: main.in, length: 0.1 m, size: 1.5 mm2}\n"
             "  P2: {from: main.out, to: sw.feed, length: 1 m, size: 1.5 mm2}\n"
             "  P3: {from: sw.out, to: lamp.pos, length: 1 m, size: 1.5 mm2}\n"
             "  N1: {from: lamp.neg, to: bank.neg, length: 1 m, size: 1.5 mm2}\n");
    f = finding_of("protector-too-large"); /* 18 A at 70 degC, ISO 10133 from memory */
    ck_assert(f && f->grade == GRADE_STOP && f->gate == GATE_LIVE);
    check_near(f->limit, 18, 1e-9);
    ck_assert(strstr(f->remedy, "15 A"));
}
END_TEST

/* A charger that meets the battery bare does not hide the feeds that do so, too. */
START_TEST(bare_charger_and_bare_feed)
{
    study_of(HEAD BANK "  charger: {kind: solar-charger, gives: 5 A}\n" SWITCH LAMP
                       "wires:\n  P1: {from: bank.pos, to: sw.feed, length: 1 m, size: 12 AWG}\n" P3 N1
                       "  C1: {from: charger.out-pos, to: bank.pos, length: 1 m, size: 12 AWG}\n"
                       "  C2: {from: charger.out-neg, to: bank.neg, length: 1 m, size: 12 AWG}\n");
    const finding *charger = finding_of("charger-unprotected-at-battery"), *feed = finding_of("protector-missing");
    ck_assert_msg(charger && feed, "%s", told());
    ck_assert_int_eq(feed->n_where, 2); /* P1 and P3, not C1 */
    ck_assert_str_eq(feed->where[0], "wire P1");
}
END_TEST

/* A charger gives what it gives while the battery takes it, not to a full one: 40 A through 12 AWG, which bears 35 A,
 * and 40 A * (volts at its output) / 90 % / (volts at its input) on the other side, 1 mohm of its own included. */
START_TEST(charging)
{
    study_of(HEAD "  bank: {kind: battery, chemistry: lfp, capacity: 100 Ah, resistance: 15 mohm}\n"
                  "  starter: {kind: battery, chemistry: flooded, capacity: 80 Ah, resistance: 5 mohm}\n"
                  "  own: {kind: fuse, rating: 50 A, style: bolted}\n"
                  "  far: {kind: fuse, rating: 70 A, style: bolted}\n"
                  "  charger: {kind: dc-charger, gives: 40 A}\n"
                  "wires:\n"
                  "  C1: {from: charger.out-pos, to: own.out, length: 0.5 m, size: 12 AWG}\n"
                  "  C2: {from: own.in, to: bank.pos, length: 0.1 m, size: 12 AWG}\n"
                  "  C3: {from: charger.out-neg, to: bank.neg, length: 0.5 m, size: 12 AWG}\n"
                  "  A1: {from: starter.pos, to: far.in, length: 0.1 m, size: 4 AWG}\n"
                  "  A2: {from: far.out, to: charger.in-pos, length: 1 m, size: 4 AWG}\n"
                  "  A3: {from: charger.in-neg, to: starter.neg, length: 1 m, size: 4 AWG}\n");
    check_near(wire_of("C1")->worst_A, 40, 1e-6);
    const finding *f = finding_of("conductor-overloaded");
    ck_assert_msg(f && !strcmp(f->where[0], "wire C1"), "%s", told());
    ck_assert_int_eq(f->n_position_items, 1);
    ck_assert_int_eq(f->position_items[0], van_item(s->van, "charger"));
    source from;
    const double ohm = 1.1 * AWG12_OHM_PER_M * (1 + 0.00393 * (80 - 20)) + 0.1 / 50; /* as hot as it may be */
    const double out_V = battery_rest_V(CHEMISTRY_LFP, 12, 0.2, NULL, &from) + 40 * (0.015 + ohm);
    const double rest_V = battery_rest_V(CHEMISTRY_FLOODED, 12, 0.2, NULL, &from);
    const wire_study *in = wire_of("A2");
    const double lost_ohm = 0.005 + 0.1 / 70 + 0.001 + 2.1 * in->ohm_20 * (1 + 0.00393 * (in->temperature_K - 293.15));
    const double in_V = rest_V - in->worst_A * lost_ohm;
    check_near(in->worst_A * in_V, 40 * out_V / 0.9 + 0.1, 1e-3);
}
END_TEST

/* In air of 85 degC no thickness helps insulation of 80 degC. */
START_TEST(air_too_warm_for_insulation)
{
    study_of(
        "loomwall: 1\nname: T\npractice: north-america\nconditions: {hottest: 85 degC, coldest: 0 degC}\nitems:\n" BANK
            FUSE SWITCH LAMP WIRES);
    const finding *wire = finding_of("conductor-overloaded"), *device = finding_of("protector-too-large");
    ck_assert_msg(wire && device, "%s", told());
    ck_assert_msg(strstr(wire->remedy, "more than 80 degC"), "%s", wire->remedy);
    ck_assert_msg(strstr(device->remedy, "more than 80 degC"), "%s", device->remedy);
}
END_TEST

/* A light that nothing feeds is not one beside its dimmer: what it lacks is said once. */
START_TEST(dead_light_at_a_dimmer)
{
    study_of(HEAD BANK FUSE LAMP "  dim: {kind: low-side-dimmer, rating: 8 A}\n  bar: {kind: busbar, studs: 2}\n"
                                 "wires:\n" P1 "  P2: {from: main.out, to: lamp.pos, length: 2 m, size: 12 AWG}\n"
                                 "  P3: {from: lamp.pos, to: dim.pos, length: 1 m, size: 12 AWG}\n"
                                 "  N1: {from: lamp.neg, to: dim.load-neg, length: 1 m, size: 12 AWG}\n"
                                 "  N2: {from: dim.neg, to: bar.1, length: 1 m, size: 12 AWG}\n");
    ck_assert_msg(finding_of("load-never-runs") && !finding_of("load-on-wrong-side-of-dimmer"), "%s", told());
}
END_TEST

/* What no table gives is unproven, and shuts its gate. */
START_TEST(unknown_is_unproven)
{
    study_of(ITEMS "wires:\n" P1 P2 "  P3: {from: sw.out, to: lamp.pos, length: 2 m, size: 22 AWG}\n" N1);
    const finding *f = finding_of("conductor-overloaded");
    ck_assert(f && f->grade == GRADE_UNPROVEN && isnan(f->limit));
    ck_assert(!j->is_open[GATE_CLOSE]);
}
END_TEST

/* ---- positions ---- */

/* Positions that were not looked at are no ground to say that something never happens in any. */
START_TEST(unseen_positions_show_no_absence)
{
    const study_options none = {.most_plain = 1};
    s = study_run(a, van_of(ITEMS WIRES), &none);
    j = judge(a, s);
    ck_assert(finding_of("unproven-positions"));
    ck_assert(!finding_of("load-never-runs") && !finding_of("wire-does-nothing"));
    ck_assert(!finding_of("lamp-dark-by-mistake"));
}
END_TEST

/* A main switch that is off does not count against what lies behind it; nor does one of two ways to a lamp. */
START_TEST(series_and_ways)
{
    study_of(ITEMS "  isolator: {kind: switch}\n"
                   "wires:\n" P1 "  P2: {from: main.out, to: isolator.feed, length: 2 m, size: 12 AWG, colour: red}\n"
                   "  P4: {from: isolator.out, to: sw.feed, length: 1 m, size: 12 AWG, colour: red}\n" P3 N1);
    ck_assert_msg(j->n_findings == 0, "%s", told());
    ck_assert(load_of("lamp")->worst_V > 11);
    study_of(HEAD BANK FUSE LAMP "  near: {kind: changeover}\n  far: {kind: changeover}\n"
                                 "wires:\n" P1
                                 "  P2: {from: main.out, to: near.common, length: 2 m, size: 12 AWG, colour: red}\n"
                                 "  P4: {from: near.a, to: far.a, length: 3 m, size: 12 AWG, colour: red}\n"
                                 "  P5: {from: near.b, to: far.b, length: 3 m, size: 12 AWG, colour: red}\n"
                                 "  P6: {from: far.common, to: lamp.pos, length: 1 m, size: 12 AWG, colour: red}\n" N1);
    ck_assert_msg(j->n_findings == 0, "%s", told());
    ck_assert(load_of("lamp")->worst_V > 11);
}
END_TEST

/* A dimmed light is asked for its volts with the dimmer fully up; at 0 % it is off, not starved. */
START_TEST(dimmed)
{
    study_of(ITEMS "  dimmer: {kind: low-side-dimmer, rating: 6 A}\n"
                   "wires:\n" P1 P2 P3 "  P4: {from: sw.out, to: dimmer.pos, length: 1 m, size: 16 AWG, colour: red}\n"
                   "  N1: {from: lamp.neg, to: dimmer.load-neg, length: 1 m, size: 16 AWG, colour: white}\n"
                   "  N2: {from: dimmer.neg, to: bank.neg, length: 4 m, size: 12 AWG, colour: black}\n");
    ck_assert_msg(j->n_findings == 0, "%s", told());
    ck_assert(load_of("lamp")->worst_V > 11);
    check_near(wire_of("N1")->worst_A, 5, 1e-3);
}
END_TEST

/* ---- gates and decisions ---- */

#define COLOURED "  N1: {from: lamp.neg, to: bank.neg, length: 4 m, size: 12 AWG, colour: red}\n"

START_TEST(gates)
{
    study_of(ITEMS "wires:\n" P1 P2 P3 COLOURED);
    ck_assert(j->is_open[GATE_CUT] && !j->is_open[GATE_CLOSE] && !j->is_open[GATE_LIVE]);
    ck_assert_int_eq(j->shut_by[GATE_CLOSE], 1);
    ck_assert_int_eq(j->shut_by[GATE_LIVE], 0);
    study_of(HEAD BANK FUSE "  sw: {kind: switch, rating: 4 A}\n" LAMP WIRES);
    ck_assert(!j->is_open[GATE_CUT] && !j->is_open[GATE_CLOSE] && !j->is_open[GATE_LIVE]);
    ck_assert_int_eq(j->shut_by[GATE_CUT], 1);
    ck_assert_int_eq(j->shut_by[GATE_CLOSE], 0);
}
END_TEST

#define DECIDED(rule, where) "decided:\n  - {rule: " rule ", where: " where ", why: It is so, date: 2026-11-25}\n"

START_TEST(decisions)
{
    study_of(ITEMS "wires:\n" P1 P2 P3 COLOURED DECIDED("colour-departs", "wire N1"));
    ck_assert(j->is_open[GATE_LIVE] && j->n_findings == 1);
    ck_assert(j->findings[0].is_decided && j->findings[0].grade == GRADE_MIND);
    ck_assert_str_eq(j->findings[0].decision->why, "It is so");
    study_of(ITEMS "wires:\n" P1 P2 P3 COLOURED DECIDED("colour-departs", "wire P1"));
    ck_assert(!j->is_open[GATE_CLOSE] && finding_of("decision-without-finding"));
    /* A stop can't be decided. */
    study_of(HEAD BANK FUSE "  sw: {kind: switch, rating: 4 A}\n" LAMP WIRES DECIDED("switch-overloaded", "item sw"));
    ck_assert(!j->is_open[GATE_CUT] && !finding_of("switch-overloaded")->is_decided);
    ck_assert(finding_of("decision-without-finding"));
}
END_TEST

START_TEST(same_bytes)
{
    const char *text = HEAD BANK "  main: {kind: fuse, rating: 40 A}\n  sw: {kind: switch, rating: 4 A}\n"
                                 "  lamp: {kind: load, draws: 25 A}\n  spare: {kind: led-light, draws: 1 W}\n" WIRES
                                 "  P4: {from: main.out, to: lamp.pos, length: 2 m, size: 18 AWG, colour: black}\n";
    study_of(text);
    const char *once = told();
    const study_options two = {.n_threads = 2};
    s = study_run(a, van_of(text), &two);
    j = judge(a, s);
    ck_assert_str_eq(once, told());
    ck_assert_int_ge(j->n_findings, 4);
}
END_TEST

/* A charger's return on the same bar is nearer than the battery, and the battery's current does not flow there. */
START_TEST(loop_past_a_charger)
{
    study_of(HEAD BANK FUSE LAMP
             "  bar: {kind: busbar, studs: 3}\n"
             "  shunt: {kind: shunt}\n"
             "  own: {kind: fuse, rating: 20 A, style: blade}\n"
             "  charger: {kind: solar-charger, gives: 10 A}\n"
             "wires:\n" P1 "  P2: {from: main.out, to: lamp.pos, length: 2 m, size: 12 AWG, colour: red}\n"
             "  N1: {from: lamp.neg, to: bar.1, length: 2 m, size: 12 AWG, colour: black}\n"
             "  N2: {from: bar.2, to: shunt.load, length: 2 m, size: 12 AWG, colour: black}\n"
             "  N3: {from: shunt.battery, to: bank.neg, length: 2 m, size: 12 AWG, colour: black}\n"
             "  C1: {from: bank.pos, to: own.in, length: 0.1 m, size: 12 AWG, colour: red}\n"
             "  C2: {from: own.out, to: charger.out-pos, length: 1 m, size: 12 AWG, colour: red}\n"
             "  C3: {from: charger.out-neg, to: bar.3, length: 1 m, size: 12 AWG, colour: black}\n");
    const load_feed *f = load_of("lamp")->feed;
    const char *loop[] = {"P1", "P2", "N1", "N2", "N3"};
    ck_assert_int_eq(f->n_loop_wires, 5);
    for (int i = 0; i < 5; i++) ck_assert_str_eq(s->van->wires[f->loop_wires[i]].label, loop[i]);
    ck_assert_int_eq(wire_of("C3")->protector, -1);
    ck_assert_int_ge(wire_of("N3")->protector, 0);
}
END_TEST

/* Two studs of the body are one conductor: a lamp that returns to one runs although the battery is at the other, and
 * what it takes passes the shunt by. */
START_TEST(two_studs_of_the_body)
{
    study_of(HEAD BANK FUSE SWITCH LAMP
             "  front: {kind: chassis}\n  rear: {kind: chassis}\n  shunt: {kind: shunt}\n"
             "  fan: {kind: fan, draws: 1 A}\n"
             "wires:\n" P1 P2 P3 "  N1: {from: lamp.neg, to: front.stud, length: 1 m, size: 12 AWG, colour: black}\n"
             "  N2: {from: rear.stud, to: bank.neg, length: 1 m, size: 12 AWG, colour: black}\n"
             "  N3: {from: bank.neg, to: shunt.battery, length: 1 m, size: 12 AWG, colour: black}\n"
             "  N4: {from: shunt.load, to: fan.neg, length: 1 m, size: 12 AWG, colour: black}\n"
             "  P4: {from: main.out, to: fan.pos, length: 1 m, size: 12 AWG, colour: red}\n");
    ck_assert_msg(!finding_of("load-never-runs"), "%s", told());
    check_near(wire_of("N1")->worst_A, 5, 1e-6);
    check_near(wire_of("N2")->worst_A, 5, 1e-6);
    const finding *f = finding_of("return-bypasses-shunt");
    ck_assert_msg(f && f->n_where == 2, "%s", told());
    ck_assert_str_eq(f->where[0], "wire N1");
}
END_TEST

/* No text says that an installation is safe or complies. */
START_TEST(no_promise)
{
    int n;
    rules(&n);
    for (int i = 0; i < n; i++) {
        const char *text = rule_text(i, a);
        ck_assert_msg(!strstr(text, " safe") && !strstr(text, "compl"), "%s", text);
    }
}
END_TEST

/* ---- what is reported is an operating point ---- */

static const char *const examples[] = {"first-lamp", "heron", "heron-draft", "starling"};
static const char *examples_folder;

static const char *example_text(const char *name)
{
    FILE *file = fopen(arena_printf(a, "%s/%s/%s.yaml", examples_folder, name, name), "rb");
    ck_assert_ptr_nonnull(file);
    sink out = sink_in(a);
    char part[4096];
    for (size_t n; (n = fread(part, 1, sizeof part, file)) > 0;) sink_add_n(&out, part, n);
    fclose(file);
    return sink_text(&out);
}

static const operating_point *cold_point(season of, const position *at)
{
    const operating_point *op = op_solve(op_plan_create(a, s->nets[of]), at, false);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    return op;
}

static int element_of_wire(int w)
{
    const network *net = s->nets[SEASON_HARD];
    for (int e = 0; e < net->n_elements; e++)
        if (net->elements[e].wire == w) return e;
    return -1;
}

/* To nine digits; less than 1e-11 is rounding, of what a leak alone lets through. */
static void check_same(double value, double expected)
{
    ck_assert_msg(fabs(value - expected) <= 1e-9 * fabs(expected) + 1e-11, "%.12g, expected %.12g", value, expected);
}

/* Worst figures are found warm and by parts; solved from nothing in the positions that they name, they are the same. */
START_TEST(worst_is_a_point)
{
    study_of(example_text(examples[_i]));
    int n = 0;
    for (int w = 0; w < s->van->n_wires; w++) {
        const wire_study *x = &s->wires[w];
        if (!x->worst_at) continue;
        check_same(x->worst_A, cold_point(x->worst_season, x->worst_at)->rms_A[element_of_wire(w)]);
        n++;
    }
    ck_assert_int_ge(2 * n, s->van->n_wires);
    for (int k = 0; k < s->n_loads; k++) {
        const load_study *x = &s->loads[k];
        if (x->is_main && x->worst_at)
            check_same(x->worst_V, cold_point(x->worst_season, x->worst_at)->items[x->feed->item].volts);
    }
}
END_TEST

int main(int argc, char **argv)
{
    if (argc < 2) return 99;
    examples_folder = argv[1];
    Suite *suite = suite_create("study");
    TCase *t = tcase_create("study");
    tcase_add_checked_fixture(t, start, finish);
    tcase_set_timeout(t, 60);
    tcase_add_test(t, drop);
    tcase_add_test(t, worst_volts);
    tcase_add_test(t, ampacities);
    tcase_add_test(t, temperatures);
    tcase_add_test(t, size_by_drop);
    tcase_add_test(t, size_by_protector);
    tcase_add_test(t, size_of_all);
    tcase_add_test(t, standby);
    tcase_add_test(t, batteries_in_series);
    tcase_add_test(t, batteries_in_series_amiss);
    tcase_add_test(t, start_peak);
    tcase_add_test(t, thin_before_its_fuse);
    tcase_add_test(t, thin_return);
    tcase_add_test(t, shared_return);
    tcase_add_test(t, room_above_conductor);
    tcase_add_test(t, bare_charger_and_bare_feed);
    tcase_add_test(t, charging);
    tcase_add_test(t, air_too_warm_for_insulation);
    tcase_add_test(t, dead_light_at_a_dimmer);
    tcase_add_test(t, unknown_is_unproven);
    tcase_add_test(t, unseen_positions_show_no_absence);
    tcase_add_test(t, series_and_ways);
    tcase_add_test(t, dimmed);
    tcase_add_test(t, gates);
    tcase_add_test(t, decisions);
    tcase_add_test(t, same_bytes);
    tcase_add_test(t, loop_past_a_charger);
    tcase_add_test(t, two_studs_of_the_body);
    tcase_add_test(t, no_promise);
    tcase_add_loop_test(t, worst_is_a_point, 0, sizeof examples / sizeof *examples);
    suite_add_tcase(suite, t);
    return tap_run(suite);
}
