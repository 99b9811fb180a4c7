/* What the text was. See history.h. */
#include "history.h"

#include <string.h>

static splice splice_between(arena *a, text was, text is)
{
    size_t least = was.n < is.n ? was.n : is.n, before = 0, behind = 0;
    while (before < least && was.at[before] == is.at[before]) before++;
    while (behind < least - before && was.at[was.n - 1 - behind] == is.at[is.n - 1 - behind]) behind++;
    splice s = {.at = before, .n_old = was.n - before - behind, .n_fresh = is.n - before - behind};
    s.old = arena_text_n(a, was.at + before, s.n_old);
    s.fresh = arena_text_n(a, is.at + before, s.n_fresh);
    return s;
}

static splice turned(splice s) { return (splice){s.at, s.n_fresh, s.n_old, s.fresh, s.old}; }

static text spliced(arena *a, splice s, text now)
{
    size_t n = now.n - s.n_old + s.n_fresh, behind = s.at + s.n_old;
    char *out = arena_take(a, n + 1, 1);
    memcpy(out, now.at, s.at);
    memcpy(out + s.at, s.fresh, s.n_fresh);
    memcpy(out + s.at + s.n_fresh, now.at + behind, now.n - behind);
    return (text){out, n};
}

void history_edit(history *h, text was, text is, const char *says)
{
    splice s = splice_between(h->arena, was, is);
    const char *kept = arena_text(h->arena, says);
    h->steps.n = h->n_done;
    *ARRAY_ADD(h->arena, &h->steps) = (step){h->log.n, kept};
    *ARRAY_ADD(h->arena, &h->log) = s;
    h->n_done++;
}

void history_turn(history *h, bool is_undo)
{
    splice s = h->log.at[h->steps.at[is_undo ? h->n_done - 1 : h->n_done].splice];
    *ARRAY_ADD(h->arena, &h->log) = is_undo ? turned(s) : s;
    h->n_done = is_undo ? h->n_done - 1 : h->n_done + 1;
}

history_mark history_now(const history *h)
{
    const step *next = history_redo(h);
    return (history_mark){h->log.n, h->steps.n, h->n_done, next ? *next : (step){0}};
}

void history_return(history *h, history_mark mark)
{
    h->log.n = mark.n_log;
    h->steps.n = mark.n_steps;
    h->n_done = mark.n_done;
    if (mark.n_done < mark.n_steps) h->steps.at[mark.n_done] = mark.next;
}

void history_forget_steps(history *h) { h->steps.n = h->n_done = 0; }

const step *history_undo(const history *h) { return h->n_done > 0 ? &h->steps.at[h->n_done - 1] : NULL; }

const step *history_redo(const history *h) { return h->n_done < h->steps.n ? &h->steps.at[h->n_done] : NULL; }

text history_text_turned(const history *h, arena *a, const step *step, bool is_undo, text now)
{
    splice s = h->log.at[step->splice];
    return spliced(a, is_undo ? turned(s) : s, now);
}

text history_text_at(const history *h, arena *a, unsigned revision, text now)
{
    for (size_t r = h->log.n; r >= revision; r--) now = spliced(a, turned(h->log.at[r - 1]), now);
    return now;
}
