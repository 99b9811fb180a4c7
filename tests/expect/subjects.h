/* The subjects of expect/: one row each. Who adds a subject adds its file to the build and its row here. */
#ifndef TESTS_SUBJECTS_H
#define TESTS_SUBJECTS_H

#include "expect.h"

/* subject_conductors.c */
answer answer_conductor(expect_case *c, const char *wanted);
answer answer_ampacity(expect_case *c, const char *wanted);
answer answer_drop(expect_case *c, const char *wanted);
/* subject_units.c */
answer answer_units(expect_case *c, const char *wanted);
/* subject_ref.c */
answer answer_battery(expect_case *c, const char *wanted);
answer answer_device(expect_case *c, const char *wanted);
answer answer_colour(expect_case *c, const char *wanted);
answer answer_limit(expect_case *c, const char *wanted);
/* subject_circuit.c */
answer answer_circuit(expect_case *c, const char *wanted);
/* subject_judged.c */
answer answer_judged(expect_case *c, const char *wanted);

static const subject subjects[] = {
    {"conductor", "resistance, area and diameter of a conductor", answer_conductor},
    {"ampacity", "what a conductor bears, with its factors", answer_ampacity},
    {"drop", "voltage lost along a conductor", answer_drop},
    {"circuit", "volts and amperes of a few elements", answer_circuit},
    {"judged", "one circuit as the judge sees it", answer_judged},
    {"units", "a quantity in another unit", answer_units},
    {"battery", "rest voltage and inner resistance", answer_battery},
    {"device", "ratings of protective devices", answer_device},
    {"colour", "whether a colour suits a use", answer_colour},
    {"limit", "a limit of a practice", answer_limit},
};
enum { n_subjects = sizeof subjects / sizeof *subjects };

#endif
