/* The checks: each reads the study and returns findings with value, limit and source. One table registers them all;
 * what `loomwall why RULE` prints comes from it. Never computes physics, never says that an installation is safe. */
#ifndef JUDGE_JUDGE_H
#define JUDGE_JUDGE_H

#include "study/study.h"

#define GATES(X) X(CUT, "cut") X(CLOSE, "close") X(LIVE, "live")
typedef enum gate {
#define X(NAME, word) GATE_##NAME,
    GATES(X)
#undef X
        N_GATES
} gate;

#define GRADES(X) X(STOP, "stop") X(MIND, "mind") X(NOTE, "note") X(UNPROVEN, "unproven")
typedef enum grade {
#define X(NAME, word) GRADE_##NAME,
    GRADES(X)
#undef X
        N_GRADES
} grade;

/* A remedy that can be applied as it stands: edits of the file (read/edit.h makes them). */
typedef enum mend_verb { MEND_PUT, MEND_DROP, MEND_WIRE } mend_verb;
typedef struct mend_key {
    const char *key, *text;
} mend_key;
typedef struct mend_edit {
    mend_verb verb;
    const char *path[4]; /* PUT, DROP */
    int n_path;
    const char *text; /* PUT */
    mend_key keys[6]; /* WIRE */
    int n_keys;
} mend_edit;
typedef struct mend {
    const char *says; /* "make P3 10 AWG" */
    ARRAY(mend_edit) edits;
} mend;

typedef struct finding {
    int rule; /* index into the table */
    gate gate;
    grade grade;
    bool is_decided; /* a decision in the file answers it (MIND only): shown as decided, does not shut the gate */
    const decision *decision;
    const char **where; /* "wire P3", "item pump", "terminal pump.neg"; most important first */
    int n_where;
    const char *says;    /* one or two sentences for the builder, with the numbers */
    double value, limit; /* in `unit`; NAN when it has none */
    const char *unit;
    const position *positions; /* n_items entries in which it is worst, or NULL */
    const int *position_items; /* the items whose position matters, in file order */
    int n_position_items;
    const char *source; /* of the limit, as source_text gives it */
    const char *remedy; /* what would mend it: concrete, with the size or rating to take */
    ARRAY(mend) mends;  /* the first is the nearest at hand */
    place place;        /* in the file */
} finding;

typedef struct judgement {
    const study *study;
    finding *findings; /* by gate, then grade, then rule, then where: the same order on every run */
    int n_findings;
    bool is_open[N_GATES];
    int shut_by[N_GATES]; /* number of stop, unproven and undecided mind findings that shut it. A gate that follows
                             another one is shut while that one is */
} judgement;

judgement *judge(arena *a, const study *s);

/* The table of rules, for `why`, the manual and the tests. */
typedef struct rule {
    const char *id; /* "conductor-overloaded" */
    gate gate;
    grade grade;         /* the usual one */
    const char *means;   /* what it says when it is raised */
    const char *matters; /* what happens to the builder if they ignore it */
    const char *limits;  /* what is compared with what, names of limits in data/limits.tsv separated by spaces */
    const char *mends;
} rule;
const rule *rules(int *n);
int rule_by_id(const char *id);
/* What `loomwall why RULE` prints, limits and their sources from the tables of both practices. */
const char *rule_text(int rule, arena *a);

#endif
