/* Cases as files: expect/NAME.expect holds what a tradesperson could check against the book.
 *
 *     # a remark
 *     from   NBS Handbook 100 (1966), complete wire table: published
 *     given  conductor copper solid size=14_AWG length=1000_ft temperature=20_degC
 *     expect resistance 2.525 ohm   tolerance 0.1 %
 *
 * `from` holds for what follows, up to the next one. A case is one or more `given` lines of one subject and the
 * `expect` lines after them; each `expect` is one line of TAP. A blank inside a value is written `_`. What is expected
 * is a number with a unit and a tolerance (a share of it in %, or a quantity: `tolerance 5 mV`), or a word
 * (`expect suits yes`), which takes none.
 *
 * Origins: published (document, edition, table or page), hand (arithmetic shown), practice (common practice, no
 * source), memory (from memory, to be confirmed), recorded (shows only that nothing changed). The summary counts them
 * apart. A word that nobody asked for, a subject or a result that is not known, a case without origin: refused, with
 * the line.
 *
 * A subject is a function in the table of subjects.h. It takes its words from the case by `given_...` and answers. */
#ifndef TESTS_EXPECT_H
#define TESTS_EXPECT_H

#include "units/quantity.h"

#include <stdio.h>

typedef struct word {
    const char *key, *value; /* "size", "14 AWG"; value is NULL for a word alone */
    int line;
    bool is_used;  /* by the answer that is being worked out */
    bool was_used; /* by any answer of the case */
} word;

typedef struct given {
    word *words;
    int n_words;
    int line;
} given;

/* One case as its subject sees it. */
typedef struct expect_case {
    arena *arena;
    given *givens; /* one a `given` line */
    int n_givens;
    const char *wrong; /* why it can't be answered; NULL while all is well */
    int wrong_line;
} expect_case;

/* What a subject answers: a number in SI, or a word. */
typedef struct answer {
    double value;
    dimension dimension;
    const char *word; /* not NULL: the answer is this word */
} answer;

typedef struct subject {
    const char *name;
    const char *says;
    /* Answers `wanted` ("resistance"); when it can't, it says why by case_refuse. */
    answer (*answer)(expect_case *c, const char *wanted);
} subject;

/* ---- what subjects call. All take the line by its number, 0 being the first `given`. ---- */

void case_refuse(expect_case *c, int line, const char *wrong);
answer answer_number(double si_value, dimension d);
answer answer_word(const char *text);
/* Refuses: this subject has no such result. */
answer answer_unknown(expect_case *c, const char *wanted);

/* True when the word stands there alone; marks it used. */
bool given_word(expect_case *c, int line, const char *key);
/* The value of key=..., or `otherwise`; refuses when it is missing and otherwise is NULL. */
const char *given_text(expect_case *c, int line, const char *key, const char *otherwise);
/* As a quantity of the dimension; `otherwise` is read in its place when it is missing ("20 degC"). */
quantity given_quantity(expect_case *c, int line, const char *key, dimension d, const char *otherwise);
double given_SI(expect_case *c, int line, const char *key, dimension d, const char *otherwise);
/* The next word of the line that nobody used yet, which it marks; NULL when there is none. For free-form subjects. */
const word *given_next(expect_case *c, int line);

/* ---- running ---- */

/* X(NAME, word) */
#define CASE_ORIGINS(X)                                                                                                \
    X(PUBLISHED, "published") X(HAND, "hand") X(PRACTICE, "practice") X(MEMORY, "memory") X(RECORDED, "recorded")
typedef enum case_origin {
#define X(NAME, word) CASE_##NAME,
    CASE_ORIGINS(X)
#undef X
        N_CASE_ORIGINS
} case_origin;

typedef struct tally {
    int n_lines; /* of TAP so far */
    int passed[N_CASE_ORIGINS], failed[N_CASE_ORIGINS];
    int refused; /* lines that could not be read or answered */
} tally;

/* Runs the text of one file and prints TAP lines to `out`. */
void expect_run(const char *file, const char *text, const subject *subjects, int n_subjects, FILE *out, tally *t);
/* The plan and the summary. */
void expect_summary(const tally *t, FILE *out);

#endif
