/* Work of states.c that its ways of going through the positions share: what was found so far, and in which positions. */
#ifndef CIRCUIT_SURVEY_H
#define CIRCUIT_SURVEY_H

#include "circuit/combos.h"
#include "circuit/probe.h"
#include "circuit/split.h"

typedef struct trouble {
    outcome outcome;
    int culprit;
    uint32_t at; /* set of positions */
} trouble;

/* Combinations that are to be gone through one by one: all states of the digits, with the rest as in `at`. */
typedef struct leftover {
    position *at;
    const int *digits;
    int n;
    const char *why;
} leftover;

typedef struct survey {
    arena *a;
    const network *net;
    const combos *c;
    const probe *probe;
    const states_options *o;
    record *records; /* one a watch; rank is a set of positions */
    /* Sets of positions, each once. */
    ARRAY(const position *) sets;
    ARRAY(int) buckets; /* open addressing: set + 1 */
    ARRAY(trouble) troubles;
    ARRAY(leftover) leftovers;
    double n_examined; /* combinations covered */
    double n_told;     /* for progress */
    long n_solves;
    double worst_residual_A;
    bool is_split;       /* some were covered by parts */
    const char *why_not; /* the first reason why something is not covered */
} survey;

uint32_t survey_set(survey *s, const position *positions);
void survey_trouble(survey *s, outcome o, int culprit, const position *positions);
int survey_n_away(const survey *s, const position *positions);
/* Takes the values of one operating point into the record of a watch. */
void record_offer(record *r, const probe *p, int watch, const double *values, int n_away, uint64_t rank);
void survey_progress(survey *s, double done);
/* Leaves by way of the given arena when the answer is no longer wanted. */
void survey_leave_if_stale(const survey *s, arena *a);

/* One by one: all states of the digits, with everything else as in `fixed`. False: memory ran out. */
bool survey_plain(survey *s, const position *fixed, const int *digits, int n_digits);

/* By parts; NULL, or why that is not exact here. Nothing that it noted is wrong then, but not all is noted. */
const char *survey_parts(survey *s, const position *fixed, const split *sp, const int *digits, int n_digits);

#endif
