/* What is asked of the switch positions, and where the answers go. Each question is one watch; the fewer, the quicker
 * a study runs. */
#include "circuit/probe.h"
#include "study/parts.h"

#include <math.h>

static void ask(questions *q, arena *a, question what, int index, watch w)
{
    *ARRAY_ADD(a, &q->watches) = w;
    *ARRAY_ADD(a, &q->asked) = (asked){what, index};
}

static watch most_of(watch_kind what, int index) { return (watch){.kind = what, .index = index, .is_most_only = true}; }

/* Elements whose current is held against a rating, or shows what passes through an item. */
static bool is_rated(const network *net, int e)
{
    const net_element *el = &net->elements[e];
    if (el->item < 0) return false;
    switch (el->type) {
    case ELEMENT_CONTACT:
    case ELEMENT_FUSIBLE:
    case ELEMENT_CHOPPER:
        return true;
    case ELEMENT_CONDUCTOR: /* studs of a bar, the shunt */
        return item_setting(net->van, el->item, "rating") != NULL;
    case ELEMENT_LOAD:
        return item_kind(net->van, el->item)->role == ROLE_OUTLET;
    default:
        return false;
    }
}

static bool may_close(const network *net, const net_element *contact)
{
    const item *it = &net->van->items[contact->item];
    if (kind_coil(item_kind(net->van, contact->item)) >= 0) return true;
    for (int i = 0; i < it->n_positions; i++)
        if (contact->closed_in >> it->positions[i].index & 1u) return true;
    return false;
}

/* One of several contacts side by side does. */
static bool is_parallel(const study *s, const network *net, const int *contacts, int n, const net_element *to)
{
    for (int i = 0; i < n; i++) {
        const net_element *c = &net->elements[contacts[i]];
        const int a = s->joined[c->a], b = s->joined[c->b], x = s->joined[to->a], y = s->joined[to->b];
        if ((a == x && b == y) || (a == y && b == x)) return true;
    }
    return false;
}

/* Contacts that lie on the way from the source to the load and back: both their sides are joined to a wire of the loop,
 * or to the load. Volts at a load are asked for with all of these closed, so that a main switch that is off does not count
 * as a fault of what lies behind it. */
static int path_contacts(const study *s, const network *net, const load_feed *f, int *out)
{
    bool *is_on = ARENA_ARRAY(s->arena, bool, net->n_nodes);
    for (int i = 0; i < f->n_loop_wires; i++) {
        const wire *w = &s->van->wires[f->loop_wires[i]];
        is_on[s->joined[w->from]] = is_on[s->joined[w->to]] = true;
    }
    is_on[s->joined[net->elements[f->element].a]] = is_on[s->joined[net->elements[f->element].b]] = true;
    int n = 0;
    for (int e = 0; e < net->n_elements; e++) {
        const net_element *c = &net->elements[e];
        if (c->type != ELEMENT_CONTACT || !is_on[s->joined[c->a]] || !is_on[s->joined[c->b]]) continue;
        if (may_close(net, c) && !is_parallel(s, net, out, n, c)) out[n++] = e;
    }
    return n;
}

/* No position closes both contacts of a changeover; where both seem to lie on the way, the nearest ones must do. */
static bool can_close_together(const network *net, const int *contacts, int n)
{
    for (int i = 0; i < n; i++) {
        uint32_t common = net->elements[contacts[i]].closed_in;
        for (int j = 0; j < n; j++)
            if (net->elements[contacts[j]].item == net->elements[contacts[i]].item)
                common &= net->elements[contacts[j]].closed_in;
        if (!common) return false;
    }
    return true;
}

static watch closed_watch(const study *s, const network *net, const load_feed *f)
{
    int *closed = ARENA_ARRAY(s->arena, int, net->n_elements + 1);
    int n = path_contacts(s, net, f, closed);
    if (!can_close_together(net, closed, n)) {
        n = 0;
        for (int i = 0; i < f->n_own; i++)
            if (can_close_together(net, f->own, f->n_own) || i == 0) closed[n++] = f->own[i];
    }
    if (f->chopper >= 0) closed[n++] = f->chopper;
    return (watch){.kind = WATCH_ITEM_V, .index = f->item, .closed = closed, .n_closed = n, .is_least_only = true};
}

static void ask_load(questions *q, const study *s, const network *net, int load, season when)
{
    arena *a = s->arena;
    const load_feed *f = s->loads[load].feed;
    if (!s->loads[load].is_main) return;
    if (when == SEASON_HARD) ask(q, a, ASK_LOAD_CLOSED, load, closed_watch(s, net, f));
    if (when == SEASON_FULL && f->n_own > 0)
        ask(q, a, ASK_LOAD_OPEN, load,
            (watch){.kind = WATCH_ITEM_V, .index = f->item, .open = f->own, .n_open = f->n_own, .is_most_only = true});
    if (when == SEASON_FULL && s->loads[load].made_for_V > 0)
        ask(q, a, ASK_ITEM_V, f->item, most_of(WATCH_ITEM_V, f->item));
}

static void ask_lamp(questions *q, const study *s, const network *net, int i)
{
    arena *a = s->arena;
    const int first = net->first_element[i], last = net->first_element[i + 1];
    int *contacts = ARENA_ARRAY(a, int, last - first + 1);
    int n = 0;
    for (int e = first; e < last; e++)
        if (net->elements[e].type == ELEMENT_CONTACT) contacts[n++] = e;
    watch w = (watch){.kind = WATCH_LAMP_LIT, .index = i};
    if (!n || !can_close_together(net, contacts, n)) {
        ask(q, a, ASK_LAMP, i, w);
        return;
    }
    w.open = contacts;
    w.n_open = n;
    ask(q, a, ASK_LAMP_OPEN, i, w);
    w.open = NULL;
    w.n_open = 0;
    w.closed = contacts;
    w.n_closed = n;
    ask(q, a, ASK_LAMP_CLOSED, i, w);
}

/* One question for all elements in series, where one of them is a wire or has a rating. */
static void ask_currents(questions *q, const study *s, const network *net)
{
    bool *is_asked = ARENA_ARRAY(s->arena, bool, net->n_elements + 1);
    for (int e = 0; e < net->n_elements; e++) {
        const int first = s->series[e];
        if (first < 0 || is_asked[first]) continue;
        if (net->elements[e].wire < 0 && !is_rated(net, e)) continue;
        is_asked[first] = true;
        ask(q, s->arena, ASK_CURRENT, first, most_of(WATCH_ELEMENT_RMS_A, first));
    }
}

/* One protective device of what is joined by conductors and protective devices stands for all. */
static void ask_device_voltages(questions *q, const study *s, const network *net)
{
    bool *is_asked = ARENA_ARRAY(s->arena, bool, net->n_nodes + 1);
    for (int e = 0; e < net->n_elements; e++) {
        const net_element *el = &net->elements[e];
        if (el->type != ELEMENT_FUSIBLE || el->a >= s->van->n_terminals || is_asked[s->solid[el->a]]) continue;
        is_asked[s->solid[el->a]] = true;
        ask(q, s->arena, ASK_TERMINAL_V, el->a, most_of(WATCH_TERMINAL_V, el->a));
    }
}

questions questions_make(const study *s, const network *net, season when)
{
    questions q = {0};
    ask_currents(&q, s, net);
    if (when == SEASON_CHARGE) return q;
    for (int i = 0; i < s->n_loads; i++) ask_load(&q, s, net, i, when);
    if (when == SEASON_HARD) return q;
    for (int i = 0; i < s->van->n_items; i++)
        if (s->items[i].is_lamp_wired) ask_lamp(&q, s, net, i);
    ask_device_voltages(&q, s, net);
    return q;
}

void answers_clear(study *s)
{
    for (int w = 0; w < s->van->n_wires; w++) {
        s->wires[w].worst_A = 0;
        s->wires[w].worst_at = NULL;
    }
    for (int e = 0; e < s->nets[SEASON_HARD]->n_elements; e++) {
        s->element_A[e] = 0;
        s->element_at[e] = NULL;
    }
    for (int i = 0; i < s->n_loads; i++) {
        load_study *l = &s->loads[i];
        l->is_fed = false;
        l->worst_V = l->off_V = l->most_V = NAN;
        l->worst_at = l->off_at = NULL;
    }
    for (int i = 0; i < s->van->n_items; i++) {
        s->items[i].most_V = NAN;
        s->items[i].worst_A = 0;
        s->items[i].worst_element = -1;
    }
    for (int t = 0; t < s->van->n_terminals; t++) s->terminal_most_V[t] = NAN;
}

/* Where seasons tie, as they do wherever a current does not depend on what they differ in, the first one stays: else
 * rounding would choose which positions are told. */
static bool is_larger(double now, double before) { return now > before + tie_of(before); }

static void answer_wire(study *s, season when, int w, const extreme *x, const position *at)
{
    wire_study *ws = &s->wires[w];
    if (!is_larger(x->most, ws->worst_A)) return;
    ws->worst_A = x->most;
    ws->worst_season = when;
    ws->worst_at = at;
}

static void answer_element(study *s, const network *net, int e, const extreme *x, const position *at)
{
    if (is_larger(x->most, s->element_A[e])) {
        s->element_A[e] = x->most;
        s->element_at[e] = at;
    }
    if (!is_rated(net, e)) return;
    item_study *is = &s->items[net->elements[e].item];
    if (is->worst_element >= 0 && !is_larger(x->most, is->worst_A)) return;
    is->worst_A = x->most;
    is->worst_element = e;
    is->worst_at = at;
}

static void answer_current(study *s, season when, int first, const extreme *x, const position *at)
{
    const network *net = s->nets[when];
    for (int e = first; e >= 0; e = s->series_next[e]) {
        if (net->elements[e].wire >= 0)
            answer_wire(s, when, net->elements[e].wire, x, at);
        else
            answer_element(s, net, e, x, at);
    }
}

static void answer_load_closed(load_study *l, season when, const extreme *x, const position *at)
{
    if (fmax(fabs(x->least), fabs(x->most)) > 0.1) l->is_fed = true;
    if (!isnan(l->worst_V) && !is_larger(l->worst_V, x->least)) return;
    l->worst_V = x->least;
    l->worst_season = when;
    l->worst_at = at;
}

static void answer_lamp(item_study *is, question q, const extreme *x, const position *most_at)
{
    const bool is_lit = x->most > 0.5;
    is->lamp_ever_lit = is->lamp_ever_lit || is_lit;
    is->lamp_ever_dark = is->lamp_ever_dark || x->least < 0.5;
    if (is_lit && !is->lamp_lit_at) is->lamp_lit_at = most_at;
    if (q == ASK_LAMP_OPEN) {
        is->lamp_lit_when_open = is_lit;
        if (is_lit) is->lamp_open_at = most_at;
    }
    if (q == ASK_LAMP_CLOSED) is->lamp_lit_when_closed = is_lit;
}

static void answer(study *s, season when, asked q, const extreme *x, const states *st)
{
    if (!x->is_met) return;
    const position *least_at = st->positions[x->least_at], *most_at = st->positions[x->most_at];
    switch (q.question) {
    case ASK_CURRENT:
        answer_current(s, when, q.index, x, most_at);
        break;
    case ASK_LOAD_CLOSED:
        answer_load_closed(&s->loads[q.index], when, x, least_at);
        break;
    case ASK_LOAD_OPEN: {
        load_study *l = &s->loads[q.index];
        l->off_V = x->most;
        l->off_at = most_at;
        break;
    }
    case ASK_ITEM_V:
        s->items[q.index].most_V = fmax(s->items[q.index].most_V, x->most);
        break;
    case ASK_LAMP:
    case ASK_LAMP_OPEN:
    case ASK_LAMP_CLOSED:
        answer_lamp(&s->items[q.index], q.question, x, most_at);
        break;
    case ASK_TERMINAL_V:
        for (int t = 0; t < s->van->n_terminals; t++)
            if (s->solid[t] == s->solid[q.index]) s->terminal_most_V[t] = x->most;
        break;
    }
}

/* ---- putting the questions ---- */

static void put(void *what)
{
    inquiry *i = what;
    i->answers = states_run(i->arena, i->net, i->q.watches.at, (int)i->q.watches.n, &i->options);
}

static inquiry *inquiry_prepare(study *s, season when, const study_options *o, arena *a)
{
    inquiry *i = ARENA_NEW(s->arena, inquiry);
    *i = (inquiry){.when = when, .net = s->nets[when], .arena = a, .options = states_defaults()};
    i->q = questions_make(s, i->net, when);
    i->options.n_threads = o && o->n_threads > 0 ? o->n_threads : 1;
    i->options.progress = o ? o->progress : NULL;
    i->options.is_stale = o ? o->is_stale : NULL;
    i->options.context = o ? o->context : NULL;
    if (o && o->most_plain > 0) i->options.most_plain = o->most_plain;
    /* What is not complete stays so; the rest of the way is not worth minutes more. */
    if (s->is_given_up) i->options.most_plain = 0;
    return i;
}

static void take_answers(study *s, const inquiry *i)
{
    const states *st = i->answers;
    s->states[i->when] = st;
    s->is_given_up = s->is_given_up || !st->is_complete;
    for (size_t k = 0; k < i->q.watches.n; k++) answer(s, i->when, i->q.asked.at[k], &st->extremes[k], st);
}

void questions_answer(study *s, season when, const study_options *o)
{
    inquiry *i = inquiry_prepare(s, when, o, s->arena);
    put(i);
    take_answers(s, i);
}

static void *put_beside(void *what)
{
    inquiry *i = what;
    i->has_memory = arena_try(i->arena, put, i);
    return NULL;
}

static void wait_for(void *what)
{
    inquiry *i = what;
    if (i->is_running) pthread_join(i->thread, NULL);
    i->is_running = false;
}

static void give_back(void *what) { arena_destroy(what); }

/* Memory goes last first: the wait is noted after the thread's arena, and so comes before it. */
inquiry *questions_put_beside(study *s, season when, const study_options *o)
{
    arena *own = arena_create();
    if (!own) return NULL;
    arena_defer(s->arena, give_back, own);
    inquiry *i = inquiry_prepare(s, when, o, own);
    i->options.progress = NULL; /* it is called from the caller's thread only */
    arena_defer(s->arena, wait_for, i);
    i->is_running = pthread_create(&i->thread, NULL, put_beside, i) == 0;
    return i->is_running ? i : NULL;
}

void questions_wait(study *s, inquiry *i)
{
    wait_for(i);
    if (!i->has_memory) arena_leave(s->arena);
    take_answers(s, i);
}
