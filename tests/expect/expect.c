/* Reads cases, asks their subjects, compares, and counts by origin. See expect.h. */
#include "expect.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- what subjects call ---- */

void case_refuse(expect_case *c, int line, const char *wrong)
{
    if (c->wrong != NULL) return; /* the first reason is the true one */
    c->wrong = wrong;
    c->wrong_line = c->givens[line].line;
}

answer answer_number(double si_value, dimension d) { return (answer){.value = si_value, .dimension = d}; }
answer answer_word(const char *text) { return (answer){.word = text}; }

answer answer_unknown(expect_case *c, const char *wanted)
{
    case_refuse(c, 0, arena_printf(c->arena, "`%s` is no result of this subject", wanted));
    return answer_number(NAN, DIMENSION_NUMBER);
}

static word *find_word(expect_case *c, int line, const char *key)
{
    given *g = &c->givens[line];
    for (int i = 0; i < g->n_words; i++) {
        if (strcmp(g->words[i].key, key) == 0) {
            g->words[i].is_used = true;
            return &g->words[i];
        }
    }
    return NULL;
}

bool given_word(expect_case *c, int line, const char *key)
{
    word *w = find_word(c, line, key);
    if (w != NULL && w->value != NULL) case_refuse(c, line, arena_printf(c->arena, "`%s` takes no value", key));
    return w != NULL;
}

const char *given_text(expect_case *c, int line, const char *key, const char *otherwise)
{
    word *w = find_word(c, line, key);
    if (w != NULL && w->value != NULL) return w->value;
    if (otherwise == NULL) case_refuse(c, line, arena_printf(c->arena, "`%s=...` is missing", key));
    return otherwise != NULL ? otherwise : "";
}

quantity given_quantity(expect_case *c, int line, const char *key, dimension d, const char *otherwise)
{
    const char *text = given_text(c, line, key, otherwise), *wrong = NULL;
    quantity q = {.value = NAN, .dimension = d};
    if (c->wrong != NULL) return q;
    if (!quantity_parse(text, strlen(text), &q, c->arena, &wrong)) {
        case_refuse(c, line, arena_printf(c->arena, "`%s` %s", text, wrong));
    } else if (q.dimension != d) {
        case_refuse(
            c, line,
            arena_printf(c->arena, "`%s` is a %s, not a %s", text, dimension_name(q.dimension), dimension_name(d)));
    }
    return q;
}

double given_SI(expect_case *c, int line, const char *key, dimension d, const char *otherwise)
{
    return given_quantity(c, line, key, d, otherwise).value;
}

const word *given_next(expect_case *c, int line)
{
    given *g = &c->givens[line];
    for (int i = 0; i < g->n_words; i++) {
        if (g->words[i].is_used) continue;
        g->words[i].is_used = true;
        return &g->words[i];
    }
    return NULL;
}

/* ---- running ---- */

typedef struct run {
    const char *file;
    const subject *subjects;
    int n_subjects;
    FILE *out;
    tally *tally;
    arena *arena;
    int line;
    bool has_origin;
    case_origin origin;
    const subject *subject; /* of the case at hand, NULL when there is none */
    ARRAY(given) givens;
    bool is_asked;  /* the case at hand has had an `expect` */
    bool is_broken; /* a line of it was refused */
} run;

static void refuse_at(run *r, int line, const char *wrong)
{
    r->tally->refused++;
    fprintf(r->out, "not ok %d - %s:%d: refused: %s\n", ++r->tally->n_lines, r->file, line, wrong);
    r->is_broken = true;
}

static void refuse(run *r, const char *wrong) { refuse_at(r, r->line, wrong); }

static const char *const origin_words[] = {
#define X(NAME, word) word,
    CASE_ORIGINS(X)
#undef X
};

static char *trim(char *text)
{
    while (isspace((unsigned char)*text)) text++;
    char *end = text + strlen(text);
    while (end > text && isspace((unsigned char)end[-1])) *--end = '\0';
    return text;
}

/* A case ends: every word of it must have been asked for. */
static void end_case(run *r)
{
    if (r->subject != NULL && !r->is_asked && !r->is_broken) refuse(r, "a `given` without an `expect`");
    for (size_t i = 0; r->is_asked && !r->is_broken && i < r->givens.n; i++) {
        const given *g = &r->givens.at[i];
        for (int k = 0; k < g->n_words; k++) {
            if (g->words[k].was_used) continue;
            refuse_at(
                r, g->line,
                arena_printf(r->arena, "`%s` is not a word that %s takes here", g->words[k].key, r->subject->name));
        }
    }
    r->subject = NULL;
    r->givens.n = 0;
    r->is_asked = r->is_broken = false;
}

static void read_from(run *r, char *text)
{
    end_case(r);
    r->has_origin = false;
    char *colon = strrchr(text, ':');
    if (colon == NULL || colon == text) {
        refuse(r, "`from SOURCE: ORIGIN` wants both");
        return;
    }
    const char *word = trim(colon + 1);
    for (int i = 0; i < N_CASE_ORIGINS; i++) {
        if (strcmp(word, origin_words[i]) != 0) continue;
        r->origin = (case_origin)i;
        r->has_origin = true;
        return;
    }
    refuse(r, arena_printf(r->arena, "`%s` is no origin: published, hand, practice, memory, recorded", word));
}

static void read_words(run *r, given *g, char *text)
{
    ARRAY(word) words = {0};
    char *rest = NULL;
    for (char *token = strtok_r(text, " \t", &rest); token != NULL; token = strtok_r(NULL, " \t", &rest)) {
        char *equals = strchr(token, '=');
        if (equals != NULL) *equals++ = '\0';
        for (char *at = equals; at != NULL && *at != '\0'; at++) {
            if (*at == '_') *at = ' ';
        }
        *ARRAY_ADD(r->arena, &words) = (word){.key = token, .value = equals, .line = r->line};
    }
    g->words = words.at;
    g->n_words = (int)words.n;
}

static const subject *find_subject(const run *r, const char *name)
{
    for (int i = 0; i < r->n_subjects; i++) {
        if (strcmp(r->subjects[i].name, name) == 0) return &r->subjects[i];
    }
    return NULL;
}

static void read_given(run *r, char *text)
{
    if (r->is_asked) end_case(r);
    char *rest = text + strcspn(text, " \t");
    if (*rest != '\0') *rest++ = '\0';
    const subject *s = find_subject(r, text);
    if (s == NULL) {
        refuse(r, arena_printf(r->arena, "`%s` is no subject", text));
        return;
    }
    if (r->subject != NULL && r->subject != s) {
        refuse(r, "two subjects in one case");
        return;
    }
    r->subject = s;
    given g = {.line = r->line};
    read_words(r, &g, rest);
    *ARRAY_ADD(r->arena, &r->givens) = g;
}

/* What one `expect` line says. */
typedef struct expectation {
    const char *name, *value, *tolerance; /* tolerance NULL: a word */
    quantity number;
    double slack; /* SI */
} expectation;

static bool read_number(run *r, const char *text, quantity *q)
{
    const char *wrong = NULL;
    if (quantity_parse(text, strlen(text), q, r->arena, &wrong)) return true;
    refuse(r, arena_printf(r->arena, "`%s` %s", text, wrong));
    return false;
}

static bool read_tolerance(run *r, expectation *e)
{
    quantity tolerance;
    if (!read_number(r, e->value, &e->number) || !read_number(r, e->tolerance, &tolerance)) return false;
    bool is_share = tolerance.dimension == DIMENSION_FRACTION;
    if (!is_share && tolerance.dimension != e->number.dimension) {
        refuse(r, "a tolerance is a share in %, or has the dimension of the value");
        return false;
    }
    e->slack = is_share ? tolerance.value * fabs(e->number.value) : tolerance.value;
    return true;
}

static bool read_expectation(run *r, char *text, expectation *e)
{
    static const char mark[] = " tolerance ";
    *e = (expectation){.name = text};
    char *rest = text + strcspn(text, " \t");
    if (*rest != '\0') *rest++ = '\0';
    char *tolerance = strstr(rest, mark);
    if (tolerance != NULL) {
        *tolerance = '\0';
        e->tolerance = trim(tolerance + sizeof mark - 1);
    }
    e->value = trim(rest);
    if (e->name[0] == '\0' || e->value[0] == '\0') {
        refuse(r, "`expect NAME VALUE tolerance SHARE` wants name and value");
        return false;
    }
    return e->tolerance == NULL || read_tolerance(r, e);
}

static bool is_met(const expectation *e, const answer *found)
{
    if (e->tolerance == NULL) return found->word != NULL && strcmp(found->word, e->value) == 0;
    if (found->word != NULL || found->dimension != e->number.dimension) return false;
    return fabs(found->value - e->number.value) <= e->slack; /* false for NAN */
}

static const char *answer_text(const answer *found, arena *a)
{
    const int digits = 7;
    return found->word != NULL ? found->word : quantity_text(found->value, found->dimension, digits, a);
}

static void print_outcome(run *r, const expectation *e, const answer *found)
{
    bool is_good = is_met(e, found);
    (is_good ? r->tally->passed : r->tally->failed)[r->origin]++;
    fprintf(r->out, "%sok %d - %s:%d %s %s %s (%s)\n", is_good ? "" : "not ", ++r->tally->n_lines, r->file, r->line,
            r->subject->name, e->name, e->value, origin_words[r->origin]);
    if (!is_good) {
        fprintf(r->out, "  # expected %s, found %s\n", e->value, answer_text(found, r->arena));
    }
}

/* Every answer finds the words unused; what it used is remembered. */
static answer ask(run *r, expect_case *c, const char *wanted)
{
    for (int i = 0; i < c->n_givens; i++) {
        for (int k = 0; k < c->givens[i].n_words; k++) c->givens[i].words[k].is_used = false;
    }
    answer found = r->subject->answer(c, wanted);
    for (int i = 0; i < c->n_givens; i++) {
        for (int k = 0; k < c->givens[i].n_words; k++) {
            c->givens[i].words[k].was_used |= c->givens[i].words[k].is_used;
        }
    }
    return found;
}

static void read_expect(run *r, char *text)
{
    expectation e;
    if (r->is_broken) return;
    if (!r->has_origin) {
        refuse(r, "an `expect` without a `from` before it");
        return;
    }
    if (r->subject == NULL) {
        refuse(r, "an `expect` without a `given` before it");
        return;
    }
    r->is_asked = true;
    if (!read_expectation(r, text, &e)) return;
    expect_case c = {.arena = r->arena, .givens = r->givens.at, .n_givens = (int)r->givens.n};
    answer found = ask(r, &c, e.name);
    if (c.wrong != NULL) {
        refuse_at(r, c.wrong_line, c.wrong);
        return;
    }
    print_outcome(r, &e, &found);
}

static void read_line(run *r, char *text)
{
    text = trim(text);
    if (*text == '\0' || *text == '#') return;
    char *rest = text + strcspn(text, " \t");
    if (*rest != '\0') *rest++ = '\0';
    rest = trim(rest);
    if (strcmp(text, "from") == 0)
        read_from(r, rest);
    else if (strcmp(text, "given") == 0)
        read_given(r, rest);
    else if (strcmp(text, "expect") == 0)
        read_expect(r, rest);
    else
        refuse(r, arena_printf(r->arena, "`%s` starts no line: from, given, expect", text));
}

void expect_run(const char *file, const char *text, const subject *subjects, int n_subjects, FILE *out, tally *t)
{
    arena *a = arena_create();
    if (a == NULL) abort();
    run r = {.file = file, .subjects = subjects, .n_subjects = n_subjects, .out = out, .tally = t, .arena = a};
    char *copy = arena_text(a, text), *rest = copy;
    while (rest != NULL) {
        char *line = strsep(&rest, "\n");
        r.line++;
        read_line(&r, line);
    }
    end_case(&r);
    arena_destroy(a);
}

void expect_summary(const tally *t, FILE *out)
{
    fprintf(out, "1..%d\n", t->n_lines);
    for (int i = 0; i < N_CASE_ORIGINS; i++) {
        if (t->passed[i] + t->failed[i] == 0) continue;
        fprintf(out, "# %s: %d met, %d not\n", origin_words[i], t->passed[i], t->failed[i]);
    }
    if (t->refused > 0) fprintf(out, "# refused: %d\n", t->refused);
}
