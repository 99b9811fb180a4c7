/* One by one: every combination of some digits, in reflected Gray code, so that neighbours differ in one digit and the
 * solver starts near its answer. Knuth, TAOCP 7.2.1.1, algorithm H, tells it for mixed radices.
 *
 * Work is dealt in chunks of fixed size. Each starts from nothing, with a plan of its own, and chunks are merged in their
 * order: so the answer does not depend on how many threads share them, to the last bit. */
#include "circuit/survey.h"

#include <assert.h>
#include <pthread.h>

enum { chunk_size = 1 << 10, troubles_most = 32, threads_most = 16 };

typedef struct local_trouble {
    outcome outcome;
    int culprit;
    uint64_t rank;
} local_trouble;

typedef struct chunk {
    record *records;
    local_trouble troubles[troubles_most];
    int n_troubles;
    double residual_A;
} chunk;

typedef struct job {
    survey *s;
    const position *fixed;
    const int *digits;
    int n_digits;
    uint64_t *weight; /* of each digit in the rank; the last digit counts ones */
    uint64_t n, n_chunks;
    pthread_mutex_t lock;
    pthread_cond_t merged;
    uint64_t next_chunk, next_merge;
    bool has_failed;
    chunk all;
} job;

typedef struct worker {
    job *j;
    arena *a;
    chunk own;
    bool tells;
} worker;

static int n_states_of(const job *j, int k) { return j->s->c->digits[j->digits[k]].n_states; }

/* Digit k of the Gray code's word number `step`: it runs up or down by the parity of what stands before it. */
static int gray_digit(const job *j, int k, uint64_t step)
{
    const uint64_t n = (uint64_t)n_states_of(j, k), up = step / j->weight[k];
    const uint64_t digit = up % n;
    return (int)((up / n) & 1u ? n - 1 - digit : digit);
}

static void rank_positions(const job *j, uint64_t rank, position *at)
{
    for (int k = 0; k < j->n_digits; k++)
        combos_set(j->s->c, j->digits[k], (int)(rank / j->weight[k] % (uint64_t)n_states_of(j, k)), at);
}

static void note_trouble(chunk *c, outcome o, int culprit, uint64_t rank)
{
    for (int k = 0; k < c->n_troubles; k++) {
        local_trouble *t = &c->troubles[k];
        if (t->outcome != o || t->culprit != culprit) continue;
        if (rank < t->rank) t->rank = rank;
        return;
    }
    if (c->n_troubles < troubles_most) c->troubles[c->n_troubles++] = (local_trouble){o, culprit, rank};
}

static void merge_chunk(chunk *all, const chunk *c, int n_watches)
{
    for (int w = 0; w < n_watches; w++) {
        best_merge(&all->records[w].least, -1, &c->records[w].least);
        best_merge(&all->records[w].most, +1, &c->records[w].most);
        best_merge(&all->records[w].least_A, -1, &c->records[w].least_A);
        best_merge(&all->records[w].most_A, +1, &c->records[w].most_A);
    }
    for (int k = 0; k < c->n_troubles; k++)
        note_trouble(all, c->troubles[k].outcome, c->troubles[k].culprit, c->troubles[k].rank);
    if (c->residual_A > all->residual_A) all->residual_A = c->residual_A;
}

typedef struct chunk_run {
    job *j;
    arena *a;
    chunk *out;
    uint64_t number;
} chunk_run;

static void run_chunk(void *context)
{
    const chunk_run *r = context;
    const job *j = r->j;
    const probe *p = j->s->probe;
    const int n_items = j->s->net->van->n_items;
    op_plan *plan = op_plan_create(r->a, j->s->net);
    position *at = ARENA_ARRAY(r->a, position, (size_t)n_items + 1);
    int *state = ARENA_ARRAY(r->a, int, (size_t)j->n_digits + 1);
    double *values = ARENA_ARRAY(r->a, double, (size_t)p->n_values + 1);
    for (int i = 0; i < n_items; i++) at[i] = j->fixed[i];
    int still_away = survey_n_away(j->s, at);
    for (int k = 0; k < j->n_digits; k++) state[k] = -1;
    const uint64_t first = r->number * chunk_size, last = j->n - first < chunk_size ? j->n : first + chunk_size;
    for (uint64_t step = first; step < last; step++) {
        uint64_t rank = 0;
        int n_away = still_away;
        for (int k = 0; k < j->n_digits; k++) {
            const int now = gray_digit(j, k, step);
            if (now != state[k]) combos_set(j->s->c, j->digits[k], state[k] = now, at);
            rank += (uint64_t)now * j->weight[k];
            n_away += j->s->c->digits[j->digits[k]].n_away[now];
        }
        survey_leave_if_stale(j->s, r->a);
        const operating_point *op = op_solve(plan, at, step > first);
        if (op->outcome != OUTCOME_SOLVED) {
            note_trouble(r->out, op->outcome, op->culprit_element, rank);
            continue;
        }
        op = op_check(plan);
        if (op->residual_A > r->out->residual_A) r->out->residual_A = op->residual_A;
        probe_read(p, op, values);
        for (int w = 0; w < p->n_watches; w++)
            if (probe_meets(p, w, at, op)) record_offer(&r->out->records[w], p, w, values, n_away, rank);
    }
}

/* Takes the next chunk's number; false when there is none left. */
static bool take_chunk(job *j, uint64_t *number)
{
    pthread_mutex_lock(&j->lock);
    *number = j->next_chunk;
    const bool is_left = !j->has_failed && j->next_chunk < j->n_chunks;
    if (is_left) j->next_chunk++;
    pthread_mutex_unlock(&j->lock);
    return is_left;
}

static void give_chunk(job *j, uint64_t number, const chunk *c, bool is_good)
{
    pthread_mutex_lock(&j->lock);
    while (j->next_merge != number) pthread_cond_wait(&j->merged, &j->lock);
    if (is_good)
        merge_chunk(&j->all, c, j->s->probe->n_watches);
    else
        j->has_failed = true;
    j->next_merge++;
    pthread_cond_broadcast(&j->merged);
    pthread_mutex_unlock(&j->lock);
}

static void *work(void *context)
{
    worker *w = context;
    job *j = w->j;
    for (uint64_t number; take_chunk(j, &number);) {
        arena *a = arena_create();
        for (int i = 0; i < j->s->probe->n_watches; i++) w->own.records[i] = (record){0};
        w->own.n_troubles = 0;
        w->own.residual_A = 0;
        chunk_run r = {j, a, &w->own, number};
        const bool is_good = a && arena_try(a, run_chunk, &r);
        arena_destroy(a);
        give_chunk(j, number, &w->own, is_good);
        if (w->tells) survey_progress(j->s, (double)(number + 1) * chunk_size);
    }
    return NULL;
}

static void run_threads(job *j)
{
    worker workers[threads_most];
    pthread_t threads[threads_most];
    int n = j->s->o->n_threads < 1 ? 1 : j->s->o->n_threads > threads_most ? threads_most : j->s->o->n_threads;
    if ((uint64_t)n > j->n_chunks) n = (int)j->n_chunks;
    assert(n > 0);
    for (int i = 0; i < n; i++)
        workers[i] = (worker){
            .j = j, .own.records = ARENA_ARRAY(j->s->a, record, (size_t)j->s->probe->n_watches + 1), .tells = i == 0};
    int n_started = 1;
    for (; n_started < n; n_started++)
        if (pthread_create(&threads[n_started], NULL, work, &workers[n_started])) break;
    work(&workers[0]);
    for (int i = 1; i < n_started; i++) pthread_join(threads[i], NULL);
}

static void settle(job *j, best *into, int sign, const best *found, position *at)
{
    if (!found->is_met) return;
    for (int i = 0; i < j->s->net->van->n_items; i++) at[i] = j->fixed[i];
    rank_positions(j, found->rank, at);
    best named = *found;
    named.rank = survey_set(j->s, at);
    best_merge(into, sign, &named);
}

static void settle_all(job *j)
{
    survey *s = j->s;
    position *at = ARENA_ARRAY(s->a, position, (size_t)s->net->van->n_items + 1);
    for (int w = 0; w < s->probe->n_watches; w++) {
        record *into = &s->records[w], *found = &j->all.records[w];
        settle(j, &into->least, -1, &found->least, at);
        settle(j, &into->most, +1, &found->most, at);
        settle(j, &into->least_A, -1, &found->least_A, at);
        settle(j, &into->most_A, +1, &found->most_A, at);
    }
    for (int k = 0; k < j->all.n_troubles; k++) {
        for (int i = 0; i < s->net->van->n_items; i++) at[i] = j->fixed[i];
        rank_positions(j, j->all.troubles[k].rank, at);
        survey_trouble(s, j->all.troubles[k].outcome, j->all.troubles[k].culprit, at);
    }
    if (j->all.residual_A > s->worst_residual_A) s->worst_residual_A = j->all.residual_A;
}

bool survey_plain(survey *s, const position *fixed, const int *digits, int n_digits)
{
    job j = {.s = s, .fixed = fixed, .digits = digits, .n_digits = n_digits, .n = 1};
    j.weight = ARENA_ARRAY(s->a, uint64_t, (size_t)n_digits + 1);
    for (int k = n_digits - 1; k >= 0; k--) {
        j.weight[k] = j.n;
        j.n *= (uint64_t)n_states_of(&j, k);
    }
    if (j.n == 0) return true;
    j.n_chunks = (j.n + chunk_size - 1) / chunk_size;
    j.all.records = ARENA_ARRAY(s->a, record, (size_t)s->probe->n_watches + 1);
    if (pthread_mutex_init(&j.lock, NULL)) return false;
    if (pthread_cond_init(&j.merged, NULL)) {
        pthread_mutex_destroy(&j.lock);
        return false;
    }
    run_threads(&j);
    pthread_cond_destroy(&j.merged);
    pthread_mutex_destroy(&j.lock);
    survey_leave_if_stale(s, s->a);
    if (j.has_failed) return false;
    settle_all(&j);
    s->n_examined += (double)j.n;
    s->n_solves += (long)j.n;
    return true;
}
