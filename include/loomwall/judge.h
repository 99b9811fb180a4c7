/* Judging: every switch position of the van, every check, and which gates that leaves open. */
#ifndef LOOMWALL_JUDGE_H
#define LOOMWALL_JUDGE_H

#include "loomwall/edit.h"
#include "loomwall/van.h"
#include <stdbool.h>

typedef struct lw_judgement lw_judgement;

typedef struct lw_judge_options {
    int n_threads;                                /* 1..16; the answer does not depend on it */
    void (*progress)(void *context, double done); /* NULL, or told from the calling thread, done in 0..1 */
    /* NULL, or asked at every operating point, from any of the threads: is the answer no longer wanted? Once true it must
     * stay true; lw_judge then returns LW_STOPPED and gives no judgement. */
    bool (*is_stale)(void *context);
    void *context;
} lw_judge_options;

/* `options` may be NULL: one thread, no progress. Findings are answers: LW_OK whatever they say. */
lw_status lw_judge(const lw_van *van, const lw_judge_options *options, lw_judgement **judgement);
void lw_judgement_free(lw_judgement *judgement);

/* The three moments that can't be taken back, in their order. A gate after a shut one is shut too. */
typedef enum lw_gate { LW_CUT, LW_CLOSE, LW_LIVE, LW_N_GATES } lw_gate;
const char *lw_gate_word(lw_gate gate);

/* STOP and UNPROVEN keep the gate shut; MIND does until the builder records a decision; NOTE does not. */
typedef enum lw_grade { LW_STOP, LW_MIND, LW_NOTE, LW_UNPROVEN } lw_grade;
const char *lw_grade_word(lw_grade grade);

typedef struct lw_gate_state {
    bool is_open;
    int n_shut_by; /* findings of this gate that shut it; 0 for one that is shut only by the gate before it */
} lw_gate_state;
lw_gate_state lw_judgement_gate(const lw_judgement *judgement, lw_gate gate);

/* Which switch positions the answer rests on. */
typedef struct lw_coverage {
    double n_positions; /* combinations that the file allows */
    double n_examined;
    bool is_complete;
    const char *why_not; /* when it is not complete, else NULL */
} lw_coverage;
lw_coverage lw_judgement_coverage(const lw_judgement *judgement);

typedef struct lw_item_position {
    const char *item;     /* "pump-switch" */
    const char *position; /* "on", "40 %" */
} lw_item_position;

/* A remedy that is plain enough to be applied as it stands: lw_van_edit takes its edits. It answers the finding, and opens no
 * gate by itself: the van is judged again with it. */
typedef struct lw_mend {
    const char *says; /* "make P3 10 AWG" */
    const lw_edit *edits;
    size_t n_edits;
} lw_mend;

typedef struct lw_finding {
    const char *rule; /* "conductor-overloaded" */
    lw_gate gate;
    lw_grade grade;
    const char *const *where; /* "wire P3", "item pump", "terminal pump.neg"; most important first */
    size_t n_where;
    const char *says;
    double value, limit; /* in `unit`; NAN where the finding has none */
    const char *unit;
    const lw_item_position *positions; /* in which it is worst */
    size_t n_positions;
    const char *source;   /* of the limit; "" if it has none */
    const char *remedy;   /* "" if there is none to name */
    const lw_mend *mends; /* the first is the nearest at hand; often there is none */
    size_t n_mends;
    const char *decided_why, *decided_date; /* NULL unless the file records a decision on it */
    unsigned line, column;                  /* where in the file; 0 if nowhere */
} lw_finding;

/* By gate, then grade, then rule, then place: the same order on every run. Texts live as long as the judgement. */
size_t lw_judgement_count(const lw_judgement *judgement);
const lw_finding *lw_judgement_finding(const lw_judgement *judgement, size_t i);

/* The whole as JSON, as docs/van-file.md describes it. Release with lw_free. */
lw_status lw_judgement_json(const lw_judgement *judgement, char **json);

#endif
